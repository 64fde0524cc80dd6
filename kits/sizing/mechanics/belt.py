"""The belt drive: the belt's way over its pulleys, its pull, and what it makes of the compressor's speed."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import BoolArray, FloatArray, Refusal, answer, floats

DATA_FILE = Path(__file__).parent / "data" / "belt.json"
AIR_J_KGK = 1006.0
NO_LAYOUT = (
    "A belt needs at least two pulleys, each with a diameter above zero, that do not overlap, "
    "and an order in which it can run around them."
)


@dataclass(frozen=True, kw_only=True)
class BeltConstants:
    """Values of the data file, each with its unit and source there."""

    pull_limit_n: dict[float, float]
    """by the belt's top width in mm"""
    engagement_factor: float
    least_wrap_compressor_deg: float
    least_wrap_generator_deg: float
    plane_offset_mm_per_200: float
    idle_torque_nm: float
    length_play_mm: float


@cache
def belt_constants() -> BeltConstants:
    """The data file, read once."""
    rows = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    values = {name: row["value"] for name, row in rows.items() if name != "_"}
    limits = {float(width): float(limit) for width, limit in values.pop("pull_limit_n").items()}
    return BeltConstants(pull_limit_n=limits, **{name: float(value) for name, value in values.items()})


@dataclass(frozen=True)
class BeltRun:
    """The belt's way: one value per pulley in the belt's order; leading axes are layouts of a batch."""

    wrap_deg: FloatArray
    span_mm: FloatArray
    """free length from this pulley to the next; the last one back to the first"""
    length_mm: FloatArray
    is_crossed: BoolArray
    """the belt runs through itself, as between two wheels that turn against each other"""


def belt_run(x_mm: ArrayLike, y_mm: ArrayLike, diameter_mm: ArrayLike, on_back: ArrayLike) -> BeltRun:
    """Wrap, free lengths and length of a belt over pulleys in its order: the polygon of common tangents.

    Formula: with the radius r counted negative for a pulley at the belt's back, D and φ the distance and direction
    from one centre to the next, the belt runs at θ = φ − arcsin((r₂ − r₁)/D) over a free length of
    √(D² − (r₂ − r₁)²); the wrap is the turn from the direction in to the direction out, and the length the sum of
    the free lengths and of r·wrap. Of both senses the one in which the belt closes on itself once is taken.
    Parameters: x_mm, y_mm of the centres and diameter_mm on the belt's line, last axis along the belt; on_back
    true where the belt's back touches.
    Returns: wrap in degrees, free lengths and length in mm, and whether the belt is crossed.
    Validity: thin taut belt in one plane; whether a span meets a pulley it does not belong to is not looked at.
    Source: geometry of circles and their common tangents; handbooks give it for two pulleys.
    Check: open and crossed belt of the handbooks, three equal pulleys by hand; inner wraps less back ones are 360°.

    >>> open_belt = belt_run([0, 300], [0, 0], [100, 100], [False, False])
    >>> round(float(open_belt.length_mm), 2), open_belt.wrap_deg.round(6).tolist()
    (914.16, [180.0, 180.0])
    """
    x, y, diameter, back = np.broadcast_arrays(
        floats(x_mm), floats(y_mm), floats(diameter_mm), np.asarray(on_back, dtype=bool)
    )
    if x.ndim == 0 or x.shape[-1] < 2:
        raise Refusal(NO_LAYOUT)
    ways = [_way(x, y, np.where(back, -sense, sense) * diameter / 2) for sense in (1.0, -1.0)]
    turns = [np.rint(np.sum(np.where(back, -w, w), axis=-1) / 360) for w, _, _ in ways]
    # once around comes first, then crossed; of two that close, the shorter one is the belt that is meant
    cost = [
        np.where(turn == 1, 0.0, np.where(turn == 0, 1e9, np.inf)) + length
        for turn, (_, _, length) in zip(turns, ways, strict=True)
    ]
    first = cost[0] <= cost[1]
    wrap, span = (np.where(first[..., None], ways[0][i], ways[1][i]) for i in (0, 1))
    length = np.where(first, ways[0][2], ways[1][2])
    turn = np.where(first, turns[0], turns[1])
    valid = _sound(x, y, diameter) & np.isfinite(np.where(first, cost[0], cost[1]))
    per_pulley = np.broadcast_to(valid[..., None], wrap.shape)
    if valid.ndim == 0 and not valid:
        raise Refusal(NO_LAYOUT)
    return BeltRun(
        np.where(per_pulley, wrap, np.nan),
        np.where(per_pulley, span, np.nan),
        answer(length, valid, NO_LAYOUT),
        np.asarray(valid & (turn == 0))[()],
    )


