"""A fitment with two coils: as one where they are one, more with a real rear unit, each coil told beside the sum."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.balance.both_coils import BothCoils, at_surface, mixed, solve_plant
from kits.sizing.balance.two_coils import SecondCoil
from kits.sizing.case.case import Case, Point
from kits.sizing.case.plant import Line
from kits.sizing.run.batch import build, kind_of
from kits.sizing.run.run import balance_temperature, hold
from kits.sizing.study.study_gas import compare_gases
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.coil_answers import of_coil
from kits.sizing.verdict.record import SizingRecord
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.cases import (
    AIR_PATH,
    CRUISE,
    IDLE,
    TOWN,
    case,
    half,
    rear_coil,
    smaller,
)
from tests.kits.sizing.plants import COIL, plant
from tests.vehicles.heatload.cars import COUPE, VAN
from vehicles.heatload.load import moisture_in_kg_s
from vehicles.physics.air import enthalpy_j_kg

SEALED = replace(COUPE, flap_leak_share=0.0)
"""With a flap that leaks the halves differ: only the front one draws outside air."""
MILD = replace(CRUISE, code="mild", climate=replace(CRUISE.climate, outside_c=24.0))
SAME = ("capacity_w", "capacity_sensible_w", "load_w", "power_w", "airflow_m3_h", "condensate_kg_h", "flow_g_s",
        "heat_rejected_w", "duty_share", "coil_air_kg_s", "high_side_bar_g", "low_side_bar_g")  # fmt: skip
SAME_C = (
    "vent_c",
    "holds_c",
    "air_in_c",
    "air_off_c",
    "condensing_c",
    "evaporating_c",
    "surface_c",
    "discharge_c",
)


def assert_same(one: SizingRecord, two: SizingRecord, share: float, kelvin: float) -> None:
    assert (two.verdict, two.worst_duty_point, two.limit) == (one.verdict, one.worst_duty_point, one.limit)
    for a, b in zip(one.duties, two.duties, strict=True):
        assert (b.status, b.limit, b.verdict) == (a.status, a.limit, a.verdict), a.code
        assert {name for name in SAME + SAME_C if getattr(b, name) is None} == {
            name for name in SAME + SAME_C if getattr(a, name) is None
        }
        for name in SAME:
            assert getattr(b, name) == pytest.approx(getattr(a, name), rel=share), (a.code, name)
        for name in SAME_C:
            assert getattr(b, name) == pytest.approx(getattr(a, name), abs=kelvin), (a.code, name)


@pytest.fixture(scope="module")
def whole() -> Case:
    # the generator carries all at idle: with the air of the road the coil has full flow there
    return case(CRUISE, TOWN, IDLE, MILD, cabin=SEALED, charging_curve=((800.0, 40.0), (6000.0, 65.0)))


@pytest.fixture(scope="module")
def halves(whole: Case) -> Case:
    coil, path = smaller(COIL, 0.5), half(AIR_PATH)
    plant = replace(whole.plant, evaporator=coil, air_path=path, rear=rear_coil(coil, path))
    return replace(whole, unit=plant)


@pytest.fixture(scope="module")
def sized(whole: Case, halves: Case) -> list[SizingRecord]:
    return size([whole, halves])


def test_two_halves_are_the_whole(sized: list[SizingRecord]) -> None:
    # identity: everything that was divided by two stands twice; what is solved differently may differ by 0.1 %
    one, two = sized
    assert {"freeze-limited", "full"} <= {d.status for d in one.duties}
    assert_same(one, two, 1e-3, 0.02)
    assert two.margin_share == pytest.approx(one.margin_share, abs=1e-3)
    assert two.outlook.crossing_c == pytest.approx(one.outlook.crossing_c, abs=0.02)


def test_each_half_is_told_with_half_of_the_numbers(sized: list[SizingRecord]) -> None:
    one, two = sized
    for a, b in zip(one.duties, two.duties, strict=True):
        assert [coil.place for coil in b.coils] == ["front", "rear"]
        assert not a.coils
        for coil in b.coils:
            assert coil.capacity_w == pytest.approx(a.capacity_w / 2, rel=1e-3)
            assert coil.airflow_m3_h == pytest.approx(a.airflow_m3_h / 2, rel=1e-6)
            assert coil.vent_c == pytest.approx(a.vent_c, abs=0.02)
        assert b.intake_air_m3_h == pytest.approx(a.airflow_m3_h / 2)
        assert a.intake_air_m3_h == a.airflow_m3_h


def test_the_vents_of_both_are_told(sized: list[SizingRecord]) -> None:
    vents = sized[1].duties[0].vent_velocity_m_s
    assert set(vents) == {"1", "3", "rear 1", "rear 3"}
    assert vents["rear 1"] == pytest.approx(sized[0].duties[0].vent_velocity_m_s["1"], rel=1e-4)


def test_the_heat_of_both_blowers_is_load(sized: list[SizingRecord]) -> None:
    one, two = sized
    assert two.duties[0].sensible_w_by_term["blower"] == pytest.approx(
        one.duties[0].sensible_w_by_term["blower"], rel=1e-6
    )
    alone = two.duties[0].coils[0].airflow_m3_h
    assert alone < two.duties[0].airflow_m3_h


def test_a_rear_coil_with_hardly_any_air_is_none(whole: Case) -> None:
    leaking = replace(whole, car=replace(whole.car, cabin=COUPE))
    tiny = AIR_PATH.blower.curve
    blower = replace(
        AIR_PATH.blower,
        curve=tuple((flow * 1e-4, pa) for flow, pa in tiny),
        current=tuple((flow * 1e-4, ampere * 1e-4) for flow, ampere in AIR_PATH.blower.current),
    )
    series = (replace(r, rated_m3_h=r.rated_m3_h * 1e-4) for r in (AIR_PATH.intake, AIR_PATH.coil))
    intake, coil = series
    path = replace(AIR_PATH, blower=blower, intake=intake, coil=coil)
    # its fins are the warmer ones, so that they do not govern the freeze control
    model = smaller(COIL, 1e-4)
    model = replace(model, ua_ref_w_k=0.3 * model.ua_ref_w_k)
    with_it = replace(leaking, unit=replace(leaking.plant, rear=rear_coil(model, path)))
    assert_same(*size([leaking, with_it]), 1e-3, 0.02)


@pytest.fixture(scope="module")
def van() -> list[SizingRecord]:
    """A van with the front unit alone, and with a rear unit of 0.8 of it on 4 m of hose."""
    alone = case(CRUISE, TOWN, IDLE, cabin=VAN)
    unit = rear_coil(
        smaller(COIL, 0.8), AIR_PATH, line=Line(4.0, 0.0127, 3.0), front_line=Line(0.6, 0.0127, 1.0)
    )
    return size([alone, replace(alone, unit=replace(alone.plant, rear=unit))])


def test_a_rear_unit_brings_more_and_the_compressor_holds_it(van: list[SizingRecord]) -> None:
    alone, both = van
    for a, b in zip(alone.duties, both.duties, strict=True):
        assert b.capacity_w > 1.05 * a.capacity_w, a.code
        assert b.capacity_w < 2 * a.capacity_w
        assert b.capacity_w == pytest.approx(sum(coil.capacity_w for coil in b.coils))
        assert b.evaporating_c >= a.evaporating_c
    assert "compressor" in {b.limit for b in both.duties}
    before, after = (next(d for d in record.duties if d.code == "town") for record in van)
    assert after.holds_c < before.holds_c


def test_a_longer_hose_costs_the_coil_it_comes_from_and_gives_to_the_other(halves: Case) -> None:
    rear = halves.plant.rear
    assert rear is not None
    long = Line(6.0, 0.0095, 6.0)
    units = (rear, replace(rear, line=long), replace(rear, front_line=long))
    answers = [
        answers_at(replace(halves, unit=replace(halves.plant, rear=unit)), (IDLE,), with_holds=False)[0]
        for unit in units
    ]
    (front, other), at_rear, at_front = (a.coils for a in answers)
    assert at_rear[1].capacity_w < 0.97 * other.capacity_w
    assert at_rear[0].capacity_w > front.capacity_w
    assert at_front[0].capacity_w < 0.97 * front.capacity_w
    assert at_front[1].capacity_w > other.capacity_w
    assert {a.status for a in answers} == {"full"}


def test_the_plants_own_gas_gives_the_sizings_own_answers(halves: Case, sized: list[SizingRecord]) -> None:
    own, *others = compare_gases(halves)
    for told, stored in zip(own.duties, sized[1].duties, strict=True):
        assert told.capacity_w == pytest.approx(stored.capacity_w, rel=1e-6)
    assert all(len(answer.coils) == 2 for study in others for answer in study.duties)


def test_the_rear_unit_recirculates_and_the_front_one_has_the_air_mode(van: list[SizingRecord]) -> None:
    both = van[1].duties[0]
    front, rear = both.coils
    assert rear.air_in_c == pytest.approx(both.judged_at_c)
    # summer's flap lets some of the warmer outside air in
    assert front.air_in_c > rear.air_in_c
    assert front.air_in_c > both.air_in_c > rear.air_in_c


def test_heat_and_water_of_the_mixed_air_are_those_of_both_coils(van: list[SizingRecord]) -> None:
    # identity: m·(h_in - h_off) = Q, m·(W_in - W_off) = water
    for d in van[1].duties:
        h_in, h_off = enthalpy_j_kg(d.air_in_c, d.air_in_kg_kg), enthalpy_j_kg(d.air_off_c, d.air_off_kg_kg)
        assert d.coil_air_kg_s * (h_in - h_off) == pytest.approx(d.capacity_w, rel=1e-6)
        water = 3600 * d.coil_air_kg_s * (d.air_in_kg_kg - d.air_off_kg_kg)
        assert water == pytest.approx(d.condensate_kg_h, rel=1e-6)
        assert sum(coil.condensate_kg_h for coil in d.coils) == pytest.approx(d.condensate_kg_h, rel=1e-9)


def test_one_coil_is_told_alone_and_the_rest_is_left(van: list[SizingRecord]) -> None:
    alone, both = (record.duties[0] for record in van)
    front, rear = (of_coil(both, k) for k in (0, 1))
    assert rear.capacity_w == both.coils[1].capacity_w
    assert {code[:4] for code in rear.vent_velocity_m_s} == {"rear"}
    assert front.capacity_w == both.coils[0].capacity_w
    assert set(front.vent_velocity_m_s) == {"1", "2", "3", "4"}
    assert (front.load_w, front.margin_share, front.power_w) == (both.load_w, both.margin_share, both.power_w)
    assert of_coil(alone, 0) is alone


def test_both_coils_lines_end_at_the_same_pressure(van: list[SizingRecord]) -> None:
    # identity: what a coil's line loses is the way to the junction, and from there the same for both
    for d in van[1].duties:
        junctions = [coil.evaporating_c - coil.branch_loss_k for coil in d.coils]
        ends = [coil.evaporating_c - coil.suction_loss_k for coil in d.coils]
        assert junctions[0] == pytest.approx(junctions[1], abs=1e-6)
        assert ends[0] == pytest.approx(ends[1], abs=1e-9)
        assert ends[0] == pytest.approx(d.evaporating_c - d.suction_loss_k, abs=1e-9)
        assert 0 < d.coils[0].branch_loss_k < d.coils[1].branch_loss_k
        assert ends[0] < junctions[0]


def test_a_rear_blower_outside_its_curve_is_named(halves: Case) -> None:
    rear = halves.plant.rear
    assert rear is not None
    # a curve that ends where the blower still pushes: the flow would pass its last row
    short = replace(rear.air_path.blower, curve=rear.air_path.blower.curve[:2], current=((0.0, 7.0),))
    path = replace(rear.air_path, blower=short)
    bad = replace(halves, unit=replace(halves.plant, rear=replace(rear, air_path=path)))
    (answer,) = answers_at(bad, (CRUISE,), with_holds=False)
    assert answer.verdict == "not sized"
    assert "rear coil: So little resistance" in answer.missing[0].sentence


def test_points_with_and_without_a_rear_coil_are_no_batch(whole: Case, halves: Case) -> None:
    points = [Point(c, CRUISE) for c in (whole, halves)]
    assert kind_of(points[0]) != kind_of(points[1])
    with pytest.raises(ValueError, match="with or without a rear coil"):
        build(points)


def test_the_cabin_settles_where_both_coils_take_out_the_water_that_comes_in(halves: Case) -> None:
    # identity: water in = water out, and at the temperature that is held sensible heat in = sensible heat out
    batch = build([Point(halves, duty) for duty in (CRUISE, TOWN, MILD)])
    holds_c = balance_temperature(batch, np.arange(3))
    held = hold(batch, holds_c)
    brought = moisture_in_kg_s(batch.prepared, held.cabin_c, held.cabin_w)
    np.testing.assert_allclose(held.balance.condensate_kg_h, 3600 * brought, rtol=1e-3)
    np.testing.assert_allclose(held.balance.sensible_w, held.load.total_sensible_w, rtol=1e-3)


def test_fins_at_one_temperature_take_out_the_most(halves: Case) -> None:
    held = hold(build([Point(halves, CRUISE)]), np.array([25.0]))
    assert isinstance(held.balance, BothCoils)
    water, sensible = at_surface(held.inputs.freeze_surface_c, held.inputs, held.rear)
    assert held.balance.sensible_w <= sensible * (1 + 1e-9)
    assert held.balance.condensate_kg_h <= 3600 * water * (1 + 1e-9)


def test_mixed_air_keeps_enthalpy_and_water() -> None:
    # by hand: 1 kg/s of 30 °C and 3 kg/s of 10 °C, both dry, are 15 °C; 8 and 4 g/kg are 5 g/kg
    t, _ = mixed(np.array([[1.0], [3.0]]), np.array([[30.0], [10.0]]), np.zeros((2, 1)))
    assert t[0] == pytest.approx(15.0)
    _, w = mixed(np.array([[1.0], [3.0]]), np.array([[20.0], [20.0]]), np.array([[0.008], [0.004]]))
    assert w[0] == pytest.approx(0.005)


def test_a_row_that_is_refused_says_why_and_has_no_numbers() -> None:
    flat, _ = plant(speed_rpm=[2000.0, 0.0]).flat()
    rear = SecondCoil(
        evap_ua_air_w_k=flat.evap_ua_air_w_k,
        evap_ref_air_kg_s=flat.evap_ref_air_kg_s,
        evap_ua_ref_w_k=flat.evap_ua_ref_w_k,
        superheat_k=flat.superheat_k,
        air_kg_s=flat.air_kg_s,
        air_in_c=flat.air_in_c,
        air_in_w=flat.air_in_w,
    )
    found = solve_plant("R-134a", flat, rear)
    assert np.isfinite(found.capacity_w[0])
    assert np.isnan([found.capacity_w[1], found.air_off_c[1], found.speed_rpm[1], found.torque_nm[1]]).all()
    assert "speed" in found.reason[1]
