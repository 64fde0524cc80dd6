"""What tests of signing in start from."""

import pytest

from tests.kits.people.signing.people import Clock


@pytest.fixture
def clock(monkeypatch) -> Clock:
    """A clock that can be put forward."""
    return Clock(monkeypatch)
