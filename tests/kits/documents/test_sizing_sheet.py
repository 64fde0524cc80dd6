"""The sizing sheet says what was stored, rounded as far as an estimate goes, and computes nothing."""

import pytest
from django.template.loader import render_to_string

from kits.documents.sizing_sheet import margin_words, sizing_sheet
from kits.sizing.verdict.record import LeverAnswer
from kits.sizing.words.gap import Gap
from tests.kits.documents.sample import duty, of, record, unsized


def sheet(**changes):
    """The sheet of the sample answer, changed."""
    return sizing_sheet(of(answer=record(**changes)), "x")


def test_the_answer_comes_first_with_margin_basis_and_uncertainty():
    document = sheet()
    assert (document.verdict, document.margin, document.basis) == ("not enough", "−19 %", "estimated")
    assert document.uncertainty == "load ± 15 %, capacity ± 10 %"
    assert document.worst == "Town, 35 °C"


def test_powers_are_told_to_a_tenth_of_a_kilowatt_and_temperatures_to_a_kelvin():
    line = sheet().duties[0]
    assert (line.load, line.load_sensible, line.capacity) == ("2.6 kW", "2.4 kW", "2.2 kW")
    assert dict(line.facts)["Air at the vents"] == "9 °C"
    assert dict(line.facts)["High side"] == "17.5 bar g"


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (None, ""),
        (0.0, "+0 %"),
        (-0.001, "−0.1 %"),
        (0.234, "+23 %"),
        (-0.192, "−19 %"),
        (9.99, "over +900 %"),
    ],
)
def test_a_margin_in_words(share, words):
    assert margin_words(share) == words


def test_a_duty_point_that_is_not_sized_shows_what_is_missing_and_no_figures():
    line = sheet().duties[2]
    assert (line.verdict, line.load, line.margin, line.facts) == ("not sized", "—", "—", ())
    assert line.missing == ("The hot idle speed is missing.",)
    assert line.asked == "idle, only for information"


def test_the_chart_draws_the_duty_points_that_have_a_load():
    document = sheet()
    assert document.chart_svg.startswith("<")
    assert "Town, 35 °C" in document.chart_text
    assert "Idle, 40 °C" not in document.chart_text
    assert sheet(duties=()).chart_svg == ""


def test_a_stale_answer_says_so():
    assert sheet().as_of == "as of 2026-03-01 09:30 UTC"
    stale = sizing_sheet(of(is_stale=True), "x")
    assert "size again" in stale.as_of


def test_without_an_answer_it_is_not_sized_and_says_what_to_do():
    document = sizing_sheet(unsized(), "x")
    assert (document.verdict, document.margin, document.chart_svg) == ("not sized", "", "")
    assert "run the sizing" in document.missing[0]


def test_levers_keep_their_rank_and_say_what_they_bring():
    first, second = sheet().levers
    assert (first.rank, first.gain, first.verdict, first.time) == (
        1,
        "+11 points",
        "not enough, −8 %",
        "3.0 h",
    )
    assert second.rank == 2


def test_a_lever_that_eases_a_failure_without_a_margin_says_what_it_eases():
    easing = LeverAnswer(
        code="idle-up",
        name="Idle-up by 200 rpm",
        work_min=60.0,
        gain_share=0.0,
        verdict="not enough",
        margin_share=-0.1,
        source="estimate",
        eases="battery 11.9 V → 12.1 V",
    )
    (line,) = sheet(levers=(easing,)).levers
    assert line.eases == "battery 11.9 V → 12.1 V"
    html = render_to_string("documents/_levers.html", {"sheet": sheet(levers=(easing,))})
    assert "eases: battery 11.9 V → 12.1 V" in html
    assert "eases:" not in render_to_string("documents/_levers.html", {"sheet": sheet()})


def test_a_missing_input_is_named_once():
    gap = Gap("cabin.volume_m3", "cabin:C1", "The cabin's volume is missing.")
    assert sheet(missing=(gap, gap)).missing == ("The cabin's volume is missing.",)


def test_criteria_say_whether_they_hold():
    words = [word for word, _ in sheet(duties=(duty("T", "Town", "marginal", 0.03),)).duties[0].criteria]
    assert words == ["fails"]


@pytest.mark.parametrize(
    ("kinds", "words"),
    [
        (("town", "cruise"), "at cruise and in town."),
        (("cruise", "town", "winter"), "at cruise, in town and in winter."),
        (("winter",), "points in winter."),
        ((), ""),
    ],
)
def test_the_margin_says_what_it_is_the_least_of(kinds, words):
    duties = (
        *(duty(k, k, "marginal", 0.1, kind=k) for k in kinds),
        duty("i", "i", "marginal", None, kind="idle"),
    )
    told = sheet(duties=duties).margin_of
    assert told.endswith(words)
    assert bool(told) == bool(kinds)


def test_a_winter_point_tells_of_water_and_air_and_of_no_pressures():
    cold = duty("w", "Winter", "strong enough", 0.4, kind="winter", coolant_c=88.0, air_in_c=-5.0)
    facts = dict(sheet(duties=(cold,)).duties[0].facts)
    assert (facts["Coolant"], facts["Air into the matrix"]) == ("88 °C", "−5 °C")
    assert not {"Low side", "High side", "Compressor"} & set(facts)
