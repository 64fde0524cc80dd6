"""A catalogue of the size a workshop has after years, invented by a seed; for tests and benchmarks only."""
