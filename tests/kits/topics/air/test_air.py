"""The topic of the air side: the answer, where the pressure goes, each vent, pictures, and what is remarked."""

from dataclasses import replace

import pytest

from kits.sizing.air.air_path import Resistance, TrialPoint
from kits.sizing.air.airflow import airflow
from kits.sizing.case.heater import with_trial
from kits.sizing.case.idle_blower import supplies_read_v
from kits.sizing.verdict.verdict import size
from kits.sizing.words.explain import explanation_of, named
from kits.topics.air.air import air
from kits.topics.air.air_at_idle import idle_airs
from kits.topics.air.air_steps import air_by_step
from tests.kits.topics.contexts import contexts


@pytest.fixture(scope="module")
def every(world):
    return contexts(world)


@pytest.fixture(scope="module")
def coupe(every):
    return next(c for c in every if c.kit.variant == "CP12L")


def changed(context, *, mounting=None, plant=None, path=None):
    case = context.case
    plant = replace(case.plant, **(plant or {}))
    plant = replace(plant, air_path=replace(plant.air_path, **(path or {})))
    return replace(
        context, case=replace(case, mounting=replace(case.mounting, **(mounting or {})), unit=plant)
    )


def tried(context, trial):
    case = context.case
    mounting = replace(case.mounting, air_trial=trial, air_trial_origin="measured, bench car")
    return replace(context, case=replace(case, mounting=mounting, unit=with_trial(case.plant, trial)))


def codes(topic):
    return {remark.code for remark in topic.remarks}


def texts(topic):
    return {figure.label: figure.text for figure in topic.figures}


def flow_of(context):
    case = context.case
    return airflow(case.plant.air_path, case.mounting.blower_voltage_v, 1.0)


def test_the_answer_is_the_operating_point_at_the_highest_step(coupe):
    flow, topic = flow_of(coupe), air(coupe)
    assert (
        f"the blower moves {flow.total_m3_h:.0f} m³/h against {flow.blower_static_pa:.0f} Pa" in topic.answer
    )
    assert "no trial of the air side calibrates it" in topic.answer
    assert texts(topic)["Air at the highest step"] == f"{flow.total_m3_h:.0f} m³/h"


def test_the_losses_add_up_to_the_blowers_rise(every):
    for context in every:
        table = air(context).tables[1]
        *elements, together = [int(row[1]) for row in table.rows]
        # each is rounded to the pascal
        assert abs(sum(elements) - together) <= len(elements) / 2


def test_the_vents_flows_add_up_and_each_has_its_speed(every):
    for context in every:
        flow, table = flow_of(context), air(context).tables[2]
        assert len(table.rows) == len(flow.outlet_codes)
        assert sum(int(row[3]) for row in table.rows) == pytest.approx(
            flow.total_m3_h, abs=len(table.rows) / 2
        )
        for row, speed in zip(table.rows, flow.outlet_velocity_m_s, strict=True):
            assert float(row[4]) == pytest.approx(speed, abs=0.05)


def test_each_step_has_its_row_clean_and_clogged(coupe):
    context = changed(coupe, plant={"blower_steps": ((1, 0.5), (2, 1.0)), "blower_currents": ((2, 16.3),)})
    low, high = air(context).tables[0].rows
    assert (low[0], low[1], high[1], low[6], high[6]) == ("1", "50 %", "100 %", "–", "16.3")
    for row in (low, high):
        assert int(row[7]) < int(row[2])
    assert int(low[2]) < int(high[2])


def test_the_curves_cross_in_the_operating_points(coupe):
    picture = air(coupe).pictures[0]
    steps = air_by_step(coupe.case.plant, coupe.case.mounting.blower_voltage_v)
    assert [(s.x, s.y) for s in picture.spots] == [
        (s.clean.total_m3_h, s.clean.blower_static_pa) for s in steps
    ]
    labels = [line.label for line in picture.lines]
    assert labels[-2:] == ["car, clean filter", "car, clogged filter"]
    assert all(len(line.x) == len(line.y) > 2 for line in picture.lines)


def test_the_bars_are_the_vents_with_the_limit_they_are_held_against(every):
    for context in every:
        bars, flow = air(context).pictures[1].bars, flow_of(context)
        assert [bar.value for bar in bars] == pytest.approx(flow.outlet_velocity_m_s, abs=0.005)
        # common practice, no source: 6 to 12 m/s
        assert all(bar.mark == (12 if bar.value >= 6 else 6) for bar in bars)


def test_vents_too_slow_and_too_fast_are_told(coupe):
    # common practice, no source: 6 to 12 m/s at the highest step
    assert not {"vent-slow", "vent-fast"} & codes(air(coupe))
    outlets = coupe.case.plant.air_path.outlets
    narrow = changed(coupe, path={"outlets": tuple(replace(o, free_area_cm2=12.0) for o in outlets)})
    wide = changed(coupe, path={"outlets": tuple(replace(o, free_area_cm2=60.0) for o in outlets)})
    assert "vent-fast" in codes(air(narrow))
    assert "vent-slow" in codes(air(wide))


def test_slow_vents_are_told_with_their_slowest_and_fastest(coupe):
    areas = (60.0, 45.0, 60.0, 60.0)
    outlets = coupe.case.plant.air_path.outlets
    wide = [replace(o, free_area_cm2=areas[i % len(areas)]) for i, o in enumerate(outlets)]
    context = changed(coupe, path={"outlets": tuple(wide)})
    flow = flow_of(context)
    # common practice, no source: at least 6 m/s
    slow = [v for v in flow.outlet_velocity_m_s if v < 6]
    assert len(slow) > 1 and f"{min(slow):.1f}" != f"{max(slow):.1f}"
    (told,) = [r.sentence for r in air(context).remarks if r.code == "vent-slow"]
    assert f"at {min(slow):.1f} to {max(slow):.1f} m/s" in told


