"""The steps of a kit: read with what belongs to each, and brought into another order."""
