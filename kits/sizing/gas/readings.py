"""Expected readings at commissioning, and the pattern a set of readings makes.

The bands are those of a healthy car with R-134a, doors open, blower at its highest step, recirculated, 1,500 rpm,
after 10 minutes; they are common practice without a source, and so is the table of patterns beside them. Beyond the
listed humidities they are carried on and made wider; for another gas the pressures are converted.
"""

import json
from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.gas.refrigerant import known_refrigerants, refrigerant
from vehicles.physics.air import enthalpy_j_kg, humidity_ratio
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, Refusal, answer, floats
from vehicles.physics.pressure import absolute_pa, gauge_bar_g

DATA_FILE = Path(__file__).parent / "data" / "readings.json"
MEASURED = ("low_bar_g", "high_bar_g", "vent_c")
SIGN_WORDS = {-1: "below its band", 0: "in its band", 1: "above its band"}
"""How a reading stands to its band, in words."""
OUTSIDE = "Expected readings are known from 20 to 40 °C and 30 to 70 % of humidity only."
POSSIBLE_COUNTS = 0.8
"""What a reading counts whose sign goes with a fault without being typical of it."""
SAME_SCORE = 0.07
"""Patterns whose scores differ by less are not told apart: one reading of three that is not the typical one."""


class Bands(NamedTuple):
    """Bands of a healthy car: lowest and highest low side, high side (bar g) and vent temperature (°C)."""

    low_from_bar_g: FloatArray
    low_to_bar_g: FloatArray
    high_from_bar_g: FloatArray
    high_to_bar_g: FloatArray
    vent_from_c: FloatArray
    vent_to_c: FloatArray

    def of(self, name: str) -> tuple[float, float]:
        """The band of one reading of a single state."""
        i = 2 * MEASURED.index(name)
        return float(self[i]), float(self[i + 1])


@dataclass(frozen=True, kw_only=True)
class CommissioningState:
    """The state in which readings were taken; the bands hold for one of them only."""

    ambient_c: float
    humidity_share: float
    engine_rpm: float
    minutes: float
    blower_is_highest: bool
    is_recirculated: bool
    doors_are_open: bool
    refrigerant: str


@dataclass(frozen=True)
class Readings:
    """What was read; None where it was not.

    matrix_hose_over_air_k  the heater's outlet hose over the air round it, after 10 minutes
    blower_flow_share       air flow over the one that was worked out
    rest_excess_bar         pressure at rest over that of the refrigerant at the air's temperature
    """

    low_bar_g: float
    high_bar_g: float
    vent_c: float
    _: KW_ONLY
    subcooling_k: float | None = None
    superheat_k: float | None = None
    matrix_hose_over_air_k: float | None = None
    blower_flow_share: float | None = None
    rest_excess_bar: float | None = None


@dataclass(frozen=True)
class Pattern:
    """A fault whose pattern the readings make: how well (1 at best), and what to check next."""

    code: str
    words: str
    score: float
    check: str


@dataclass(frozen=True)
class Judged:
    """Signs of the readings (−1 below its band, 0 in it, 1 above), and the faults they speak for, best first."""

    is_healthy: bool
    signs: Mapping[str, int]
    likely: tuple[Pattern, ...]


@lru_cache(maxsize=1)
def table() -> dict[str, Any]:
    """The data file, read once."""
    found: dict[str, Any] = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    return found


class _Lines(NamedTuple):
    """Of each ambient temperature of the table (k): listed humidities, and straight lines over enthalpy."""

    ambient_c: FloatArray
    listed: FloatArray
    """lowest and highest listed humidity (k, 2)"""
    first_kj_kg: FloatArray
    first: FloatArray
    """bands at the lowest listed humidity (k, 6)"""
    slope: FloatArray
    """of the bands, per kJ/kg (k, 6)"""


@lru_cache(maxsize=1)
def _lines() -> _Lines:
    """The rows of the table as lines; where one humidity is listed, with the slope of the nearest temperature."""
    by_ambient: dict[float, list[tuple[float, list[float]]]] = {}
    for row in table()["rows"]:
        bands = [value for name in MEASURED for value in row[name]]
        by_ambient.setdefault(row["ambient_c"], []).append((row["humidity_share"], bands))
    t = np.array(sorted(by_ambient), dtype=np.float64)
    ends = [(min(by_ambient[a]), max(by_ambient[a])) for a in t]
    listed = np.array([[low[0], high[0]] for low, high in ends])
    first, last = (np.array([end[i][1] for end in ends], dtype=np.float64) for i in (0, 1))
    enthalpy = _outside_kj_kg(t[:, None], listed)
    apart = np.diff(enthalpy)
    with_two = np.flatnonzero(apart[:, 0] > 0)
    slope = (last - first)[with_two] / apart[with_two]
    nearest = np.abs(t[:, None] - t[with_two]).argmin(axis=1)
    return _Lines(t, listed, enthalpy[:, 0], first, slope[nearest])


