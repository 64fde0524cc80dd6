"""Direct solution of supply and blowers at hot idle, one car at a time, by nested Brent searches.

It shares no line and no constant file with the code under test. The battery's side is its current by the volts, the
loads' side the same; innermost is the voltage at each blower's plug behind the resistance of its circuit. A blower
takes what its motor states at its rated voltage, by the square of its volts; what else the kit takes is all that it
states less its blowers as they are rated, and stays.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from scipy.optimize import brentq

# of a lead-acid battery, for each cell
EMPTY_V, FULL_V, REGULATED_V = 11.8 / 6, 12.7 / 6, 13.8 / 6
CELL_OHM_AH = 0.012 / 6 * 50
START, HOURS = 0.9, 0.25
XTOL = 1e-13


@dataclass(frozen=True)
class Idle:
    """What it came to; taken_a from the battery."""

    supply_v: float
    taken_a: float
    kit_a: float
    plugs_v: tuple[float, ...]
    is_flat: bool


def solve_idle_directly(
    generator_a: float,
    base_a: float,
    kit_a: float,
    nominal_v: float,
    blowers: Sequence[tuple[float, float, float]],
    capacity_ah: float,
    most_generator_a: float,
    base_read_a: float | None = None,
    kit_read_a: float | None = None,
) -> Idle:
    """The state after a quarter of an hour.

    kit_a: with everything on, each blower at its rated voltage; blowers: volts read at the plug, with all of
    most_generator_a at work, rated voltage, and current at that; base_read_a and kit_read_a (stated in the same way)
    where other loads were on at the reading.
    """
    cells = round(nominal_v / 2)
    ohm = cells * CELL_OHM_AH / capacity_ah
    rest_v = cells * (EMPTY_V + (FULL_V - EMPTY_V) * START)
    rated_a = sum(amps for _, _, amps in blowers)

    def turning(volts: float, rated_v: float, amps: float) -> float:
        return amps * volts**2 / rated_v**2

    short_read_a = (base_a if base_read_a is None else base_read_a) - most_generator_a
    short_read_a += (kit_a if kit_read_a is None else kit_read_a) - rated_a
    short_read_a += sum(turning(read, rated_v, amps) for read, rated_v, amps in blowers)
    read_v = rest_v - ohm * short_read_a if short_read_a > 0 else cells * REGULATED_V
    read_v = max(read_v, *(volts for volts, _, _ in blowers))
    charging_v = max(read_v, cells * REGULATED_V)

    def plug(supply_v: float, volts: float, rated_v: float, amps: float) -> float:
        circuit_ohm = (read_v - volts) / turning(volts, rated_v, amps)

        def left(u: float) -> float:
            return u + circuit_ohm * turning(u, rated_v, amps) - supply_v

        return float(brentq(left, 0.0, 2 * supply_v, xtol=XTOL)) if supply_v > 0 else 0.0

    def kit(supply_v: float) -> float:
        return kit_a - rated_a + sum(turning(plug(supply_v, *one), *one[1:]) for one in blowers)

    def battery_v(taken_a: float) -> float:
        charge = max(START - taken_a * HOURS / capacity_ah, 0.0)
        return cells * (EMPTY_V + (FULL_V - EMPTY_V) * charge) - ohm * taken_a

    def told(supply_v: float, taken_a: float) -> Idle:
        plugs = tuple(plug(supply_v, *one) for one in blowers)
        return Idle(supply_v, taken_a, kit(supply_v), plugs, taken_a * HOURS > START * capacity_ah)

    def short_a(supply_v: float) -> float:
        return base_a + kit(supply_v) - generator_a

    if short_a(charging_v) <= 0:
        return told(charging_v, 0.0)
    if short_a(rest_v) <= 0:
        return told(float(brentq(short_a, rest_v, charging_v, xtol=XTOL)), 0.0)
    most_a = short_a(charging_v)
    taken_a = float(brentq(lambda a: short_a(battery_v(a)) - a, 0.0, most_a, xtol=XTOL))
    return told(battery_v(taken_a), taken_a)
