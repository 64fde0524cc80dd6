"""The belt drive and the bolts."""
