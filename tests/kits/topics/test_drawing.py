"""Numbers of a drawing are short and still those that were worked out."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from kits.topics.drawing import line, short
from kits.topics.figure import Line


@given(st.lists(st.floats(-1e6, 1e6, allow_nan=False, allow_subnormal=False), max_size=20))
def test_short_numbers_are_near_the_given_ones(values):
    for kept, value in zip(short(values), values, strict=True):
        assert abs(kept - value) <= 5e-5 * abs(value)
        assert len(repr(kept).lstrip("-").split("e")[0].replace(".", "").strip("0")) <= 5


def test_a_line_takes_arrays_and_keeps_plain_numbers():
    made = line("cabin", np.array([0.0, 1.0]), np.array([60.123456, 25.0]), "other", dots=True)
    assert made == Line("cabin", (0.0, 1.0), (60.123, 25.0), "other", dots=True)
    assert {type(v) for v in (*made.x, *made.y)} == {float}
