"""The demonstration's rows, as the tests of the kits have them."""

from tests.kits.conftest import every_line

__all__ = ["every_line"]