def _way(x: FloatArray, y: FloatArray, radius: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Wrap, free lengths and length with signed radii: positive where the centre is at the left of the travel."""
    dx, dy, dr = (np.roll(a, -1, axis=-1) - a for a in (x, y, radius))
    distance = np.hypot(dx, dy)
    with np.errstate(divide="ignore", invalid="ignore"):
        out = np.arctan2(dy, dx) - np.arcsin(dr / distance)
        span = np.sqrt(distance**2 - dr**2)
    turn = np.sign(radius) * (out - np.roll(out, 1, axis=-1))
    # a belt that touches in one point only has no wrap, not a whole turn less a rounding error
    wrap = np.mod(turn + 1e-9, 2 * np.pi) - 1e-9
    length = np.sum(span + np.abs(radius) * wrap, axis=-1)
    return np.degrees(wrap), span, length


def _sound(x: FloatArray, y: FloatArray, diameter: FloatArray) -> BoolArray:
    finite = np.all(np.isfinite(x) & np.isfinite(y) & np.isfinite(diameter) & (diameter > 0), axis=-1)
    apart = np.hypot(x[..., :, None] - x[..., None, :], y[..., :, None] - y[..., None, :])
    needed = (diameter[..., :, None] + diameter[..., None, :]) / 2
    itself = np.eye(x.shape[-1], dtype=bool)
    return np.asarray(finite & np.all((apart >= needed) | itself, axis=(-2, -1)))


def plane_offset_mm_per_200(plane_mm: ArrayLike, span_mm: ArrayLike) -> FloatArray:
    """How far the belt runs out of plane on each free length, per 200 mm of it.

    Formula: |plane of the next pulley − plane of this one| · 200 / free length.
    Parameters: plane_mm of each groove, in front (+) or behind (−); span_mm to the next pulley, above zero.
    Returns: mm per 200 mm, one value per free length.
    Validity: planes of pulleys that stand square; a tilted pulley shows no offset at its centre.
    Source: definition.
    Check: by hand.

    >>> plane_offset_mm_per_200([0, 3], [300, 300]).tolist()
    [2.0, 2.0]
    """
    plane, span = floats(plane_mm), floats(span_mm)
    valid = np.isfinite(plane) & np.isfinite(np.roll(plane, -1, axis=-1)) & (span > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        offset = np.abs(np.roll(plane, -1, axis=-1) - plane) * 200 / span
    return answer(offset, valid, "An offset needs the planes and free lengths above zero.")


def belt_pull_n(torque_nm: ArrayLike, diameter_mm: ArrayLike) -> FloatArray:
    """The effective pull of a belt at a pulley: tight less slack side.

    Formula: F = 2·T/d.
    Parameters: torque_nm at the pulley, not negative; diameter_mm of the pulley, above zero.
    Returns: pull in N.
    Validity: steady; starting and engaging pull more.
    Source: balance of moments.
    Check: by hand: 14 N·m at 120 mm are 233 N.

    >>> round(float(belt_pull_n(14, 120)))
    233
    """
    torque, d = floats(torque_nm), floats(diameter_mm)
    with np.errstate(divide="ignore", invalid="ignore"):
        pull = 2000 * torque / d
    sentence = "A belt's pull needs a torque that is not negative and a diameter above zero."
    return answer(pull, (torque >= 0) & np.isfinite(torque) & (d > 0) & np.isfinite(d), sentence)


def engagement_pull_n(pull_n: ArrayLike) -> FloatArray:
    """The pull while the clutch engages.

    Formula: steady pull at idle · factor of data/belt.json.
    Parameters: pull_n, the steady pull, not negative.
    Returns: pull in N.
    Validity: an allowance for the shock, no model of the clutch.
    Source: from memory, as in the data file.
    Check: proportional to the steady pull.
    """
    pull = floats(pull_n)
    valid = (pull >= 0) & np.isfinite(pull)
    return answer(pull * belt_constants().engagement_factor, valid, "A belt's pull is not negative.")


def driven_rpm(driver_rpm: ArrayLike, driver_mm: ArrayLike, driven_mm: ArrayLike) -> FloatArray:
    """Speed of a pulley by the speed and diameter of the one that drives its belt.

    Formula: n₂ = n₁·d₁/d₂.
    Parameters: driver_rpm, not negative; driver_mm and driven_mm, diameters above zero.
    Returns: rev/min.
    Validity: no slip; a V-belt loses 1 to 2 %.
    Source: equal belt speed at both.
    Check: 180 mm at 800 rpm drive 120 mm at 1,200 rpm.

    >>> float(driven_rpm(800, 180, 120))
    1200.0
    """
    rpm, one, two = floats(driver_rpm), floats(driver_mm), floats(driven_mm)
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = rpm * one / two
    valid = (rpm >= 0) & np.isfinite(rpm) & (one > 0) & (two > 0) & np.isfinite(one) & np.isfinite(two)
    return answer(speed, valid, "A speed needs a driver's speed not negative and diameters above zero.")


def crank_torque_nm(torque_nm: ArrayLike, crank_mm: ArrayLike, driven_mm: ArrayLike) -> FloatArray:
    """Torque that a belt-driven machine takes from the crankshaft.

    Formula: T₁ = T₂·d₁/d₂.
    Parameters: torque_nm at the machine, not negative; crank_mm and driven_mm, diameters above zero.
    Returns: torque in N·m.
    Validity: without the belt's own loss of 3 to 5 %.
    Source: the same pull at both pulleys.
    Check: power is the same at both pulleys.

    >>> float(crank_torque_nm(12, 150, 120))
    15.0
    """
    torque, one, two = floats(torque_nm), floats(crank_mm), floats(driven_mm)
    with np.errstate(divide="ignore", invalid="ignore"):
        crank = torque * one / two
    valid = (torque >= 0) & np.isfinite(torque) & (one > 0) & (two > 0) & np.isfinite(one) & np.isfinite(two)
    return answer(crank, valid, "A torque is not negative, and diameters are above zero.")


def air_rise_k(heat_w: ArrayLike, air_kg_s: ArrayLike) -> FloatArray:
    """How much the condenser warms the air that goes through it, and so at most the coolant behind it.

    Formula: ΔT = Q/(ṁ·c_p).
    Parameters: heat_w that the condenser gives off, not negative; air_kg_s through it, above zero.
    Returns: rise in K. The same radiator with the same heat and air needs coolant warmer by the rise of its air.
    Validity: an upper bound for the coolant: it holds where all of the radiator's air comes through the condenser
    and the thermostat stands fully open.
    Source: heat balance of the air.
    Check: by hand: 5,000 W into 0.5 kg/s make 9.9 K.

    >>> round(float(air_rise_k(5000, 0.5)), 1)
    9.9
    """
    heat, air = floats(heat_w), floats(air_kg_s)
    with np.errstate(divide="ignore", invalid="ignore"):
        rise = heat / (air * AIR_J_KGK)
    valid = (heat >= 0) & np.isfinite(heat) & (air > 0) & np.isfinite(air)
    return answer(rise, valid, "A rise of the air needs a heat not negative and a flow above zero.")
