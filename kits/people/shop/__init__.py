"""How the workshop works: what is one answer for all of it."""