def _outside_kj_kg(t_c: FloatArray, humidity_share: FloatArray) -> FloatArray:
    enthalpy: FloatArray = enthalpy_j_kg(t_c, humidity_ratio(t_c, humidity_share)) / 1000
    return enthalpy


class _Place(NamedTuple):
    """Where states lie between the table's ambient temperatures: row below, way to the next, whether inside."""

    row: IntArray
    way: FloatArray
    is_inside: BoolArray
    beyond: FloatArray
    """humidity beyond the listed one, share"""


def _place(t: FloatArray, rh: FloatArray) -> _Place:
    lines, (driest, wettest) = _lines(), table()["humidity_share"]
    ambient = lines.ambient_c
    is_inside: BoolArray = (t >= ambient[0]) & (t <= ambient[-1])
    safe = np.where(is_inside, t, ambient[0])
    i = np.clip(np.searchsorted(ambient, safe, side="right") - 1, 0, len(ambient) - 2)
    w = (safe - ambient[i]) / (ambient[i + 1] - ambient[i])
    low, high = np.moveaxis(lines.listed[i] + w[..., None] * (lines.listed[i + 1] - lines.listed[i]), -1, 0)
    is_inside = is_inside & (rh >= np.minimum(driest, low) - 1e-9) & (rh <= np.maximum(wettest, high) + 1e-9)
    return _Place(i, w, is_inside, np.maximum(np.maximum(low - rh, rh - high), 0.0))


def expected_bands(ambient_c: ArrayLike, humidity_share: ArrayLike, gas: str = "R-134a") -> Bands:
    """Bands of a healthy car's low side, high side and vents.

    Formula: at each ambient temperature of the table a straight line over the outside air's enthalpy, between two
        such temperatures a straight line over temperature; beyond the listed humidities the lines go on (where one
        humidity is listed, with the slope of the nearest temperature that has two) and the band is made wider by a
        fixed amount for each tenth of humidity; another gas reads the pressures at the same saturation temperatures,
        and its vents' band is made wider by a fixed amount
    Parameters: ambient_c in °C, 20 to 40; humidity_share relative humidity, 0.3 to 0.7 (0.8 at 25 °C); gas its name
    Returns: Bands, in bar g and °C; refused outside the table
    Validity: doors open, blower at its highest step, recirculated, 1,500 rpm, after 10 minutes. Between the listed
        humidities interpolated, beyond them extrapolated (humidity_beyond tells which); for another gas than R-134a
        converted, which has no source
    Source: common practice, no source; the low side and the widening are estimates
    Check: each row of the table comes back; a warmer day never lowers the high side at the same humidity; a plant
        solved directly reads in the bands from 20 °C and 30 % to 40 °C and 50 %
    """
    t, rh = np.broadcast_arrays(floats(ambient_c), floats(humidity_share))
    place, lines = _place(t, rh), _lines()
    safe_rh = np.where(place.is_inside, rh, table()["humidity_share"][0])

    def at(row: IntArray) -> FloatArray:
        above = _outside_kj_kg(lines.ambient_c[row], safe_rh) - lines.first_kj_kg[row]
        band: FloatArray = lines.first[row] + above[..., None] * lines.slope[row]
        return band

    found = at(place.row) + place.way[..., None] * (at(place.row + 1) - at(place.row))
    wider = table()["extrapolated"]["wider_per_tenth"]
    outwards = np.array([sign * wider[name] for name in MEASURED for sign in (-1, 1)])
    found = found + 10 * place.beyond[..., None] * outwards
    if gas != table()["refrigerant"]:
        found[..., 4:] += table()["converted"]["vent_wider_k"] * np.array([-1.0, 1.0])
    converted = [_as_gas(found[..., k], gas) if k < 4 else found[..., k] for k in range(6)]
    return Bands(*(answer(band, place.is_inside & np.isfinite(band), OUTSIDE) for band in converted))


def humidity_beyond(ambient_c: ArrayLike, humidity_share: ArrayLike) -> FloatArray:
    """By how much the humidity lies beyond the listed ones: 0 where bands are interpolated, else extrapolated.

    Formula: distance to the nearest of the lowest and the highest listed humidity, straight between temperatures
    Parameters: ambient_c in °C, 20 to 40; humidity_share relative humidity, as for expected_bands
    Returns: share of relative humidity; refused where expected_bands is
    Validity: that of expected_bands
    Source: the table of the bands
    Check: 0 at each of its rows
    """
    t, rh = np.broadcast_arrays(floats(ambient_c), floats(humidity_share))
    place = _place(t, rh)
    return answer(place.beyond, place.is_inside, OUTSIDE)


def _as_gas(bar_g: FloatArray, gas: str) -> FloatArray:
    """The pressure of another gas at the saturation temperature that the table's gas has at this one."""
    if gas == table()["refrigerant"]:
        return bar_g
    own = refrigerant(table()["refrigerant"]).t_sat_c(absolute_pa(np.atleast_1d(bar_g)))
    converted: FloatArray = gauge_bar_g(refrigerant(gas).p_sat_pa(own))
    return converted.reshape(bar_g.shape)


