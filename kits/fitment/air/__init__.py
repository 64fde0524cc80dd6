"""The air side of a fitment: its prediction beside trials, and vent readings turned into a flow."""
