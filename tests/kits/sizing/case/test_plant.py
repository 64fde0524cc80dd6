"""The air side of a plant as the parts list gives it: filter, matrix, steps, and a trial."""

from dataclasses import replace

import pytest

from kits.sizing.air.air_path import TrialPoint
from kits.sizing.air.airflow import airflow
from kits.sizing.case.heater import with_trial
from kits.sizing.case.plant import plant_of, vent_parts


def planted(kit, **changes):
    """The plant of a kit with the data of some parts changed; None takes the part out."""
    held = dict(kit.plant)
    for kind, data in changes.items():
        name = kind.replace("_", " ")
        old = held.pop(name)
        if data is not None:
            held[name] = replace(old, data={**old.data, **data})
    plant, gaps = plant_of(replace(kit, plant=held))
    assert not gaps
    return plant


@pytest.fixture(scope="module")
def coupe(world):
    return world.kits["S4-DASH", "S4", "CP12L"]


@pytest.fixture(scope="module")
def pickup(world):
    """A kit that brings its own heater."""
    return world.kits["M220-UNDER", "M220", "SRN"]


def test_the_filter_of_the_parts_list_is_in_the_path_clean_and_clogged(coupe):
    data = coupe.plant["filter"].data
    path = planted(coupe).air_path
    assert (path.filter.rated_pa, path.filter.rated_m3_h) == (
        data["clean_drop_pa"],
        data["rated_airflow_m3_h"],
    )
    assert path.clogged_filter.rated_pa == data["clogged_drop_pa"]


def test_a_filter_without_its_drop_or_no_filter_leaves_the_usual_one_in_the_intake(coupe):
    known = planted(coupe)
    for plant in (planted(coupe, filter=None), planted(coupe, filter={"clean_drop_pa": None})):
        assert plant.air_path.filter is None
        assert plant.air_path.intake.rated_pa > known.air_path.intake.rated_pa
        assert any("grille and filter" in words for words in plant.assumed)
    assert planted(coupe, filter={"clogged_drop_pa": None}).air_path.clogged() is None


def test_a_heater_matrix_in_the_casing_costs_air_and_one_without_a_drop_none(pickup):
    data = pickup.plant["heater matrix"].data
    plant = planted(pickup)
    assert plant.air_path.matrix.rated_pa == data["air_drop_pa"]
    bare = planted(pickup, heater_matrix={"air_drop_pa": None})
    assert bare.air_path.matrix is None
    assert airflow(plant.air_path, 13.2, 1.0).total_m3_h < airflow(bare.air_path, 13.2, 1.0).total_m3_h


def test_steps_and_how_they_are_made_come_from_the_blower(coupe):
    plant = planted(coupe, blower={"steps": ((1, 0.4, 3.0), (2, 1.0, None)), "step_by_resistor": False})
    assert plant.blower_steps == ((1, 0.4), (2, 1.0))
    assert plant.blower_currents == ((1, 3.0),)
    assert not plant.air_path.blower.step_by_resistor
    assert planted(coupe, blower={"steps": ()}).blower_steps == ()


def test_each_vent_has_its_part_in_the_order_of_the_outlets(coupe):
    outlets = planted(coupe).air_path.outlets
    parts = dict(vent_parts(coupe))
    assert list(parts) == [outlet.code for outlet in outlets]
    vents = {held.part: held.data for key, held in coupe.plant.items() if key.startswith("vent")}
    for outlet in outlets:
        assert vents[parts[outlet.code]]["free_area_cm2"] == outlet.free_area_cm2


def test_a_trial_calibrates_the_plant_and_says_so_beside_what_was_assumed(coupe):
    plant = planted(coupe)
    trial = TrialPoint.at_plug(330, 300, 13.4, 20)
    tried = with_trial(plant, trial)
    assert airflow(tried.air_path, 13.4, 1.0).total_m3_h == pytest.approx(330, rel=1e-8)
    assert any("calibrated by a trial" in words for words in tried.assumed)
    assert with_trial(plant, None) is plant


def test_a_trial_that_the_blower_contradicts_changes_nothing(coupe):
    plant = planted(coupe)
    assert with_trial(plant, TrialPoint.at_plug(900, 300, 13.4, 20)) is plant


def test_all_fans_blow_through_the_condenser(coupe):
    one = coupe.plant["condenser fan"]
    each_m3_h = one.data["free_airflow_m3_h"]
    three = replace(coupe, plant={**coupe.plant, "condenser fan": replace(one, quantity=3 * one.quantity)})
    small = replace(one, part="SMALL", data={**one.data, "free_airflow_m3_h": 500.0})
    mixed = replace(coupe, plant={**coupe.plant, "condenser fan/SMALL": small})
    assert [plant_of(kit)[0].fan_free_m3_h for kit in (coupe, three, mixed)] == [
        each_m3_h,
        3 * each_m3_h,
        each_m3_h + 500.0,
    ]


def test_a_fan_without_its_air_flow_is_named(coupe):
    one = coupe.plant["condenser fan"]
    silent = replace(one, part="SILENT", data={**one.data, "free_airflow_m3_h": None})
    for plant in ({"condenser fan": silent}, {"condenser fan/SILENT": silent}):
        found, gaps = plant_of(replace(coupe, plant={**coupe.plant, **plant}))
        assert found is None
        assert [gap.where for gap in gaps] == ["part:SILENT"]


@pytest.mark.parametrize("kind", ["compressor", "condenser", "blower"])
def test_more_than_one_of_what_is_sized_as_one_is_refused(coupe, kind):
    one = coupe.plant[kind]
    found, gaps = plant_of(
        replace(coupe, plant={**coupe.plant, kind: replace(one, quantity=2 * one.quantity)})
    )
    assert found is None
    assert "gets 2 parts" in gaps[0].sentence and one.part in gaps[0].sentence


def with_ends(kit, *ends):
    """The kit with an angle and a loss for both ends of each hose."""
    a, b = ({"angle_deg": angle, "loss_factor": loss} for angle, loss in ends)
    return replace(
        kit,
        hoses=tuple(replace(h, end_a=replace(h.end_a, **a), end_b=replace(h.end_b, **b)) for h in kit.hoses),
    )


@pytest.mark.parametrize(
    ("ends", "expected"),
    [
        # by hand: twice 0.5; 0.5 and 1.0; 0.75 and 1.0
        (((0, None), (0, None)), 1.0),
        (((0, None), (90, None)), 1.5),
        (((45, None), (-90, None)), 1.75),
        # a loss that is stated counts, whatever the angle
        (((90, 0.3), (90, 1.1)), 1.4),
        (((0, 0.0), (0, None)), 0.5),
    ],
)
def test_the_ends_of_a_hose_lose_what_is_stated_of_them_and_else_by_their_angle(coupe, ends, expected):
    plant = planted(with_ends(coupe, *ends))
    assert [plant.suction.loss_factor, plant.discharge.loss_factor] == pytest.approx([expected, expected])


def test_what_is_taken_for_ends_without_a_loss_is_told_and_else_nothing(coupe):
    def told(loss):
        ends = (45, loss), (90, loss)
        return [words for words in planted(with_ends(coupe, *ends)).assumed if words.startswith("hose ends")]

    (words,) = told(None)
    assert "0.5 velocity heads" in words
    assert "0.5 more for a bend of 90°" in words
    assert told(0.8) == []
