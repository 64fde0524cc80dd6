"""Benchmarks run on the real-size catalogue."""

from tests.generator.conftest import real_rows, real_size

__all__ = ["real_rows", "real_size"]
