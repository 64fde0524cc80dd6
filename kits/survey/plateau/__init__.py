"""One step of a filling, written as a row with its history; the page it stands on is the fitment's."""