def test_a_filter_that_costs_much_when_clogged_is_told(coupe):
    thick = changed(coupe, path={"clogged_filter": Resistance(250, 320, 2)})
    assert "filter-clogged" in codes(air(thick))
    assert "filter-clogged" not in codes(air(coupe))


def test_a_filter_without_its_drop_is_told_with_the_field_that_mends_it(coupe):
    (remark,) = [
        r for r in air(changed(coupe, path={"filter": None})).remarks if r.code == "filter-drop-missing"
    ]
    assert (remark.mend.sheet, remark.mend.field) == ("Filters", "clean_drop_pa")
    assert remark.mend.key[0] == coupe.kit.plant["filter"].part


def test_a_blower_that_draws_more_than_its_fuse_holds_is_told(coupe):
    weak = tuple(replace(w, fuse_a=10.0 if w.fuse_a == 30 else w.fuse_a) for w in coupe.kit.wires)
    (remark,) = [
        r
        for r in air(replace(coupe, kit=replace(coupe.kit, wires=weak))).remarks
        if r.code == "blower-over-fuse"
    ]
    assert remark.where.startswith("circuit:500/")
    assert "its fuse holds 10.0 A" in remark.sentence
    assert "blower-over-fuse" not in codes(air(coupe))


def test_a_blower_without_steps_is_told_where_to_add_one(coupe):
    (remark,) = [
        r for r in air(changed(coupe, plant={"blower_steps": ()})).remarks if r.code == "blower-no-steps"
    ]
    assert remark.mend.is_new
    assert dict(remark.mend.given)["part_number"] == coupe.kit.plant["blower"].part
    stepped = changed(coupe, plant={"blower_steps": ((1, 1.0),)})
    assert "blower-no-steps" not in codes(air(stepped))


def test_a_trial_calibrates_and_says_by_how_much(coupe):
    volts = coupe.case.mounting.blower_voltage_v
    topic = air(tried(coupe, TrialPoint.at_plug(330, 300, volts, 20)))
    assert "Calibrated by a trial: measured, bench car." in topic.answer
    assert "moves 330 m³/h against 300 Pa" in topic.answer
    assert {"Trial over prediction: losses", "Trial over prediction: blower's pressure"} <= set(texts(topic))
    assert "air-trial-apart" not in codes(topic)


def test_a_trial_far_from_the_blowers_curve_is_doubted_and_one_outside_it_not_used(coupe):
    volts = coupe.case.mounting.blower_voltage_v
    flow = flow_of(coupe)
    far = TrialPoint.at_plug(flow.total_m3_h, 0.8 * flow.blower_static_pa, volts, 20)
    assert "air-trial-apart" in codes(air(tried(coupe, far)))
    topic = air(tried(coupe, TrialPoint.at_plug(900, 300, volts, 20)))
    (remark,) = [r for r in topic.remarks if r.code == "air-trial-unusable"]
    assert "outside the blower's curve" in remark.sentence
    assert f"moves {flow.total_m3_h:.0f} m³/h" in topic.answer


def test_without_a_voltage_nothing_is_said_and_with_a_curve_that_ends_early_its_reason(coupe):
    topic = air(changed(coupe, mounting={"blower_voltage_v": None}))
    assert "voltage at the blower's plug is not recorded" in topic.answer
    assert not topic.figures
    path = coupe.case.plant.air_path
    short = replace(path.blower, curve=path.blower.curve[:2], current=path.blower.current[:1])
    topic = air(changed(coupe, path={"blower": short}))
    assert "pass the last row of the blower curve" in topic.answer
    assert codes(topic) == {"blower-outside-curve"}


def test_every_figure_opens_to_a_formula_its_validity_and_its_source(coupe):
    volts = coupe.case.mounting.blower_voltage_v
    for one in air(tried(coupe, TrialPoint.at_plug(330, 300, volts, 20))).figures:
        function = named(one.function)
        assert function is not None, one.label
        told = explanation_of(function)
        assert told.formula and told.parameters and told.validity and told.source and told.check, one.function


def test_each_of_two_coils_has_the_plug_that_the_whole_car_leaves_it_at_idle(world):
    """Read on a generator that is short: what both blowers took then counts for either."""
    whole = next(c for c in contexts(world) if c.case.key == ("V30-TWIN", "V30", "S18L"))
    curve = tuple((rpm, min(ampere, 30.0)) for rpm, ampere in whole.case.car.charging_curve)
    mounting = replace(whole.case.mounting, blower_voltage_v=12.0)
    weak = replace(whole.case, car=replace(whole.case.car, charging_curve=curve), mounting=mounting)
    coils = replace(whole, case=weak, record=size([weak])[0]).of_coils()
    assert [coil.whole for coil in coils] == [weak, weak]
    (read_v,) = supplies_read_v([weak])
    assert 12.1 < read_v < 12.61
    for coil, answer in zip(
        coils, next(d for d in size([weak])[0].duties if d.kind == "idle").coils, strict=True
    ):
        (one,) = idle_airs(coil)
        assert one.supply_read_v == read_v
        assert one.plug_v == pytest.approx(answer.blower_v, rel=1e-9)
    told = next(f for f in air(replace(whole, case=weak)).figures if "supply as the plug was read" in f.label)
    assert {"Kit as that was read", "At the rear plug"} <= {i.label for i in told.inputs}
