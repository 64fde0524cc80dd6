"""Times are said so that they do not jump."""

import pytest

from kits.templatetags.durations import duration


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0.2, "5 s"), (12.0, "10 s"), (13.0, "15 s"), (89.0, "90 s"), (100.0, "2 min"), (7200.0, "120 min")],
)
def test_a_time_is_rounded_to_what_one_can_wait_for(seconds, said):
    assert duration(seconds) == said
