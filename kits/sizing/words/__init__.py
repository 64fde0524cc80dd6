"""What all floors of the sizing speak of: defaults with their sources, what is missing, figures, docstrings as text."""
