"""The plateau of a charging trial: where subcooling, head and vent stand still while refrigerant is added."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kits.sizing.words.defaults import default_value
from vehicles.physics.arrays import FloatArray, Refusal


@dataclass(frozen=True)
class ChargingRow:
    """One step of a charging trial, read when the plant has settled; engine speed and outside air where noted."""

    added_g: float
    subcooling_k: float
    head_bar_g: float
    vent_c: float
    engine_rpm: float | None = None
    ambient_c: float | None = None


@dataclass(frozen=True, kw_only=True)
class Plateau:
    """Where subcooling, head and vent stand still while refrigerant is added, and the charge that follows.

    is_end_seen       whether they moved on again: the receiver was full
    is_reserve_held   whether the most of the charge still lies on the plateau; None when its end was not seen
    """

    start_g: float
    end_g: float
    low_g: float
    high_g: float
    charge_g: float
    tolerance_g: float
    subcooling_k: float
    head_bar_g: float
    vent_c: float
    is_end_seen: bool
    is_reserve_held: bool | None


def plateau_of(rows: Sequence[ChargingRow]) -> Plateau:
    """The plateau of a charging trial and the charge it gives.

    Formula: the longest stretch of rows over which subcooling stays within 1 K, head within 0.6 bar and the vent
    within 1 K, no single step moving by more than half of that, with liquid at the condenser's end; the charge is
    the stretch's start + 100 to 150 g, its middle ±25 g.
    Parameters: rows, in the order they were read: refrigerant added so far, g; subcooling, K; head, bar g; vent, °C;
    engine, rpm, and outside air, °C, where they were noted.
    Returns: start and end of the plateau, the charge with its tolerance, the mean readings along it.
    Validity: a circuit with a receiver, 1,500 to 2,000 rpm, steady weather, steps of about 50 g from below the
    plateau's start on. Refused: fewer than four rows, steps above 60 g, another engine speed, outside air that moved
    by more than 4 K, no plateau of 100 g, or a plateau that began before the first row.
    Source: common practice, no source.
    Check: made-up trials whose start is known; scatter of a tenth of the bands moves nothing.
    """
    table = np.array([(r.added_g, r.subcooling_k, r.head_bar_g, r.vent_c) for r in rows], dtype=float)
    _check_trial(table)
    _check_state(rows)
    added, readings = table[:, 0], table[:, 1:]
    bands = np.array([default_value(f"plateau_{name}") for name in ("subcooling_k", "head_bar", "vent_k")])
    first, last = _longest_flat(added, readings, bands)
    if added[last] - added[first] < default_value("plateau_span_g"):
        raise Refusal(
            "No plateau is seen: subcooling, head and vent never stand still together over"
            f" {default_value('plateau_span_g'):g} g. Add more, in steps, or wait longer at each."
        )
    if first == 0:
        raise Refusal("The plateau began before the first row: start the trial with less.")
    low, high = (added[first] + default_value(f"plateau_reserve_{end}_g") for end in ("from", "to"))
    mean = readings[first : last + 1].mean(axis=0)
    is_end_seen = last < len(rows) - 1
    return Plateau(
        start_g=float(added[first]),
        end_g=float(added[last]),
        low_g=float(low),
        high_g=float(high),
        charge_g=float((low + high) / 2),
        tolerance_g=default_value("plateau_tolerance_g"),
        subcooling_k=float(mean[0]),
        head_bar_g=float(mean[1]),
        vent_c=float(mean[2]),
        is_end_seen=is_end_seen,
        is_reserve_held=bool(high <= added[last]) if is_end_seen else None,
    )


def _check_trial(table: FloatArray) -> None:
    if len(table) < 4:
        raise Refusal("A charging trial needs four rows or more.")
    if not np.isfinite(table).all() or (table[:, 0] < 0).any():
        raise Refusal("Every row of a charging trial needs grams, subcooling, head and vent as numbers.")
    steps = np.diff(table[:, 0])
    if not (steps > 0).all():
        raise Refusal("The grams added must rise from row to row.")
    widest = default_value("plateau_step_g")
    if (steps > widest).any():
        raise Refusal(
            f"A step of {steps.max():g} g is too wide to see where the plateau begins: at most {widest:g} g."
        )


def _check_state(rows: Sequence[ChargingRow]) -> None:
    slowest, fastest = (default_value(f"plateau_engine_{end}_rpm") for end in ("from", "to"))
    for row in rows:
        if row.engine_rpm is not None and not slowest <= row.engine_rpm <= fastest:
            raise Refusal(
                f"At {row.added_g:g} g the engine turned at {row.engine_rpm:g} rpm: a plateau is read at"
                f" {slowest:,.0f} to {fastest:,.0f} rpm."
            )
    ambient = [row.ambient_c for row in rows if row.ambient_c is not None]
    widest = default_value("plateau_ambient_k")
    if ambient and not max(ambient) - min(ambient) <= widest:
        raise Refusal(
            f"The outside air went from {min(ambient):g} to {max(ambient):g} °C: within one trial it may move by"
            f" {widest:g} K. Fill in steady weather, in the shade."
        )


def _longest_flat(added: FloatArray, readings: FloatArray, bands: FloatArray) -> tuple[int, int]:
    """First and last row of the longest flat stretch, by grams; the first of equals."""
    best = (0, 0)
    for first in range(len(added)):
        if readings[first, 0] <= bands[0]:  # as good as no liquid at the condenser's end
            continue
        last = first
        while last + 1 < len(added):
            stretch = readings[first : last + 2]
            if (np.ptp(stretch, axis=0) > bands).any() or (
                np.abs(readings[last + 1] - readings[last]) > bands / 2
            ).any():
                break
            last += 1
        if added[last] - added[first] > added[best[1]] - added[best[0]]:
            best = (first, last)
    return best


@dataclass(frozen=True)
class Trial:
    """A filling in steps, by the name it was given."""

    code: str
    rows: tuple[ChargingRow, ...]

    def read(self) -> tuple[Plateau | None, str]:
        """Its plateau, or None and the sentence that says why it shows none."""
        try:
            return plateau_of(self.rows), ""
        except ValueError as refused:
            return None, str(refused)
