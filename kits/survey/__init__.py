"""The survey of a car: one page of all that is known of it, and forms that take many measured values at once."""
