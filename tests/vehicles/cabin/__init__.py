"""Tests of the cabin's subject."""
