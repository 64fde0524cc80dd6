"""Supply and blower at hot idle: by hand, at the limits, in one direction, and against a direct solution."""

from collections import Counter
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.electrics.battery import battery_after_idle
from kits.sizing.electrics.idle_supply import idle_supply, kit_as_read_a, kit_on_supply_a, plug_v, reading_v
from tests.reference.direct_idle import solve_idle_directly

USUAL: dict[str, Any] = {
    "generator_a": 10.0,
    "base_load_a": 6.0,
    "kit_load_a": 28.0,
    "nominal_voltage_v": 12.0,
    "capacity_ah": 50.0,
    "supply_read_v": 13.8,
    "blower_v": 13.0,
    "blower_a": 13.0,
}
CURRENTS, MORE = st.floats(0, 80), st.floats(0.1, 20)


def supply(**changes: Any) -> Any:
    return idle_supply(**(USUAL | changes))


def test_a_blower_that_slows_down_to_nine_tenths_by_hand() -> None:
    # 0.9 · 13 V = 11.7 V: it takes 0.81 of its 14 A, 2.66 A less; its circuit loses 0.81 · 0.8 V: 12.348 V
    # the battery has 12.61 V − 0.0165 Ω · I (12 mΩ and 0.9 V · 0.25 h/50 A·h): 12.348 V at 15.8788 A
    taken_a = 0.262 / 0.0165
    got = idle_supply(
        generator_a=0,
        base_load_a=2,
        kit_load_a=taken_a + 2.66 - 2,
        nominal_voltage_v=12,
        capacity_ah=50,
        supply_read_v=13.8,
        blower_v=13,
        blower_a=14,
    )
    assert got.blower_v == pytest.approx(11.7)
    assert got.supply_v == got.battery.volts == pytest.approx(12.348)
    assert got.battery.deficit_a == pytest.approx(taken_a)
    assert got.kit_a == pytest.approx(taken_a - 2)


def test_a_kits_current_is_carried_from_the_rated_voltage_of_its_blowers_to_what_their_plugs_get() -> None:
    # 19.2 A at 13.5 V are 15.17 A at 12 V
    at_12_v = 19.2 * (12 / 13.5) ** 2
    assert kit_as_read_a(39.6, 19.2, at_12_v) == pytest.approx(35.57, abs=0.005)
    assert kit_as_read_a(39.6, 19.2, 19.2) == 39.6
    assert kit_as_read_a(43.6, 12.0, 11.0, 11.0, 10.5) == pytest.approx(42.1)
    # a kit that only heats is its blower
    assert kit_as_read_a(12.0, 12.0, 11.27) == pytest.approx(11.27)
    with pytest.raises(ValueError, match="holds what its blowers take"):
        kit_as_read_a(3.0, 14.0, 9.0)


def test_on_another_supply_the_kit_takes_what_its_blower_then_takes() -> None:
    # as by hand above: at 12.348 V the blower has nine tenths of its volts and takes 2.66 A less
    assert kit_on_supply_a(
        supply_v=12.348, kit_load_a=30.0, supply_read_v=13.8, blower_v=13.0, blower_a=14.0
    ) == pytest.approx(27.34)
    assert (
        kit_on_supply_a(supply_v=13.8, kit_load_a=30.0, supply_read_v=13.8, blower_v=13.0, blower_a=14.0)
        == 30.0
    )
    both = kit_on_supply_a(
        supply_v=12.348,
        kit_load_a=30.0,
        supply_read_v=13.8,
        blower_v=13.0,
        blower_a=7.0,
        rear_blower_v=13.0,
        rear_blower_a=7.0,
    )
    assert both == pytest.approx(27.34)


