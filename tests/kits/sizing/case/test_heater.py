"""The heater of a kit that heats only, and the matrix of any kit."""

from dataclasses import replace

import pytest

from kits.sizing.air.air_path import NO_LOSS, TrialPoint
from kits.sizing.case.heater import Heater, heater_of, matrix_or_gaps, unit_of, with_trial
from kits.sizing.case.plant import Plant

PICKUP = ("M220-UNDER", "M220", "SRN")
COUPE = ("S4-DASH", "S4", "CP12L")


@pytest.fixture(scope="module")
def cools(world):
    return world.kits[PICKUP]


@pytest.fixture(scope="module")
def heats(cools):
    """The pick-up's kit as if it had no refrigerant."""
    return replace(cools, settings={**cools.settings, "refrigerant": ""})


def without(kit, kind):
    return replace(kit, plant={k: held for k, held in kit.plant.items() if k.split("/")[0] != kind})


def test_a_kit_without_refrigerant_is_sized_as_a_heater(cools, heats):
    assert isinstance(unit_of(cools)[0], Plant)
    assert isinstance(unit_of(heats)[0], Heater)
    assert heats.heats_only
    assert not cools.heats_only


def test_a_heater_has_the_kits_blower_matrix_and_vents_but_no_coil(cools, heats):
    heater, plant = unit_of(heats)[0], unit_of(cools)[0]
    assert heater.air_path == replace(plant.air_path, coil=NO_LOSS)
    assert (heater.supply_voltage_v, heater.kit_current_a) == (plant.supply_voltage_v, plant.kit_current_a)
    assert heater.blower_steps == plant.blower_steps


@pytest.mark.parametrize("kind", ["blower", "vent", "duct", "heater matrix"])
def test_what_the_heater_lacks_is_named(heats, kind):
    heater, gaps = heater_of(without(heats, kind))
    assert heater is None
    assert any(kind in gap.sentence for gap in gaps)
    assert all(gap.where for gap in gaps)


@pytest.mark.parametrize("kind", ["compressor", "evaporator", "condenser"])
def test_what_only_cools_is_not_missed(heats, kind):
    assert heater_of(without(heats, kind))[1] == ()


@pytest.mark.parametrize("setting", ["supply_voltage_v", "kit_current_a"])
def test_a_setting_that_is_missing_is_named_as_the_kits(heats, setting):
    heater, gaps = heater_of(replace(heats, settings={**heats.settings, setting: None}))
    assert heater is None
    assert [(gap.path, gap.where) for gap in gaps] == [(f"kit.{setting}", "kit")]


def test_two_blowers_are_refused(heats):
    one = heats.plant["blower"]
    two = replace(one, quantity=2 * one.quantity)
    heater, gaps = heater_of(replace(heats, plant={**heats.plant, "blower": two}))
    assert heater is None
    assert "2 parts with data of the kind blower" in gaps[0].sentence


def test_a_kit_without_a_matrix_lacks_nothing_and_one_that_cannot_be_used_says_why(world, cools):
    assert matrix_or_gaps(world.kits[COUPE]) == (None, ())
    held = cools.plant["heater matrix"]
    bad = replace(held, points=({**held.points[0], "heat_w": 90000.0},))
    plant = {**cools.plant, "heater matrix": bad}
    matrix, gaps = matrix_or_gaps(replace(cools, plant=plant))
    assert (matrix, gaps[0].where) == (None, f"part:{held.part}")
    assert "more heat than its flows can carry" in gaps[0].sentence


def test_a_trial_of_the_air_calibrates_a_heater_as_it_does_a_plant(heats):
    heater = unit_of(heats)[0]
    trial = TrialPoint.at_plug(250.0, 200.0, 13.0, 20.0)
    tried = with_trial(heater, trial)
    assert tried.air_path.calibration is not None
    assert "calibrated by a trial" in tried.assumed[0]
    assert with_trial(heater, None) is heater
