"""The machines of the circuit: compressor, condenser, evaporator, and what a freeze control makes of them in time."""
