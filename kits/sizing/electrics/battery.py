"""The battery after minutes of hot idle: what the generator gives, what is missing, and the volts left."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import BoolArray, FloatArray, Refusal, answer, floats

DATA_FILE = Path(__file__).parent / "data" / "battery.json"
CONSTANTS_VOLTAGE_V = 12.0
"""Nominal voltage to which the voltages and the resistance in the data file belong."""
KNOWN_VOLTAGES_V = (6.0, 8.0, 12.0, 24.0)
"""Nominal voltages of the lead-acid systems of cars, vans and trucks: three, four, six and twelve cells."""
RATED_BAND = (0.9, 1.25)
"""Between which shares of its system's nominal voltage a consumer is rated; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class BatteryConstants:
    """Values of the data file, each with its unit and source there. Voltages and resistance: of 12 V."""

    empty_voltage_v: float
    full_voltage_v: float
    internal_resistance_ohm: float
    capacity_ah: float
    start_state_of_charge: float
    regulated_voltage_v: float
    least_voltage_v: float
    idle_minutes: float


@cache
def battery_constants() -> BatteryConstants:
    """The data file, read once."""
    rows = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    return BatteryConstants(**{name: float(row["value"]) for name, row in rows.items() if name != "_"})


@cache
def battery_sources() -> dict[str, str]:
    """Where each value of the data file comes from, by its name."""
    rows = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    return {name: str(row["source"]) for name, row in rows.items() if name != "_"}


@dataclass(frozen=True)
class ChargingCurve:
    """Generator output by engine speed, as measured hot: rows (engine_rpm, current_a), speeds rising."""

    rows: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        table = np.array(self.rows, dtype=float).reshape(-1, 2)
        if not (
            len(table) and np.all(np.isfinite(table) & (table >= 0)) and np.all(np.diff(table[:, 0]) > 0)
        ):
            raise Refusal("A charging curve needs rows of rising engine speed, and no negative current.")

    def current_a(self, engine_rpm: ArrayLike) -> FloatArray:
        """Current at this engine speed, A, linear between the rows.

        engine_rpm  up to the last row. Below the first row the answer is 0 only if that row is the cut-in
                    speed with 0 A; else nothing is known there.
        """
        rpm = floats(engine_rpm)
        at, ampere = np.array(self.rows, dtype=float).T
        valid = (rpm >= 0) & (rpm <= at[-1]) & ((rpm >= at[0]) | (ampere[0] == 0))
        sentence = (
            f"The charging curve is known from {at[0]:g} to {at[-1]:g} rpm only; "
            "it must begin at the cut-in speed with 0 A to speak for less."
        )
        return answer(np.interp(rpm, at, ampere), valid, sentence)


@dataclass(frozen=True, kw_only=True)
class IdleBattery:
    """The battery at the end of the idle; arrays over the points, or scalars."""

    volts: FloatArray
    """At the terminals; NaN where the battery would be flat before the time is over."""
    generator_a: FloatArray
    deficit_a: FloatArray
    """Loads minus generator; negative is a surplus."""
    state_of_charge: FloatArray
    """Share at the end; with a surplus the share at the start, as recharging isn't counted."""
    minutes_to_flat: FloatArray
    """Infinite with a surplus."""
    least_volts: FloatArray
    own_volts: FloatArray
    """Of the battery alone at this deficit, or none; where it is flat before the time is over, in that moment."""
    criterion_met: BoolArray


