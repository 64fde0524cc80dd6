"""Nonsense for every address and form, told by a seed."""
