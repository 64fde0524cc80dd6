"""What tests of several subjects start from."""

import pytest

from kits.exchange.actions import import_demonstration


@pytest.fixture
def demonstration(manager) -> None:
    """The demonstration workbook, imported; nothing is sized."""
    import_demonstration(manager)
