"""The demonstration's rows under all tests of a file; what each of them changes is taken back."""

import pytest

from tests import snapshot
from tests.kits.conftest import every_line

__all__ = ["every_line"]


@pytest.fixture(scope="module")
def lines(every_line, module_rows) -> None:
    """Every line of the demonstration."""
    snapshot.put(every_line)
