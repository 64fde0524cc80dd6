"""Rows changed on screen: one form a row, its history, undo, and copies of lines and variants."""
