"""Heat exchangers, the heater matrix, and cold surfaces that sweat."""
