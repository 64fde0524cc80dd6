"""Numbers at axes as people read them, ticks within the axis, and texts broken where they may be."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.documents.chart_style import axis_number, check_finite, log_ticks_within, ticks_within, wrapped


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        (2000.0, 1000.0, "2,000"), (-5.0, 5.0, "−5"), (0.5, 0.5, "0.5"), (1.0, 0.5, "1.0"), (0.02, 0.02, "0.02"),
        (-0.0, 0.2, "0.0"), (20.0, 20.0, "20"), (0.3, 0.1, "0.3"),
    ],
)  # fmt: skip
def test_a_number_has_the_decimals_of_the_step(value, step, text):
    assert axis_number(value, step) == text


@given(st.floats(-1e4, 1e4), st.floats(0.01, 1e4), st.sampled_from((5, 9)))
def test_ticks_lie_within_the_axis_and_differ(low, span, most):
    ticks, texts = ticks_within(low, low + span, most)
    assert 1 <= len(ticks) <= most + 2
    assert all(low - 1e-6 <= tick <= low + span + 1e-6 for tick in ticks)
    assert len(set(texts)) == len(texts)


def test_a_logarithmic_axis_has_one_two_and_five():
    assert log_ticks_within(0.9, 24.0) == ([1, 2, 5, 10, 20], ["1", "2", "5", "10", "20"])


@given(st.text("abc 12kW°C,", max_size=80), st.integers(60, 700))
def test_wrapping_loses_no_letter(text, room_px):
    kept = "".join(wrapped(text, room_px)).replace("\N{NO-BREAK SPACE}", "").replace(" ", "")
    assert kept == text.replace(" ", "")


def test_a_number_stays_with_its_unit():
    assert wrapped("carried up to 33 °C", 120)[-1] == "33\N{NO-BREAK SPACE}°C"


def test_what_is_not_finite_is_refused_by_name():
    with pytest.raises(ValueError, match="cabin: .*not a finite"):
        check_finite("cabin", (1.0, float("nan")))


AT_ONCE = """
from threading import Barrier, Thread
from kits.documents.chart_style import LIGHT, canvas, ticks_within

start, wrong = Barrier(3), []

def drawn(draw):
    start.wait()
    try:
        draw()
    except Exception as error:
        wrong.append(repr(error))

def sheet():
    canvas(LIGHT, 300, 200, left_px=10, right_px=10, top_px=10, bottom_px=10)

threads = [Thread(target=drawn, args=(draw,)) for draw in (lambda: ticks_within(0, 10, 5), sheet, sheet)]
[one.start() for one in threads]
[one.join() for one in threads]
assert not wrong, wrong
"""


def test_the_first_pictures_of_a_process_may_be_drawn_by_several_threads_at_once():
    # a process of its own, since matplotlib is imported once only
    done = subprocess.run([sys.executable, "-c", AT_ONCE], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
