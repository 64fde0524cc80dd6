"""A record as bars: what is stored, in order, nothing judged anew."""

from dataclasses import replace

import pytest

from kits.documents.load_bars import duty_bars, study_bars
from tests.kits.fitment.answers import NOT_SIZED, RECORD, TOWN


def test_bars_carry_the_stored_numbers():
    (bars,) = duty_bars(RECORD)
    assert bars.terms == (("glass", 1800.0), ("panels", 700.0))
    assert bars.load_w == pytest.approx(RECORD.duties[0].load_w)
    assert (bars.label, bars.verdict, bars.capacity_w) == ("Town 30 km/h", "marginal +18 %", 2944.0)
    assert bars.tolerance_w == pytest.approx(0.12 * 2944.0)


def test_sensible_and_latent_add_up_and_empty_terms_are_left_out():
    duty = replace(
        TOWN, sensible_w_by_term={"people": 150.0, "canvas": 0.0}, latent_w_by_term={"people": 100.0}
    )
    assert duty_bars(replace(RECORD, duties=(duty,)))[0].terms == (("people", 250.0),)


def test_required_duty_points_come_first_and_short_bars_are_named_by_code():
    more = replace(TOWN, code="INFO", required=False)
    assert [b.label for b in duty_bars(replace(RECORD, duties=(more, TOWN)), short=True)] == ["TOWN", "INFO"]


def test_what_is_not_sized_has_no_bars():
    assert duty_bars(NOT_SIZED) == ()


def test_a_study_stands_below_what_is_stored_and_what_has_no_load_is_left_out():
    hot = replace(TOWN, sensible_w_by_term={"glass": 3000.0}, latent_w_by_term={}, load_w=3000.0)
    bars = study_bars(TOWN, hot, 0.12)
    assert [(b.label, b.load_w) for b in bars] == [("As stored", 2500.0), ("With the change", 3000.0)]
    assert [b.label for b in study_bars(None, hot, 0.12)] == ["With the change"]
    assert study_bars(None, replace(hot, load_w=None), 0.12) == ()
