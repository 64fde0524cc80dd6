"""Curves, bands and places: what is drawn can be read, names lie on nothing else, and bad input is refused."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from kits.documents.chart_style import LIGHT, NARROW_PX, PAPER, WIDTH_PX
from kits.documents.curve_charts import curves, line_styles
from kits.topics.figure import Band, Line, Picture, Spot

BLOWER = Line("blower, step 4", (0.0, 200.0, 400.0), (380.0, 310.0, 120.0), dots=True)
SYSTEM = Line("duct system", (0.0, 200.0, 400.0), (0.0, 80.0, 320.0), "other")
GROUND = Line("saturated", (0.0, 400.0), (50.0, 60.0), "thin")
PLACE = Spot("works here", 320.0, 206.0)
X, Y = "air flow, m³/h", "static pressure, Pa"
PICTURE = Picture("c", "Blower", "words", X, y_label=Y, lines=(BLOWER, SYSTEM), spots=(PLACE,))


def texts(svg: str) -> list[str]:
    """The words: on paper as text, else as outlines, beside which the drawing library leaves a comment."""
    return [(drawn or text).strip() for drawn, text in re.findall(r"<!--(.*?)-->|<text[^>]*>([^<]*)", svg)]


@pytest.mark.parametrize("width_px", [WIDTH_PX, NARROW_PX])
def test_draws_axes_lines_and_places_by_name(width_px: int) -> None:
    svg = curves(PICTURE, LIGHT, width_px)
    assert ET.fromstring(svg).attrib["width"] == str(width_px)
    for words in (X, Y, "blower, step 4", "duct system", "works here"):
        assert words in texts(svg)


def test_lines_differ_by_dash_and_not_by_colour_alone() -> None:
    lines = [BLOWER, SYSTEM, GROUND, replace(BLOWER, label="third")]
    heavy = [s for line, s in zip(lines, line_styles(lines, PAPER), strict=True) if line.weight != "thin"]
    assert len({str(style["linestyle"]) for style in heavy}) == 3


def test_numbers_at_the_axes_are_written_as_people_read_them() -> None:
    drawn = texts(
        curves(
            replace(PICTURE, lines=(Line("w", (-2000.0, 3000.0), (0.0, 0.02)),), spots=()), LIGHT, WIDTH_PX
        )
    )
    assert {"−2,000", "0", "1,000", "0.010", "0.020"} <= set(drawn)


def test_a_logarithmic_axis_has_one_two_and_five_of_each_decade() -> None:
    line = Line("cycle", (250.0, 430.0), (0.8, 30.0))
    drawn = texts(curves(replace(PICTURE, lines=(line,), spots=(), y_is_logarithmic=True), LIGHT, WIDTH_PX))
    assert {"1", "2", "5", "10", "20"} <= set(drawn)


def test_places_that_have_no_room_for_their_names_are_numbered_and_named_in_the_key() -> None:
    close = tuple(Spot(f"a place with a long name, number {n}", 190.0 + 12 * n, 100.0) for n in range(6))
    drawn = texts(curves(replace(PICTURE, spots=close), LIGHT, NARROW_PX))
    assert [n for n in map(str, range(1, 7)) if drawn.count(n) >= 2] == list("123456")
    assert "works here" not in drawn


def test_places_that_fall_together_have_one_name() -> None:
    spots = (Spot("3", 200.0, 100.0), Spot("4", 200.2, 100.1), Spot("5", 60.0, 300.0))
    drawn = texts(curves(replace(PICTURE, spots=spots), LIGHT, WIDTH_PX))
    assert "3, 4" in drawn and "5" in drawn and "3" not in drawn


def test_a_thin_line_is_named_at_the_line_and_only_once() -> None:
    drawn = texts(curves(replace(PICTURE, lines=(BLOWER, GROUND)), LIGHT, WIDTH_PX))
    assert drawn.count("saturated") == 1


def test_bands_are_told_apart_by_their_hatch() -> None:
    bands = tuple(
        Band(name, (20.0, 40.0), (low, low + 1), (low + 2, low + 4))
        for name, low in (("low", 1), ("high", 9))
    )
    svg = curves(replace(PICTURE, lines=(), spots=(), bands=bands), PAPER, WIDTH_PX)
    assert "low" in texts(svg) and "high" in texts(svg)
    assert "<pattern" in svg


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"lines": ()}, "no curve"),
        ({"lines": (Line("one", (1.0,), (2.0,)),)}, "one: .*two points"),
        ({"lines": (Line("odd", (1.0, 2.0), (2.0,)),)}, "odd: .*as many x as y"),
        ({"lines": (Line("odd", (1.0, 2.0), (2.0, float("nan"))),)}, "odd: .*not a finite number"),
        ({"spots": (Spot("here", float("inf"), 0.0),)}, "here: .*not a finite number"),
        ({"bands": (Band("b", (1.0,), (1.0,), (1.0,)),)}, "b: .*two points"),
        ({"bands": (Band("b", (1.0, 2.0), (1.0, float("nan")), (3.0, 3.0)),)}, "b: .*not a finite number"),
        ({"y_is_logarithmic": True}, "above zero"),
    ],
)
def test_refuses_what_cannot_be_drawn(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        curves(replace(PICTURE, **changes), LIGHT, WIDTH_PX)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("x", "y"), [((5.0, 5.0), (1.0, 1.0)), ((0.0, 0.0), (0.0, 0.0)), ((-3.0, -1.0), (-7.0, -5.0))]
)
def test_a_line_without_extent_is_drawn_all_the_same(x: tuple[float, ...], y: tuple[float, ...]) -> None:
    ET.fromstring(curves(replace(PICTURE, lines=(Line("flat", x, y),), spots=()), LIGHT, WIDTH_PX))
