"""What the gauges said at commissioning, held against what a healthy car reads; nothing is stored."""
