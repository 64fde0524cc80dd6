"""The link by which somebody chooses his password: it is open once, for three days, and as long as nothing changed."""