def battery_after_idle(
    generator_a: ArrayLike,
    base_load_a: ArrayLike,
    kit_load_a: ArrayLike,
    nominal_voltage_v: ArrayLike,
    *,
    capacity_ah: ArrayLike | None = None,
    internal_resistance_ohm: ArrayLike | None = None,
    start_state_of_charge: ArrayLike | None = None,
    minutes: ArrayLike | None = None,
) -> IdleBattery:
    """Terminal voltage of a lead-acid battery that makes up what the generator lacks.

    Formula: deficit = base + kit − generator; charge = start − deficit·minutes/60/capacity;
    volts = empty + (full − empty)·charge − resistance·deficit; the regulated voltage without a deficit.
    Parameters: generator_a at engine idle, not negative (`ChargingCurve.current_a`); base_load_a and kit_load_a, mean
    currents of the car and of the kit, not negative; nominal_voltage_v, 6, 8, 12 or 24; capacity_ah,
    internal_resistance_ohm, start_state_of_charge and minutes, measured or rated, where None takes the value of
    data/battery.json; the resistance then with the number of cells and against the capacity, as plates are larger.
    Returns: volts, currents, state of charge, minutes until flat, and whether the criterion is met (`IdleBattery`).
    Validity: simplified: open-circuit voltage linear in charge, constant currents, no rate effect on the capacity (at
    20 to 40 A that flatters a small battery), 25 °C. A steady surplus, however small, holds the regulated voltage; a
    deficit, however small, leaves the battery's own: what stands between the two, and what the blower saves as its
    volts sink, is told by kits.sizing.electrics.idle_supply.
    Source: balance of charge and Ohm's law; values of data/battery.json, from memory or common practice.
    Check: by hand, and by limits: no deficit, a battery just flat, half the voltages at 6 V.
    """
    c = battery_constants()
    generator, base, kit, cells, capacity, resistance, start, time = np.broadcast_arrays(
        floats(generator_a),
        floats(base_load_a),
        floats(kit_load_a),
        floats(nominal_voltage_v) / CONSTANTS_VOLTAGE_V,
        _given_or(capacity_ah, c.capacity_ah),
        _given_or(
            internal_resistance_ohm,
            _usual_resistance_ohm(nominal_voltage_v, _given_or(capacity_ah, c.capacity_ah)),
        ),
        _given_or(start_state_of_charge, c.start_state_of_charge),
        _given_or(minutes, c.idle_minutes),
    )
    not_negative = np.stack([generator, base, kit, resistance, time])
    valid = np.all(np.isfinite(not_negative) & (not_negative >= 0), axis=0)
    valid &= (capacity > 0) & np.isfinite(capacity) & (start >= 0) & (start <= 1)
    valid &= np.isin(cells * CONSTANTS_VOLTAGE_V, KNOWN_VOLTAGES_V)
    deficit = base + kit - generator
    drain = np.maximum(deficit, 0.0)
    end = start - drain * time / 60 / np.where(valid, capacity, 1.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # a hair of a deficit lasts for ever
        to_flat = np.where(drain > 0, start * capacity * 60 / drain, np.inf)
    left = np.maximum(end, 0.0)  # a flat battery is told as it was in that moment
    own = cells * (c.empty_voltage_v + (c.full_voltage_v - c.empty_voltage_v) * left) - resistance * drain
    volts = np.where(deficit > 0, np.where(end >= 0, own, np.nan), cells * c.regulated_voltage_v)
    sentence = (
        "The battery needs currents, resistance and minutes not negative, a capacity above zero, "
        f"a state of charge from 0 to 1 and a nominal voltage of {known_voltages()} V."
    )
    # a row that is not valid is NaN, and NaN meets no criterion
    return IdleBattery(
        volts=answer(volts, valid, sentence),
        generator_a=answer(generator, valid, sentence),
        deficit_a=answer(deficit, valid, sentence),
        state_of_charge=answer(np.where(end >= 0, end, np.nan), valid, sentence),
        minutes_to_flat=answer(to_flat, valid, sentence),
        least_volts=answer(cells * c.least_voltage_v, valid, sentence),
        own_volts=answer(own, valid, sentence),
        criterion_met=np.asarray(valid & (volts >= cells * c.least_voltage_v))[()],
    )


def _usual_resistance_ohm(nominal_voltage_v: ArrayLike, capacity_ah: FloatArray) -> FloatArray:
    c, cells = battery_constants(), floats(nominal_voltage_v) / CONSTANTS_VOLTAGE_V
    larger = np.where(capacity_ah > 0, capacity_ah, np.nan) / c.capacity_ah
    ohm: FloatArray = c.internal_resistance_ohm * cells / larger
    # without a capacity nothing is answered, for that reason and not for this one
    return np.where(np.isfinite(ohm), ohm, 0.0)


def known_voltages() -> str:
    """The nominal voltages in words: 6, 8, 12 or 24."""
    *others, last = (f"{volts:g}" for volts in KNOWN_VOLTAGES_V)
    return f"{', '.join(others)} or {last}"


def system_of_rating_v(rated_v: float) -> float | None:
    """The system for which a consumer of a rated voltage is made; None for what no car's own supply feeds.

    Formula: the nominal voltage of 6, 8, 12 and 24 V that lies nearest to rated/1.08, if the rated one is within 0.9
    and 1.25 of it.
    Parameters: rated_v, above zero.
    Returns: V, or None.
    Validity: consumers at the supply; not the 5 V of sensors and not high voltage.
    Source: common practice, no source: motors are rated at the regulated or at the nominal voltage.
    Check: 13.5 and 12 V are of 12 V systems, 27 and 24 of 24 V, 7 of 6 V, 5 and 345 V of none.
    """
    low, high = RATED_BAND
    near = [volts for volts in KNOWN_VOLTAGES_V if low * volts <= rated_v <= high * volts]
    return min(near, key=lambda volts: abs(rated_v / 1.08 - volts)) if near else None


def _given_or(given: ArrayLike | None, usual: ArrayLike) -> FloatArray:
    return floats(usual if given is None else given)


def least_voltage_v(system_voltage_v: float) -> float:
    """The volts that a battery must still have after the idle.

    Formula: criterion for 12 V · system voltage/12.
    Parameters: system_voltage_v, nominal, V.
    Returns: V.
    Validity: lead-acid batteries: the criterion goes with the number of cells.
    Source: common practice, no source: the 12.2 V of data/battery.json.
    Check: by hand: half of 12.2 V at 6 V.

    >>> round(least_voltage_v(6.0), 6)
    6.1
    """
    return battery_constants().least_voltage_v * system_voltage_v / CONSTANTS_VOLTAGE_V


def amps_text(current_a: float) -> str:
    """A current in whole amperes, in words.

    Formula: rounded to 1 A; up to 0.5 A, which would read as nought, it is told to be less than one.
    Parameters: current_a, A, not negative.
    Returns: a text.
    Validity: for sentences, not for counting on.
    Source: definition.
    Check: 17.4 A are 17 A.

    >>> amps_text(17.4), amps_text(0.3)
    ('17 A', 'less than 1 A')
    """
    return f"{current_a:.0f} A" if current_a > 0.5 else "less than 1 A"


def idle_sentence(
    volts: float, deficit_a: float, minutes_to_flat: float, least_volts: float, minutes: float
) -> str:
    """The battery at the end of the idle, in words.

    Formula: by the sign of the deficit; with a deficit by whether the battery is flat, and whether volts ≥ least_volts.
    Parameters: volts at the terminals, V (not a number where the battery is flat before the time is over); deficit_a,
    loads less generator, A; minutes_to_flat; least_volts asked, V; minutes of the idle.
    Returns: a sentence.
    Validity: one row of battery_after_idle.
    Source: definition.
    Check: 12.00 V are below the 12.20 V asked.

    >>> idle_sentence(12.0, 17.4, 60.0, 12.2, 15.0)
    'At idle 17 A come from the battery; after 15 min it holds 12.00 V, below the 12.20 V asked.'
    """
    if np.isnan(deficit_a):
        return "The battery at idle is not known."
    if deficit_a < 0:
        return f"At idle the generator carries all loads with {amps_text(-deficit_a)} to spare."
    if deficit_a == 0:
        return f"At idle the generator just carries all loads, at {volts:.2f} V."
    short = f"At idle {amps_text(deficit_a)} come from the battery; "
    if np.isnan(volts):
        return short + f"it is flat after {minutes_to_flat:.0f} min."
    word = "at least" if volts >= least_volts else "below"
    return short + f"after {minutes:.0f} min it holds {volts:.2f} V, {word} the {least_volts:.2f} V asked."
