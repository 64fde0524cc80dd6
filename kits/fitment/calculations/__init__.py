"""The calculations of a fitment, worked out when somebody opens them."""
