"""The battery after a hot idle: sums done by hand, limits, and refusals."""

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.electrics import battery
from kits.sizing.electrics.battery import ChargingCurve, battery_after_idle, idle_sentence, system_of_rating_v

# common practice: dynamo of a 12 V car, ratio about 1.7, cut-in at 720 engine rpm
DYNAMO = ChargingCurve(((720, 0), (1150, 22)))
CURRENTS = st.floats(0, 80)


def test_output_is_linear_between_the_rows() -> None:
    assert DYNAMO.current_a(720) == 0
    assert DYNAMO.current_a(935) == pytest.approx(11)
    assert DYNAMO.current_a(1150) == 22


def test_below_the_cut_in_speed_a_generator_gives_nothing() -> None:
    assert DYNAMO.current_a(600) == 0


def test_below_a_first_row_with_current_nothing_is_known() -> None:
    surveyed = ChargingCurve(((800, 6), (1500, 20)))
    with pytest.raises(ValueError, match="cut-in speed with 0 A"):
        surveyed.current_a(650)
    assert np.isnan(surveyed.current_a(np.array([650, 800, 1600]))).tolist() == [True, False, True]


@pytest.mark.parametrize("rpm", [1151, -1, float("nan")])
def test_an_engine_speed_off_the_curve_is_refused(rpm: float) -> None:
    with pytest.raises(ValueError, match="720 to 1150 rpm"):
        DYNAMO.current_a(rpm)


@pytest.mark.parametrize("rows", [(), ((800, 5), (700, 9)), ((800, -1),), ((800, float("nan")),)])
def test_a_curve_that_makes_no_sense_is_refused(rows: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValueError, match="rising engine speed"):
        ChargingCurve(rows)


def test_a_deficit_of_20_a_by_hand() -> None:
    # 20 A for 15 min are 5 A·h of 50: charge 0.90 -> 0.80
    # open circuit 11.8 + 0.9·0.80 = 12.52 V; less 20 A · 0.012 Ω = 0.24 V: 12.28 V
    got = battery_after_idle(
        2, 8, 14, 12, capacity_ah=50, internal_resistance_ohm=0.012, start_state_of_charge=0.9, minutes=15
    )
    assert got.deficit_a == 20
    assert got.state_of_charge == pytest.approx(0.80)
    assert got.volts == pytest.approx(12.28)
    assert got.minutes_to_flat == pytest.approx(135)
    assert got.criterion_met


def test_a_deficit_of_30_a_by_hand_misses_the_criterion() -> None:
    # 7.5 A·h of 50: charge 0.75; 11.8 + 0.675 - 0.36 = 12.115 V
    got = battery_after_idle(
        0, 8, 22, 12, capacity_ah=50, internal_resistance_ohm=0.012, start_state_of_charge=0.9, minutes=15
    )
    assert got.volts == pytest.approx(12.115)
    assert got.least_volts == 12.2
    assert not got.criterion_met


def test_six_volts_are_half_of_twelve_in_everything() -> None:
    twelve, six = battery_after_idle(2, 8, 14, 12), battery_after_idle(2, 8, 14, 6)
    assert six.volts == pytest.approx(twelve.volts / 2)
    assert six.least_volts == pytest.approx(twelve.least_volts / 2)
    assert six.criterion_met == twelve.criterion_met


def test_with_a_surplus_the_regulator_holds_its_voltage() -> None:
    got = battery_after_idle(40, 8, 25, 12)
    assert got.deficit_a == -7
    # a regulator holds more than a full battery stands at by itself, and less than makes it gas (14.4 V, from memory)
    assert 12.8 < got.volts < 14.4
    assert battery_after_idle(80, 8, 25, 12).volts == got.volts
    assert got.minutes_to_flat == np.inf
    assert got.criterion_met


def test_a_battery_that_runs_flat_has_no_voltage_and_meets_nothing() -> None:
    got = battery_after_idle(0, 20, 40, 12, capacity_ah=10, start_state_of_charge=0.9)
    assert np.isnan(got.volts)
    assert got.minutes_to_flat == pytest.approx(9)
    assert not got.criterion_met


@given(CURRENTS, CURRENTS, CURRENTS, st.floats(0.1, 20))
def test_more_load_never_means_more_volts(generator: float, base: float, kit: float, more: float) -> None:
    volts = np.nan_to_num(battery_after_idle(generator, base, np.array([kit, kit + more]), 12).volts)
    assert volts[1] <= volts[0]


@given(CURRENTS, CURRENTS, CURRENTS, st.floats(0.1, 20))
def test_more_generator_never_means_fewer_volts(gen: float, base: float, kit: float, more: float) -> None:
    volts = np.nan_to_num(battery_after_idle(np.array([gen, gen + more]), base, kit, 12).volts)
    assert volts[1] >= volts[0]


