"""Bars: names, values and limits are drawn, each bar as long as its value, and bad input is refused."""

import re
import xml.etree.ElementTree as ET

import pytest

from kits.documents.bar_charts import MARK, bars
from kits.documents.chart_style import LIGHT, NARROW_PX, WIDTH_PX
from kits.topics.figure import Bar, Picture
from tests.kits.documents.test_charts import rectangles
from tests.kits.documents.test_curve_charts import texts

LONG = "generator, cruise at 2,800 rpm with everything on that a winter night asks for and more"
TONE = LIGHT.fills[2][0]


def picture(*held: Bar) -> Picture:
    return Picture("b", "Charging", "words", "current, A", bars=held)


@pytest.mark.parametrize("width_px", [WIDTH_PX, NARROW_PX])
def test_draws_names_values_and_the_axis(width_px: int) -> None:
    svg = bars(picture(Bar("by day", 28.0, "28 A"), Bar("at night", 41.0, "41 A", 30.0)), LIGHT, width_px)
    assert ET.fromstring(svg).attrib["width"] == str(width_px)
    assert {"by day", "28 A", "at night", "41 A", MARK, "current, A"} <= set(texts(svg))


def test_a_bar_is_as_long_as_its_value() -> None:
    svg = bars(
        picture(Bar("a", 10.0, "10 A"), Bar("b", 40.0, "40 A"), Bar("c", -5.0, "−5 A")), LIGHT, WIDTH_PX
    )
    lengths = [high - low for low, high in rectangles(svg, TONE)]
    assert lengths == pytest.approx([lengths[1] / 4, lengths[1], lengths[1] / 8], abs=0.1)


def test_a_value_has_room_beside_the_longest_bar_on_a_phone() -> None:
    svg = bars(picture(Bar("a", 40.0, "40 A, more than it gives")), LIGHT, NARROW_PX)
    # 24 letters of 13 px take about 175 px
    assert max(high for _, high in rectangles(svg, TONE)) < NARROW_PX - 150


def test_a_long_name_is_broken_into_lines() -> None:
    drawn = texts(bars(picture(Bar(LONG, 1.0, "1 A")), LIGHT, NARROW_PX))
    assert LONG not in drawn
    assert all(word in " ".join(drawn).replace("\N{NO-BREAK SPACE}", " ") for word in LONG.split())


def test_a_limit_is_named_only_where_there_is_one() -> None:
    assert MARK not in texts(bars(picture(Bar("a", 1.0, "1")), LIGHT, WIDTH_PX))


def test_bars_that_are_all_zero_are_drawn() -> None:
    assert re.search("0 A", " ".join(texts(bars(picture(Bar("a", 0.0, "0 A")), LIGHT, WIDTH_PX))))


@pytest.mark.parametrize(
    ("held", "sentence"),
    [
        ((), "no bar"),
        ((Bar("a", float("nan"), "?"),), "a: .*not a finite"),
        ((Bar("a", 1.0, "?", float("inf")),), "a: .*not a finite"),
    ],
)
def test_refuses_what_cannot_be_drawn(held: tuple[Bar, ...], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        bars(picture(*held), LIGHT, WIDTH_PX)