def rest_pressure_bar_g(ambient_c: ArrayLike, gas: str = "R-134a") -> FloatArray:
    """Pressure of a healthy plant at rest, cold through and through; more means air in it.

    Formula: straight between the table's temperatures; of another gas its saturation pressure at that temperature
    Parameters: ambient_c in °C, 15 to 35; gas its name
    Returns: bar g; refused outside the table
    Validity: both phases present, everything at the air's temperature
    Source: common practice; saturation pressure of the gas
    Check: CoolProp's saturation pressure within 0.1 bar
    """
    points = np.array(table()["rest_bar_g"], dtype=np.float64)
    t = floats(ambient_c)
    valid = (t >= points[0, 0]) & (t <= points[-1, 0])
    if gas == table()["refrigerant"]:
        bar_g = np.interp(t, points[:, 0], points[:, 1])
    else:
        bar_g = gauge_bar_g(refrigerant(gas).p_sat_pa(np.where(valid, t, points[0, 0])))
    return answer(bar_g, valid, "Pressure at rest is known from 15 to 35 °C only.")


def not_comparable(state: CommissioningState) -> tuple[str, ...]:
    """Why readings of this state can't be held against the bands; empty when they can.

    Formula: none: known gas, highest blower step, recirculated air, open doors, engine speed within the limits, minutes
    not fewer than asked.
    Parameters: state, in which the readings were taken: engine_rpm in rev/min, minutes since the start, and the rest as
    yes or no.
    Returns: one sentence for each condition that is not met.
    Validity: the bands of expected_bands, whose temperature and humidity are looked at there.
    Source: common practice, no source; the limits stand in data/readings.json.
    Check: a car with its doors shut is told so.

    >>> not_comparable(CommissioningState(ambient_c=30, humidity_share=0.5, engine_rpm=1500, minutes=10,
    ...     blower_is_highest=True, is_recirculated=True, doors_are_open=False, refrigerant="R-134a"))
    ('the doors must be open',)
    """
    limits = table()["state"]
    asked = (
        (
            state.refrigerant in known_refrigerants(),
            f"no pressures are known for {state.refrigerant or 'a plant without a refrigerant'}",
        ),
        (state.blower_is_highest, "the blower must run at its highest step"),
        (state.is_recirculated, "the air must be recirculated"),
        (state.doors_are_open, "the doors must be open"),
        (
            limits["least_rpm"] <= state.engine_rpm <= limits["most_rpm"],
            f"the engine must turn at {limits['least_rpm']} to {limits['most_rpm']} rpm",
        ),
        (state.minutes >= limits["least_minutes"], f"{limits['least_minutes']} minutes must have passed"),
    )
    return tuple(sentence for holds, sentence in asked if not holds)


def _signs_of(readings: Readings, bands: Bands) -> dict[str, int]:
    """Each reading against its band: −1 below, 0 in it, 1 above; what was not read is left out."""
    found = {}
    for field in fields(readings):
        value = getattr(readings, field.name)
        if value is None:
            continue
        if not np.isfinite(value):
            raise Refusal(f"The reading {field.name.replace('_', ' ')} is not a number.")
        low, high = bands.of(field.name) if field.name in MEASURED else table()["other_bands"][field.name]
        found[field.name] = -1 if value < low else 1 if value > high else 0
    return found


def judge_readings(readings: Readings, bands: Bands) -> Judged:
    """The pattern a set of readings makes.

    Formula: every reading is below, in or above its band; for a fault each reading counts 1 when it has the sign
        typical of it, 0.8 when it has another that goes with it, 0 when it has neither, and -1 when it is on the
        opposite side; the score is the mean. Healthy only when all are in their bands
    Parameters: readings (low side, high side, vent, and what else was read), bands for the state they were taken in
    Returns: whether healthy, the signs, and the faults with the best score, those not told apart together
    Validity: one fault at a time; readings of a state the bands hold for (not_comparable). Healthy means: as far as
        read. A little charge too little, or a weak blower while the freeze control holds the coil, moves neither
        gauge out of its band: it takes superheat and subcooling, or the air flow, to see them
    Source: common practice, no source
    Check: twelve commissioning cases whose readings are worked out from physics: healthy ones pass, no fault does
    """
    signs = _signs_of(readings, bands)
    if not any(signs.values()):
        return Judged(True, signs, ())
    found = []
    for row in table()["patterns"]:
        counts = [_count(sign, row["signs"][name]) for name, sign in signs.items()]
        found.append(Pattern(row["code"], row["words"], sum(counts) / len(counts), row["check"]))
    found.sort(key=lambda one: -one.score)
    return Judged(False, signs, tuple(p for p in found if p.score > found[0].score - SAME_SCORE))


def _count(sign: int, possible: list[int]) -> float:
    """What a reading's sign says for a fault with these possible signs, the typical one first."""
    if sign in possible:
        return 1.0 if sign == possible[0] else POSSIBLE_COUNTS
    return 1.0 - min(abs(sign - one) for one in possible)
