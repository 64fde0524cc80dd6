"""A charge found on a car: filling in steps until nothing moves, and the oil that is in the circuit."""
