"""The car and the duty points of a fitment, as they are sized."""
