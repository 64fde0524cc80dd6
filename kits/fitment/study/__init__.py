"""What if: a question put to a fitment, answered on the page, and kept as a note if somebody wants."""
