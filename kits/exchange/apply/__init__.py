"""Rows written as a plan says, with their history: the one writer of workbooks and of edits on screen."""
