"""What the rules of a market say: data with dates and sources."""