def test_a_load_that_leaves_no_volts_is_refused_and_no_negative_supply_is_handed_out() -> None:
    with pytest.raises(ValueError, match="loads that leave volts at all"):
        supply(base_load_a=5000.0)
    loads = np.geomspace(10.0, 1e6, 200)
    got = supply(base_load_a=loads)
    assert np.isnan(got.supply_v).any() and np.isfinite(got.supply_v).any()
    assert np.all(got.supply_v[np.isfinite(got.supply_v)] > 0)


def test_with_a_surplus_everything_is_as_recorded() -> None:
    got = supply(generator_a=34.0)
    assert (got.blower_v, got.kit_a, got.battery.volts, got.battery.deficit_a) == (13.0, 28.0, 13.8, 0.0)
    assert supply(generator_a=60.0, blower_v=14.1, supply_read_v=14.1).blower_v == 14.1


def test_a_blower_that_takes_nothing_changes_nothing_of_the_battery() -> None:
    got, alone = supply(blower_a=0.0), battery_after_idle(10, 6, 28, 12, capacity_ah=50)
    assert got.battery.volts == pytest.approx(float(alone.volts), rel=1e-12)
    assert got.kit_a == 28.0
    assert got.blower_v == pytest.approx(float(plug_v(alone.volts, 13.0, 13.8)), rel=1e-9)


def test_a_circuit_that_loses_nothing_brings_the_batterys_own_volts() -> None:
    got = supply(blower_v=13.8)
    assert got.blower_v == pytest.approx(float(got.battery.volts), rel=1e-12)
    # more than the usual regulated volts were read: no loss is known
    above = supply(blower_v=14.2, supply_read_v=14.2)
    assert above.blower_v == pytest.approx(float(above.battery.volts), rel=1e-12)


def test_without_any_current_taken_the_battery_stands_open() -> None:
    # 0.9 charged: 11.8 + 0.9 · 0.9 V; a hair is taken, as nothing at all would leave the regulator at work
    got = supply(generator_a=0.0, base_load_a=1e-6, kit_load_a=0.0, blower_a=0.0)
    assert got.supply_v == pytest.approx(12.61)


def test_where_the_blower_saves_what_is_short_the_generator_just_carries_all() -> None:
    # 34 A are asked at 13.8 V and 33 A given: at 12.61 V the blower saves more than that 1 A, which can't charge
    got = supply(generator_a=33.0)
    assert got.battery.deficit_a == 0
    assert got.battery.minutes_to_flat == np.inf
    assert 12.61 < got.battery.volts < 13.8
    assert got.kit_a == pytest.approx(27.0, abs=1e-8)
    assert got.battery.criterion_met


def test_the_volts_do_not_jump_where_the_battery_begins_to_give() -> None:
    generator = np.linspace(20.0, 36.0, 2001)
    got = supply(generator_a=generator)
    assert np.max(np.diff(got.supply_v)) < 0.02
    assert np.all(np.diff(got.supply_v) >= -1e-9)
    assert got.battery.deficit_a[0] > 5
    assert got.battery.deficit_a[-1] < 0


def test_a_battery_that_is_flat_before_leaves_the_blower_the_volts_of_that_moment() -> None:
    got = supply(generator_a=0.0, capacity_ah=6.0)
    assert np.isnan(got.battery.volts)
    assert got.battery.minutes_to_flat < 15
    # empty, less what its resistance takes: 12 mΩ · 50/6
    assert got.supply_v == pytest.approx(11.8 - 0.1 * float(got.battery.deficit_a))
    assert got.blower_v < got.supply_v


def test_two_equal_blowers_are_as_one_of_their_current() -> None:
    one = supply(blower_a=12.0)
    two = supply(blower_a=6.0, rear_blower_v=13.0, rear_blower_a=6.0)
    assert (two.blower_v, two.rear_blower_v) == pytest.approx((one.blower_v, one.blower_v))
    longer = supply(blower_a=6.0, rear_blower_v=12.6, rear_blower_a=6.0)
    assert longer.rear_blower_v < longer.blower_v


