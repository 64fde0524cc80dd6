"""What the actions of a fitment refuse before they read anything: these tests meet no database."""

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from kits.fitment.actions import ask_to_size, size_all
from tests.conftest import unsaved
from tests.kits.fitment.conftest import ON

NOW = timezone.now()


@pytest.mark.parametrize("role", ["production", "installer", "owner", "stranger"])
def test_only_a_manager_sizes(role):
    for size, which in ((size_all, {"now": NOW}), (ask_to_size, {"fitment": ("K", "L", "V")})):
        with pytest.raises(PermissionDenied, match="Only a manager"):
            size(actor=unsaved(role), on=ON, **which)
