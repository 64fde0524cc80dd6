"""Expected readings at commissioning, and the pattern a set of readings makes.

The bands are those of a healthy car with R-134a, doors open, blower at its highest step, recirculated, 1,500 rpm,
after 10 minutes; they are common practice without a source, and so is the table of patterns beside them.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import BoolArray, FloatArray, answer, floats

DATA_FILE = Path(__file__).parent / "data" / "readings.json"
MEASURED = ("low_bar_g", "high_bar_g", "vent_c")
OUTSIDE = "Expected readings are known from 20 to 40 °C and near the humidities of the table only."
SAME_SCORE = 0.05
"""Patterns whose scores differ by less are not told apart."""


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


@dataclass(frozen=True)
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
    subcooling_k: float | None = None
    superheat_k: float | None = None
    matrix_hose_over_air_k: float | None = None
    blower_flow_share: float | None = None
    rest_excess_bar: float | None = None


@dataclass(frozen=True)
class Pattern:
    """A fault whose pattern the readings make: how well (0 to 1), and what to check next."""

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


@lru_cache(maxsize=1)
def _rows() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ambient temperatures; lowest and highest humidity of each (k, 2); bands at both (k, 2, 6)."""
    by_ambient: dict[float, list[tuple[float, list[float]]]] = {}
    for row in table()["rows"]:
        bands = [value for name in MEASURED for value in row[name]]
        by_ambient.setdefault(row["ambient_c"], []).append((row["humidity_share"], bands))
    ambients = sorted(by_ambient)
    ends = [(min(by_ambient[a]), max(by_ambient[a])) for a in ambients]
    return (
        np.array(ambients, dtype=np.float64),
        np.array([[low[0], high[0]] for low, high in ends]),
        np.array([[low[1], high[1]] for low, high in ends], dtype=np.float64),
    )


def expected_bands(ambient_c: ArrayLike, humidity_share: ArrayLike) -> Bands:
    """Bands of a healthy car's low side, high side and vents.

    Formula: between two ambient temperatures of the table straight lines of the humidity's position between the
        lowest and the highest one there; up to 10 % of humidity beyond them the band of the edge
    Parameters: ambient_c in °C, 20 to 40; humidity_share relative humidity, 0 to 1
    Returns: Bands, in bar g and °C; refused outside the table
    Validity: R-134a, doors open, blower at its highest step, recirculated, 1,500 rpm, after 10 minutes
    Source: common practice, no source; the low side is an estimate
    Check: each row of the table comes back; a warmer day never lowers the high side at the same humidity
    """
    ambients, humidity, bands = _rows()
    t, rh = np.broadcast_arrays(floats(ambient_c), floats(humidity_share))
    valid: BoolArray = (t >= ambients[0]) & (t <= ambients[-1])
    safe = np.where(valid, t, ambients[0])
    i = np.clip(np.searchsorted(ambients, safe, side="right") - 1, 0, len(ambients) - 2)
    w = (safe - ambients[i]) / (ambients[i + 1] - ambients[i])
    ends = humidity[i] + w[..., None] * (humidity[i + 1] - humidity[i])
    at_ends = bands[i] + w[..., None, None] * (bands[i + 1] - bands[i])
    reach = table()["humidity_reach_share"]
    valid = valid & (rh >= ends[..., 0] - reach - 1e-9) & (rh <= ends[..., 1] + reach + 1e-9)
    width = ends[..., 1] - ends[..., 0]
    # the edge's own band beyond the edge, within the reach: the docstring says so
    u = np.clip(np.where(width > 0, (rh - ends[..., 0]) / np.where(width > 0, width, 1.0), 0.0), 0.0, 1.0)
    found = at_ends[..., 0, :] + u[..., None] * (at_ends[..., 1, :] - at_ends[..., 0, :])
    return Bands(*(answer(found[..., k], valid, OUTSIDE) for k in range(6)))


def rest_pressure_bar_g(ambient_c: ArrayLike) -> FloatArray:
    """Pressure of a healthy plant at rest, cold through and through; more means air in it.

    Formula: straight between the table's temperatures
    Parameters: ambient_c in °C, 15 to 35
    Returns: bar g; refused outside the table
    Validity: R-134a, both phases present, everything at the air's temperature
    Source: common practice; saturation pressure of R-134a
    Check: CoolProp's saturation pressure within 0.1 bar
    """
    points = np.array(table()["rest_bar_g"], dtype=np.float64)
    t = floats(ambient_c)
    valid = (t >= points[0, 0]) & (t <= points[-1, 0])
    return answer(
        np.interp(t, points[:, 0], points[:, 1]), valid, "Pressure at rest is known from 15 to 35 °C only."
    )


def not_comparable(state: CommissioningState) -> tuple[str, ...]:
    """Why readings of this state can't be held against the bands; empty when they can."""
    limits = table()["state"]
    asked = (
        (state.refrigerant == table()["refrigerant"], f"the bands are those of {table()['refrigerant']}"),
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


def signs_of(readings: Readings, bands: Bands) -> dict[str, int]:
    """Each reading against its band: −1 below, 0 in it, 1 above; what was not read is left out."""
    found = {}
    for field in fields(readings):
        value = getattr(readings, field.name)
        if value is None:
            continue
        if not np.isfinite(value):
            raise ValueError(f"The reading {field.name.replace('_', ' ')} is not a number.")
        low, high = bands.of(field.name) if field.name in MEASURED else table()["other_bands"][field.name]
        found[field.name] = -1 if value < low else 1 if value > high else 0
    return found


def judge_readings(readings: Readings, bands: Bands) -> Judged:
    """The pattern a set of readings makes.

    Formula: every reading is below, in or above its band; a fault's score is the share of readings whose sign is one
        of those the fault makes; healthy only when all are in their bands
    Parameters: readings (low side, high side, vent, and what else was read), bands for the state they were taken in
    Returns: whether healthy, the signs, and the faults with the best score, those not told apart together
    Validity: one fault at a time; readings of a state the bands hold for (not_comparable)
    Source: common practice, no source
    Check: scripted commissioning cases: healthy ones pass, no fault passes as healthy
    """
    signs = signs_of(readings, bands)
    if not any(signs.values()):
        return Judged(True, signs, ())
    found = []
    for row in table()["patterns"]:
        hits = [sign in row["signs"][name] for name, sign in signs.items()]
        found.append(Pattern(row["code"], row["words"], sum(hits) / len(hits), row["check"]))
    found.sort(key=lambda one: -one.score)
    return Judged(False, signs, tuple(p for p in found if p.score > found[0].score - SAME_SCORE))