@pytest.mark.parametrize("cells", [0.5, 2 / 3, 2.0])
def test_other_systems_have_the_same_by_their_cells(cells: float) -> None:
    other = supply(nominal_voltage_v=12 * cells, blower_v=13 * cells, supply_read_v=13.8 * cells)
    assert other.blower_v == pytest.approx(supply().blower_v * cells)
    assert other.kit_a == pytest.approx(supply().kit_a)


@given(CURRENTS, CURRENTS, st.floats(14, 80), st.floats(20, 100), MORE)
def test_more_generator_a_larger_battery_and_less_load_never_slow_the_blower(
    generator: float, base: float, kit: float, capacity: float, more: float
) -> None:
    usual = {"generator_a": generator, "base_load_a": base, "kit_load_a": kit, "capacity_ah": capacity}
    for name, better in (("generator_a", more), ("capacity_ah", more), ("base_load_a", -min(more, base))):
        volts = supply(**(usual | {name: np.array([usual[name], usual[name] + better])})).blower_v
        assert volts[1] >= volts[0] - 1e-9, name


@given(st.floats(0.1, 30), st.floats(5, 13.8))
def test_the_volts_of_a_plug_put_back_into_its_circuit_give_the_supply(
    supplied: float, recorded: float
) -> None:
    u = float(plug_v(supplied, recorded, 13.8))
    assert u + (13.8 - recorded) * (u / recorded) ** 2 == pytest.approx(supplied, rel=1e-9)


def test_a_plug_is_read_at_regulated_volts_or_at_what_a_weak_dynamo_leaves() -> None:
    assert reading_v(
        most_generator_a=60, base_load_a=6, kit_load_a=28, nominal_voltage_v=12, capacity_ah=50, blower_v=13.2
    ) == pytest.approx(13.8)
    assert (
        reading_v(
            most_generator_a=60,
            base_load_a=6,
            kit_load_a=28,
            nominal_voltage_v=12,
            capacity_ah=50,
            blower_v=13.2,
            rear_blower_v=14.1,
        )
        == 14.1
    )
    assert reading_v(
        most_generator_a=60, base_load_a=6, kit_load_a=28, nominal_voltage_v=24, capacity_ah=50, blower_v=27.0
    ) == pytest.approx(27.6)
    # 43 A are asked and 22 A given: 12.61 V less 21 A through 12 mΩ, with nothing taken out of the battery yet
    assert reading_v(
        most_generator_a=22, base_load_a=3, kit_load_a=40, nominal_voltage_v=12, capacity_ah=50, blower_v=12.0
    ) == pytest.approx(12.358)
    # more arrives than that battery has: no loss is known
    assert (
        reading_v(
            most_generator_a=22,
            base_load_a=3,
            kit_load_a=40,
            nominal_voltage_v=12,
            capacity_ah=50,
            blower_v=12.5,
        )
        == 12.5
    )


def test_the_circuit_of_a_weak_dynamos_blower_is_not_blamed_for_what_the_dynamo_lacks() -> None:
    weak = {"generator_a": 0.0, "kit_load_a": 40.0, "blower_v": 12.0}
    told, blamed = (supply(**weak, supply_read_v=volts) for volts in (12.358, 13.8))
    assert told.battery.volts - told.blower_v == pytest.approx(0.33, abs=0.02)
    assert blamed.blower_v < told.blower_v - 0.8


def test_a_generator_that_carries_all_brings_more_than_was_read_on_a_weak_one() -> None:
    # read with other loads on: at 13.8 V the blower turns faster than it did
    got = supply(generator_a=60.0, blower_v=12.0, supply_read_v=12.4)
    assert got.supply_v == pytest.approx(13.8)
    assert got.blower_v == pytest.approx(float(plug_v(13.8, 12.0, 12.4)))
    assert got.kit_a > 28


