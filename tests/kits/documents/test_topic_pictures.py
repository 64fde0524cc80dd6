"""One function draws every picture of a topic, in the inks of page, dark page and paper."""

import re
from dataclasses import replace

import pytest

from kits.documents.chart_style import DARK, LIGHT, NARROW_PX
from kits.documents.topic_pictures import can_be_drawn, picture_svg
from kits.topics.figure import Bar, Line, Picture
from tests.kits.documents.test_curve_charts import PICTURE, texts

BARS = Picture("b", "Bars", "words", "A", bars=(Bar("by day", 3.0, "3 A"),))


def test_bars_are_drawn_as_bars_and_lines_as_lines():
    assert "3 A" in texts(picture_svg(BARS))
    assert "works here" in texts(picture_svg(PICTURE))


@pytest.mark.parametrize("picture", [BARS, PICTURE])
def test_page_dark_page_and_paper_have_their_own_inks(picture):
    light, dark, paper = (
        picture_svg(picture),
        picture_svg(picture, dark=True),
        picture_svg(picture, paper=True),
    )
    assert LIGHT.sheet in light and DARK.sheet in dark and LIGHT.sheet not in paper
    assert LIGHT.ink not in dark


@pytest.mark.parametrize("picture", [BARS, PICTURE])
def test_letters_are_text_on_paper_and_outlines_on_a_page(picture):
    # a browser lends a picture no fonts; the PDF maker has them
    page, paper = picture_svg(picture), picture_svg(picture, paper=True)
    assert "<text" not in page
    assert "<text" in paper and "Inter" in paper and set(texts(page)) <= set(texts(paper))
    assert "<text" not in picture_svg(picture), "the setting of paper must not stay"


def test_no_text_is_smaller_than_eleven_pixels():
    for width_px in (760, NARROW_PX):
        scales = re.findall(r"scale\(([\d.]+) -", picture_svg(PICTURE, width_px=width_px))
        # the outlines of letters are drawn at 100 px and scaled down
        assert scales and min(float(s) * 100 for s in scales) >= 11


def test_a_picture_that_cannot_be_drawn_is_known_before():
    assert can_be_drawn(PICTURE) and can_be_drawn(BARS)
    assert not can_be_drawn(replace(PICTURE, lines=()))
    assert not can_be_drawn(replace(PICTURE, lines=(Line("n", (0.0, 1.0), (0.0, float("nan"))),)))
