"""What the charge's topic tells of a filling in steps."""

from dataclasses import replace

import pytest

from kits.sizing.gas.plateau import ChargingRow, Trial
from kits.topics.circuit.charge import charge
from kits.topics.circuit.plateau import plateau_remarks, plateau_told
from tests.kits.exchange.demonstration.world import World
from tests.kits.topics.contexts import context_of

VAN = ("V30-BELT", "V30", "S18L")

# made up: everything stands still from 500 to 700 g, so the charge is 600 to 650 g
READ = (
    (350, 1.5, 12.4, 12.5), (400, 3.0, 12.9, 10.6), (450, 4.6, 13.4, 8.8), (500, 6.0, 13.9, 7.1), (550, 6.1, 13.9, 7.0),
    (600, 6.0, 14.0, 7.0), (650, 6.2, 14.0, 6.9), (700, 6.2, 14.1, 7.0), (750, 8.4, 15.2, 7.6),
)  # fmt: skip
TRIAL = Trial("A", tuple(ChargingRow(*row) for row in READ))


@pytest.fixture
def context(world: World):
    held = context_of(world, VAN)
    return replace(
        held, trials=(TRIAL,), kit=replace(held.kit, charge=replace(held.kit.charge, charge_g=640.0))
    )


def recorded(context, charge_g):
    kit = replace(context.kit, charge=replace(context.kit.charge, charge_g=charge_g))
    return {remark.code for remark in plateau_remarks(replace(context, kit=kit))}


def test_without_a_trial_nothing_is_told(context):
    told = plateau_told(replace(context, trials=()))
    assert (told.words, told.figures, told.pictures) == ("", (), ())


def test_a_trial_gives_its_charge_its_figure_and_its_picture(context):
    topic = charge(context)
    assert "the plateau starts at 500 g: the charge is 625 g ± 25 g" in topic.answer
    assert next(f.text for f in topic.figures if f.label == "Charge by trial A") == "625 g"
    (picture,) = topic.pictures
    assert [len(line.x) for line in picture.lines] == [9, 9, 9]
    assert [(spot.label, spot.x) for spot in picture.spots] == [("plateau starts", 500), ("charge", 625)]
    assert "625 g" in picture.words


def test_a_recorded_charge_away_from_the_trial_is_told(context):
    assert recorded(context, 650.0) == set()
    assert recorded(context, 651.0) == {"plateau-charge"}
    assert recorded(context, None) == set()


def test_a_receiver_that_is_full_too_early_is_told(context):
    short = Trial("A", tuple(ChargingRow(*row) for row in (*READ[:6], (650, 8.4, 15.2, 7.6))))
    assert "plateau-short" in {r.code for r in plateau_remarks(replace(context, trials=(short,)))}


def test_a_trial_without_a_plateau_is_told_with_its_reason(context):
    refused = replace(context, trials=(Trial("A", TRIAL.rows[:3]),))
    told = plateau_told(refused)
    assert "four rows or more" in told.words
    assert [(r.code, r.where) for r in plateau_remarks(refused)] == [("plateau-none", "charge")]
    assert (told.figures[0].text, told.pictures[0].spots) == ("not known", ())
