"""What a person may type as readings."""

import pytest

from kits.fitment.readings.forms import ReadingsForm
from tests.kits.fitment.readings.test_views import HEALTHY


@pytest.mark.parametrize(
    ("low", "high", "taken"), [("9", "9", False), ("9", "8.9", False), ("9", "9.1", True)]
)
def test_the_high_side_is_above_the_low_side(low, high, taken):
    form = ReadingsForm({**HEALTHY, "fan": "on", "cycling": "no", "low_bar_g": low, "high_bar_g": high})
    assert ("high_bar_g" not in form.errors) == taken, form.errors
    if not taken:
        assert "must be above the low side" in form.errors["high_bar_g"][0]
