"""The refrigerant's states are those of the balance: energy closes, and each is CoolProp's."""

from dataclasses import replace
from functools import cache

import pytest
from CoolProp.CoolProp import PropsSI

from kits.sizing.case.case import Duty
from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.circuit.cycle_points import CyclePoint, cycle_points, dome, enthalpy_offset_j_kg
from tests.kits.sizing.cases import CRUISE, IDLE, case

FLUIDS = {"R-134a": "R134a", "R-1234yf": "R1234yf"}
SUPERHEAT_K, SUBCOOLING_K, GAIN_K = 5.0, 5.0, 3.0
PLANTS = (("R-134a", "cycling"), ("R-134a", "suction-regulated"), ("R-1234yf", "cycling"))
EACH = pytest.mark.parametrize(
    ("gas", "mode", "duty"), [(*plant, duty) for plant in PLANTS for duty in (CRUISE, IDLE)]
)


@cache
def solved(gas: str, mode: str, code: str) -> DutyAnswer:
    """The answer of a plant at a duty point."""
    duty = CRUISE if code == CRUISE.code else IDLE
    return answers_at(case(refrigerant=gas, freeze_mode=mode), [duty], with_holds=False)[0]


def points_of(gas: str, answer: DutyAnswer) -> dict[str, CyclePoint]:
    return {p.code: p for p in cycle_points(refrigerant(gas), answer, SUPERHEAT_K, SUBCOOLING_K, GAIN_K)}


@EACH
def test_energy_closes_with_the_balance(gas: str, mode: str, duty: Duty) -> None:
    answer = solved(gas, mode, duty.code)
    at = points_of(gas, answer)
    flow = (answer.flow_g_s or 0) / 1000
    assert flow * (at["1"].h_j_kg - at["6"].h_j_kg) == pytest.approx(answer.capacity_w, rel=1e-6)
    assert flow * (at["3"].h_j_kg - at["2"].h_j_kg) == pytest.approx(answer.power_w, rel=1e-6)
    assert flow * (at["4"].h_j_kg - at["5"].h_j_kg) == pytest.approx(answer.heat_rejected_w, rel=1e-6)
    gained = at["2"].h_j_kg - at["1"].h_j_kg
    assert answer.capacity_w + answer.power_w + flow * gained == pytest.approx(
        answer.heat_rejected_w, rel=1e-6
    )


@EACH
def test_each_state_is_that_of_the_refrigerant(gas: str, mode: str, duty: Duty) -> None:
    answer = solved(gas, mode, duty.code)
    # source: CoolProp, by pressure and temperature; enthalpy of saturated liquid at 0 °C as 200 kJ/kg
    fluid = FLUIDS[gas]
    zero = PropsSI("H", "T", 273.15, "Q", 0, fluid) - 200e3
    for point in points_of(gas, answer).values():
        if point.code == "6":
            expected = PropsSI("T", "P", point.pressure_pa, "Q", 0.3, fluid) - 273.15
            assert point.temperature_c == pytest.approx(expected, abs=0.01)
            continue
        h = PropsSI("H", "P", point.pressure_pa, "T", point.temperature_c + 273.15, fluid) - zero
        assert point.h_j_kg == pytest.approx(h, abs=100), point.place


@EACH
def test_pressures_fall_in_the_hoses_and_enthalpy_stays_in_the_valve(gas: str, mode: str, duty: Duty) -> None:
    answer = solved(gas, mode, duty.code)
    at = points_of(gas, answer)
    assert at["1"].pressure_pa > at["2"].pressure_pa
    assert at["3"].pressure_pa > at["4"].pressure_pa == at["5"].pressure_pa
    assert at["5"].h_j_kg == at["6"].h_j_kg and at["3"].h_j_kg == at["4"].h_j_kg
    assert at["3"].temperature_c == answer.discharge_c


def test_a_valve_in_the_suction_stands_as_a_state_of_its_own() -> None:
    throttled = solved("R-134a", "suction-regulated", CRUISE.code)
    assert throttled.status == "freeze-limited"
    at = points_of("R-134a", throttled)
    assert at["2a"].h_j_kg == at["2"].h_j_kg
    assert at["2a"].pressure_pa > at["2"].pressure_pa
    assert "2a" not in points_of("R-134a", solved("R-134a", "cycling", CRUISE.code))


def test_a_duty_point_that_was_not_solved_has_no_states() -> None:
    answer = replace(solved("R-134a", "cycling", CRUISE.code), flow_g_s=None)
    with pytest.raises(ValueError, match="not solved"):
        points_of("R-134a", answer)


@pytest.mark.parametrize("gas", FLUIDS)
def test_the_dome_is_the_saturation_line(gas: str) -> None:
    # source: CoolProp
    liquid, vapour, pressure = dome(refrigerant(gas))
    zero = PropsSI("H", "T", 273.15, "Q", 0, FLUIDS[gas]) - 200e3
    assert (vapour > liquid).all() and (pressure[1:] > pressure[:-1]).all()
    for i in (0, len(pressure) // 2, len(pressure) - 1):
        assert liquid[i] == pytest.approx(PropsSI("H", "P", pressure[i], "Q", 0, FLUIDS[gas]) - zero, abs=50)
        assert vapour[i] == pytest.approx(PropsSI("H", "P", pressure[i], "Q", 1, FLUIDS[gas]) - zero, abs=50)
    at_zero = float(refrigerant(gas).saturation(0.0).h_l)
    assert at_zero + enthalpy_offset_j_kg(refrigerant(gas)) == pytest.approx(200e3)