@given(st.floats(1, 40), st.floats(0.1, 1), st.floats(20, 100))
def test_charge_taken_is_current_by_time(load: float, start: float, capacity: float) -> None:
    got = battery_after_idle(
        0, load, 0, 12, capacity_ah=capacity, start_state_of_charge=start, minutes=np.array([0.0, 12.0])
    )
    if not np.isnan(got.state_of_charge[1]):
        assert (got.state_of_charge[0] - got.state_of_charge[1]) * capacity == pytest.approx(load * 0.2)


def test_systems_of_four_and_of_twelve_cells_by_hand() -> None:
    # 20 A for 15 min are 5 of 100 A·h: charge 0.85; 2·(11.8 + 0.9·0.85) V, less 20 A through 2·12 mΩ/2
    truck = battery_after_idle(0, 12, 8, 24, capacity_ah=100)
    assert float(truck.volts) == pytest.approx(25.13 - 0.24)
    assert float(truck.least_volts) == pytest.approx(24.4)
    # 10 A are 2.5 of 50 A·h: two thirds of 12.565 V, less 10 A through 8 mΩ
    tractor = battery_after_idle(0, 4, 6, 8, capacity_ah=50)
    assert float(tractor.volts) == pytest.approx(8.3767 - 0.08, abs=1e-4)
    assert float(battery_after_idle(9, 2, 3, 24).volts) == pytest.approx(27.6)


def test_twice_the_capacity_has_half_the_resistance() -> None:
    # at the first moment only the resistance counts: 20 A through 12 and 6 mΩ
    small, large = (battery_after_idle(0, 20, 0, 12, capacity_ah=ah, minutes=0).volts for ah in (50, 100))
    assert float(large) - float(small) == pytest.approx(0.12)


@pytest.mark.parametrize(
    ("rated_v", "system_v"),
    [(13.5, 12), (12, 12), (14, 12), (24, 24), (27, 24), (28.5, 24), (6, 6), (7, 6), (8, 8), (9, 8), (5, None),
     (345, None), (18, None)],
)  # fmt: skip
def test_a_rating_tells_for_which_system_a_part_is_made(rated_v: float, system_v: float | None) -> None:
    assert system_of_rating_v(rated_v) == system_v


@pytest.mark.parametrize(
    "change",
    [
        {"generator_a": -1},
        {"base_load_a": float("nan")},
        {"kit_load_a": -3},
        {"nominal_voltage_v": 48},
        {"nominal_voltage_v": 0},
        {"capacity_ah": 0},
        {"internal_resistance_ohm": -0.01},
        {"start_state_of_charge": 1.2},
        {"minutes": -1},
    ],
)
def test_bad_input_is_refused_alone_and_marked_in_a_batch(change: dict[str, float]) -> None:
    usual: dict[str, float] = {
        "generator_a": 5, "base_load_a": 8, "kit_load_a": 14, "nominal_voltage_v": 12,
        "capacity_ah": 50, "internal_resistance_ohm": 0.01, "start_state_of_charge": 0.9, "minutes": 15,
    }  # fmt: skip
    with pytest.raises(ValueError, match="battery needs"):
        battery_after_idle(**(usual | change))
    got = battery_after_idle(**{k: np.array([v, (usual | change)[k]]) for k, v in usual.items()})
    assert np.isnan(got.volts).tolist() == [False, True]
    assert got.criterion_met.tolist() == [True, False]


@pytest.mark.parametrize(
    ("kit_load_a", "words"),
    [
        (2, "10 A to spare"),
        (11.7, "with less than 1 A to spare"),
        (12.3, "less than 1 A come from the battery"),
        # 3.75 A·h of 50: charge 0.825; 11.8 + 0.7425 - 0.18 = 12.3625 V
        (27, "15 A come from the battery; after 15 min it holds 12.36 V, at least the 12.20 V"),
        (50, "below the 12.20 V"),
        (230, "flat after 12 min"),
    ],
)
def test_the_sentence_says_what_happens(kit_load_a: float, words: str) -> None:
    got = battery_after_idle(20, 8, kit_load_a, 12)
    row = [float(v) for v in (got.volts, got.deficit_a, got.minutes_to_flat, got.least_volts)]
    assert words in idle_sentence(row[0], row[1], row[2], row[3], minutes=15)


def test_every_constant_carries_unit_and_source() -> None:
    rows = json.loads(battery.DATA_FILE.read_text(encoding="utf-8"))
    for name in battery.BatteryConstants.__dataclass_fields__:
        assert rows[name]["unit"]
        assert rows[name]["source"].startswith(("common practice, no source", "from memory"))
