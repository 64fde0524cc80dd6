"""Charts of stored answers, served as images."""
