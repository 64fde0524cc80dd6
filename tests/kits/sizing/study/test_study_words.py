"""A study in words: figures at the decimals an estimate deserves, differences with their sign."""

from dataclasses import replace

import pytest

from kits.sizing.study.study import Question
from kits.sizing.study.study_words import ASKED, changes, compared, compared_holds
from kits.sizing.verdict.record import DutyAnswer
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of

VAN: Key = ("V30-BELT", "V30", "S18L")
STORED = DutyAnswer(
    code="TOWN",
    name="Town",
    kind="town",
    required=True,
    verdict="marginal",
    load_w=2500.0,
    capacity_w=2944.0,
    margin_share=0.1776,
    vent_c=7.4,
    high_side_bar_g=15.0,
    holds_c=23.6,
)


def rows(stored, changed):
    return {row.label: row for row in compared(stored, changed)}


def test_figures_stand_side_by_side_with_their_difference():
    # by hand: 2,944 to 2,700 W is −0.2 kW, 17.76 to 8 % is −10 points, 15.0 to 16.2 bar g is +1.2 bar
    changed = replace(STORED, capacity_w=2700.0, margin_share=0.08, high_side_bar_g=16.2)
    found = rows(STORED, changed)
    assert found["Capacity"].stored == "2.9 kW"
    assert found["Capacity"].changed == "2.7 kW"
    assert found["Capacity"].difference == "−0.2 kW"
    assert (found["Margin"].stored, found["Margin"].changed) == ("+18 %", "+8 %")
    assert found["Margin"].difference == "−10 points"
    assert found["High side"].difference == "+1.2 bar"


def test_what_is_the_same_to_what_is_shown_is_no_change():
    found = rows(STORED, replace(STORED, load_w=2510.0))
    assert found["Load"].difference == "no change"
    assert not found["Load"].is_different
    assert rows(STORED, replace(STORED, load_w=3000.0))["Load"].is_different


def test_a_number_that_is_not_there_is_a_dash_and_has_no_difference():
    found = rows(None, replace(STORED, capacity_w=None))
    assert "Capacity" not in found
    assert (found["Load"].stored, found["Load"].difference) == ("–", "–")
    assert compared_holds(STORED, replace(STORED, holds_c=None)).changed == "–"
    assert compared_holds(STORED, replace(STORED, holds_c=26.0)).difference == "+2 K"


@pytest.mark.django_db
def test_what_was_changed_is_told_with_what_it_was(world: World):
    case = context_of(world, VAN).case
    question = Question("town-35", outside_c=40.5, humidity_pct=55, air_mode="fresh", levers=("film",))
    told = [(c.label, c.was, c.now) for c in changes(case, question)]
    assert told == [
        ("Outside temperature", "35 °C", "40.5 °C"),
        ("Relative humidity outside", "40 %", "55 %"),
        ("Air mode", "recirculated", "fresh"),
        ("Solar film on side and rear glass", "", "done"),
    ]
    assert changes(case, Question("town-35")) == ()


def test_everything_that_can_be_asked_has_a_name_on_screen():
    assert set(ASKED) == set(Question.__dataclass_fields__) - {"duty", "levers"}
