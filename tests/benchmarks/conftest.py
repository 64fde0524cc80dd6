"""Benchmarks run on the real-size catalogue."""

from tests.generator.conftest import module_rows, real_rows, real_size

__all__ = ["module_rows", "real_rows", "real_size"]