def test_random_cars_are_those_of_the_direct_solution() -> None:
    # oracle: tests.reference.direct_idle
    rng = np.random.default_rng(12)
    n = 300
    nominal = rng.choice([6.0, 8.0, 12.0, 24.0], n)
    front_rated_a, rear_rated_a = rng.uniform(2, 25, n), rng.uniform(1, 15, n)
    given_a, base_a = rng.uniform(0, 60, n), rng.uniform(0, 15, n)
    most_a = given_a + rng.choice([0.0, 40.0], n)
    stated_a = front_rated_a + rear_rated_a + rng.uniform(0, 20, n)
    front_v, rear_v = (nominal * rng.uniform(0.85, 1.18, n) for _ in range(2))
    rated_v = nominal * 1.125
    front_a, rear_a = front_rated_a * (front_v / rated_v) ** 2, rear_rated_a * (rear_v / rated_v) ** 2
    kit_a = kit_as_read_a(stated_a, front_rated_a, front_a, rear_rated_a, rear_a)
    capacity = rng.uniform(3, 120, n)
    # other loads may have been on as the plugs were read
    read_a = base_a + rng.choice([0.0, 10.0], n)
    read_v = reading_v(
        most_generator_a=most_a,
        base_load_a=read_a,
        kit_load_a=kit_a,
        nominal_voltage_v=nominal,
        capacity_ah=capacity,
        blower_v=front_v,
        rear_blower_v=rear_v,
    )
    got = idle_supply(
        generator_a=given_a,
        base_load_a=base_a,
        kit_load_a=kit_a,
        nominal_voltage_v=nominal,
        capacity_ah=capacity,
        supply_read_v=read_v,
        blower_v=front_v,
        blower_a=front_a,
        rear_blower_v=rear_v,
        rear_blower_a=rear_a,
    )
    kinds: Counter[str] = Counter()
    for i in range(n):
        blowers = ((front_v[i], rated_v[i], front_rated_a[i]), (rear_v[i], rated_v[i], rear_rated_a[i]))
        direct = solve_idle_directly(
            given_a[i],
            base_a[i],
            stated_a[i],
            nominal[i],
            blowers,
            capacity[i],
            most_a[i],
            base_read_a=read_a[i],
        )
        told = (got.supply_v[i], got.kit_a[i], got.blower_v[i], got.rear_blower_v[i])
        assert told == pytest.approx((direct.supply_v, direct.kit_a, *direct.plugs_v), rel=1e-7), i
        assert max(got.battery.deficit_a[i], 0) == pytest.approx(direct.taken_a, abs=1e-6)
        assert np.isnan(got.battery.volts[i]) == direct.is_flat
        kind = "flat" if direct.is_flat else "taken" if direct.taken_a else "carried"
        kinds[f"{kind}, just" if kind == "carried" and got.battery.deficit_a[i] == 0 else kind] += 1
    assert set(kinds) == {"flat", "taken", "carried", "carried, just"}, kinds
    assert np.count_nonzero(read_v < 1.14 * nominal) > 20, "some were read on a weak generator"


@pytest.mark.parametrize(
    "change",
    [
        {"generator_a": -1.0},
        {"nominal_voltage_v": 48.0},
        {"supply_read_v": 12.9},
        {"blower_v": 0.0},
        {"blower_v": float("nan")},
        {"blower_a": -1.0},
        {"blower_a": 31.0},
        {"rear_blower_v": 0.0},
        {"rear_blower_a": 18.0},
        {"capacity_ah": 0.0},
        {"base_load_a": 5000.0},
    ],
)
def test_bad_input_is_refused_alone_and_marked_in_a_batch(change: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="supply at idle needs"):
        supply(**change)
    usual = USUAL | {"rear_blower_v": 13.0, "rear_blower_a": 0.0}
    got = idle_supply(**{k: np.array([v, (usual | change)[k]]) for k, v in usual.items()})
    assert np.isnan(got.blower_v).tolist() == [False, True]
    assert np.isnan(got.battery.volts).tolist() == [False, True]
    assert got.battery.criterion_met.tolist() == [True, False]
