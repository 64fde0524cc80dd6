"""What is recorded of a fitted car beside its rows: lengths, charges, trials; the pages are the fitment's."""
