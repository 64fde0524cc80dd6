"""Curves: names and places are drawn, said in words, and bad input is refused."""

import re
import xml.etree.ElementTree as ET

import pytest

from kits.documents.curve_charts import Curve, Mark, curves, curves_text

BLOWER = Curve("blower, step 4", (0.0, 200.0, 400.0), (380.0, 310.0, 120.0), rated=True)
SYSTEM = Curve("duct system", (0.0, 200.0, 400.0), (0.0, 80.0, 320.0))
PLACE = Mark("works here", 320.0, 206.0)
X, Y = "air flow, m³/h", "static pressure, Pa"


def texts(svg: str) -> list[str]:
    """The words drawn as outlines; the drawing library leaves each as a comment beside its outline."""
    return [text.strip() for text in re.findall(r"<!--(.*?)-->", svg)]


def test_draws_axes_lines_and_places_by_name() -> None:
    svg = curves([BLOWER, SYSTEM], marks=[PLACE], x_label=X, y_label=Y)
    assert ET.fromstring(svg).attrib["width"] == "760"
    for words in ("air flow, m³/h", "static pressure, Pa", "blower, step 4", "duct system", "works here"):
        assert words in texts(svg)


def test_same_input_gives_the_same_text() -> None:
    assert curves([BLOWER, SYSTEM], marks=[PLACE], x_label=X, y_label=Y) == curves(
        [BLOWER, SYSTEM], marks=[PLACE], x_label=X, y_label=Y
    )


def test_lines_differ_by_dash_and_not_by_colour_alone() -> None:
    svg = curves([BLOWER, SYSTEM, Curve("third", SYSTEM.x, BLOWER.y)], x_label=X, y_label=Y)
    lines = re.findall(
        r'<path d="[^"]*" clip-path="[^"]*" style="(fill: none;[^"]*stroke-width: 2.2[^"]*)"', svg
    )
    dashes = [re.search(r"stroke-dasharray: ([^;]*)", style) for style in lines]
    assert len(lines) == 3
    assert len({match.group(1) if match else "solid" for match in dashes}) == 3


def test_words_say_ends_and_places() -> None:
    said = curves_text([BLOWER, SYSTEM], marks=[PLACE], x_label=X, y_label=Y)
    assert said.startswith("static pressure, Pa against air flow, m³/h.")
    assert "blower, step 4: from 380 at 0 to 120 at 400." in said
    assert said.endswith("works here: 206 at 320.")


@pytest.mark.parametrize(
    ("lines", "marks", "sentence"),
    [
        ([], [], "no curve"),
        ([Curve("one", (1.0,), (2.0,))], [], "one: .*two points"),
        ([Curve("odd", (1.0, 2.0), (2.0,))], [], "odd: .*as many x as y"),
        ([Curve("odd", (1.0, 2.0), (2.0, float("nan")))], [], "odd: .*not a finite number"),
        ([SYSTEM], [Mark("here", float("inf"), 0.0)], "here: .*not a finite number"),
    ],
)
def test_refuses_what_cannot_be_drawn(lines: list[Curve], marks: list[Mark], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        curves(lines, marks=marks, x_label=X, y_label=Y)
