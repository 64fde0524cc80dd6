"""The parts, each with the kits and vehicles that use it."""
