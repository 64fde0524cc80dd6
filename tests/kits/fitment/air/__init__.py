"""Tests of the page of a fitment's air side."""
