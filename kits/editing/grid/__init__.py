"""The entries of one position as one form, and what each car then gets."""
