"""The demonstration as a whole, and each of its lines."""
