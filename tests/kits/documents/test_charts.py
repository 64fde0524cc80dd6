"""The load chart: what it draws can be read, and it says the same in words."""

import re
import xml.etree.ElementTree as ET

import pytest

from kits.documents.chart_style import DARK, LIGHT, NARROW_PX, PAPER, Inks
from kits.documents.charts import DutyBars, load_and_capacity, load_and_capacity_text

TERMS = (("sun through glass", 820.0), ("roof", 560.0), ("people", 240.0), ("leakage", 12.0))
TOWN = DutyBars("Town, 35 °C", TERMS, 1500.0, "not enough, −8 %", tolerance_w=90.0)
NIGHT = DutyBars(
    "Night, 18 °C", (("roof", -180.0), ("people", 240.0), ("fresh air", -90.0)), None, "not sized"
)


def texts(svg: str) -> list[str]:
    """The words drawn as outlines; the drawing library leaves each as a comment beside its outline."""
    return [text.strip() for text in re.findall(r"<!--(.*?)-->", svg)]


def rectangles(svg: str, fill: str) -> list[tuple[float, float]]:
    """Left and right end, px, of each filled path of that colour."""
    spans = []
    for path, style in re.findall(r'<path d="([^"]*)"[^>]*style="([^"]*)"', svg):
        if f"fill: {fill}" in style:
            xs = [float(x) for x in re.findall(r"[ML] ([\d.-]+) ", path)]
            spans.append((min(xs), max(xs)))
    return spans


def test_is_one_svg_document_sized_in_plain_pixels() -> None:
    root = ET.fromstring(load_and_capacity([TOWN]))
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.attrib["width"] == "760"
    assert root.attrib["viewBox"] == f"0 0 760 {root.attrib['height']}"


def test_carries_no_date_no_script_and_no_font_name() -> None:
    svg = load_and_capacity([TOWN])
    assert "<text" not in svg and "font-family" not in svg
    assert "<script" not in svg and "dc:date" not in svg and 'href="http' not in svg.replace("xmlns", "")


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("width_px", [760, NARROW_PX])
def test_names_every_term_the_sums_and_the_verdict(dark: bool, width_px: int) -> None:
    drawn = texts(load_and_capacity([TOWN, NIGHT], dark=dark, width_px=width_px))
    for words in ("1 sun through glass", "2 roof", "3 people", "4 leakage", "5 fresh air"):
        assert words in drawn
    for words in ("Town, 35 °C", "not enough, −8 %", "load 1.6\u202fkW", "capacity 1.5\u202fkW"):
        assert words in drawn
    assert "load under 0.1\u202fkW" in drawn and "capacity not sized" in drawn


def test_each_term_has_its_number_on_the_bar_even_when_it_is_too_small_for_it() -> None:
    drawn = texts(load_and_capacity([TOWN]))
    assert [text for text in drawn if text in {"1", "2", "3", "4"}] == ["1", "2", "3", "4"]


def test_bars_are_as_long_as_their_watts() -> None:
    svg = load_and_capacity([TOWN])
    (capacity,) = rectangles(svg, LIGHT.accent)
    px_per_w = (capacity[1] - capacity[0]) / 1500.0
    sun = max(rectangles(svg, LIGHT.fills[0][0]), key=lambda span: span[1] - span[0])
    assert sun[1] - sun[0] == pytest.approx(820.0 * px_per_w, abs=1e-3)
    assert sun[0] == pytest.approx(capacity[0], abs=1e-3)


def test_heat_that_leaves_is_drawn_left_of_zero() -> None:
    svg = load_and_capacity([TOWN, NIGHT])
    (capacity,) = rectangles(svg, LIGHT.accent)
    people = rectangles(svg, LIGHT.fills[2][0])
    hatched = re.findall(r'<path d="M ([\d.]+)[^"]*"[^>]*fill: url\(#', svg)
    assert min(start for start, _ in people[:2]) >= capacity[0] - 1e-3
    assert any(float(x) < capacity[0] for x in hatched)


def test_words_say_load_capacity_tolerance_verdict_and_the_largest_term_first() -> None:
    said = load_and_capacity_text([TOWN, NIGHT])
    assert "Town, 35 °C: load 1.6\u202fkW, capacity 1.5\u202fkW ± 0.1\u202fkW; not enough, −8 %." in said
    assert "Load by term: sun through glass 0.8\u202fkW, roof 0.6\u202fkW" in said
    assert "Night, 18 °C: load under 0.1\u202fkW, capacity not sized; not sized." in said


@pytest.mark.parametrize(
    ("points", "sentence"),
    [
        ([], "no heat load"),
        ([DutyBars("Town", (), 900.0, "not sized")], "no heat load"),
        ([DutyBars("Town", (("roof", float("nan")),), 900.0, "marginal")], "Town: .*not a finite number"),
        ([DutyBars("Town", (("roof", 5.0),), float("inf"), "marginal")], "Town: .*not a finite number"),
        ([DutyBars("Town", (("roof", 5.0),), 9.0, "marginal", tolerance_w=-1.0)], "tolerance .* negative"),
    ],
)
def test_refuses_what_cannot_be_drawn(points: list[DutyBars], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        load_and_capacity(points)


@pytest.mark.parametrize("inks", [LIGHT, DARK, PAPER])
def test_neighbouring_fills_differ_in_tone_and_in_hatch(inks: Inks) -> None:
    for (tone, hatch), (next_tone, next_hatch) in zip(
        inks.fills, inks.fills[1:] + inks.fills[:1], strict=True
    ):
        assert tone != next_tone
        assert hatch != next_hatch


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, WCAG 2.2, "relative luminance" and "contrast ratio"."""

    def luminance(colour: str) -> float:
        channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("inks", [LIGHT, DARK, PAPER])
def test_letters_and_numbers_on_fills_reach_4_5_to_1(inks: Inks) -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    for ground in (inks.sheet, *(tone for tone, hatch in inks.fills if not hatch)):
        assert contrast(inks.ink, ground) >= 4.5
    assert contrast(inks.soft, inks.sheet) >= 4.5
    assert contrast(inks.accent, inks.sheet) >= 4.5


def test_paper_is_white_and_its_bars_are_grey() -> None:
    svg = load_and_capacity([TOWN], paper=True)
    assert rectangles(svg, "#ffffff")
    assert LIGHT.accent not in svg and LIGHT.sheet not in svg
