"""What every floor of the sizing speaks of: defaults with their sources, what is missing, figures, docstrings as text."""
