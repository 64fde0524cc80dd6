"""The runner: all points of a batch at once, load and capacity at the cabin's own humidity."""
