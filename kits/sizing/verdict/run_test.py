"""What gauges and vents of a fitment read in the run test, over the air at the intake, with limits round it.

The state is the one that the last steps of an installation ask for. Doors and bonnet are open and the flap is shut, so
what the unit draws is the air around the car, and what its flap leaks the car's own warmer air from the scuttle. The
blower is at its highest step and the voltage recorded on the road, since an engine at this speed charges. A belt turns
the compressor by the engine's 1,500 rpm; an electric one turns as fast as it may, or as slowly as its freeze control
asks. Nothing moves the car: no ram air reaches the condenser, only the installed share of its fan's air with the fan
running. That air is warmer than the air around by what comes round at a standstill. What is predicted has the whole
rise recorded at idle, with the bonnet shut; how much of it is left under an open bonnet nobody knows, so the limits
reach down to a condenser to which nothing comes round. What the engine's own fan draws through a condenser in the nose
is not counted, nor is it anywhere in the sizing. After ten minutes the plant is taken as steady. All fitments are
solved together.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from kits.sizing.balance.balance_input import Status
from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.case.plant import Plant
from kits.sizing.gas.readings import expected_bands
from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.run.batch import Batch, in_batches
from kits.sizing.run.engaged import engaged_pa
from kits.sizing.run.run import hold_at
from kits.sizing.run.unsolved import reasons
from kits.sizing.run.vent_air import each_vent_c
from kits.sizing.verdict.hot_cabin import STOPPED
from kits.sizing.verdict.missing import gap_of_air, gaps_of_load, missing_for
from kits.sizing.verdict.record import RunTest, RunTestPoint
from kits.sizing.words.defaults import Default
from vehicles.climate.duty_kinds import RUN_TEST
from vehicles.heatload.inputs import ClimateState
from vehicles.physics.arrays import FloatArray
from vehicles.physics.pressure import gauge_bar_g

NAME = "run test"
FULL = 1.0
WHOLE_RISE, NO_RISE = 1.0, 0.0
"""Shares of the rise at idle that are left at the condenser."""
NO_LIMITS = "The limits round the prediction lie outside the refrigerant's tables."


class Read(NamedTuple):
    """What is read at one point, or at each of several: pressures absolute, Pa, vents °C; NaN without a balance."""

    suction_pa: Any
    condensing_pa: Any
    coldest_c: Any
    warmest_c: Any


class _Found(NamedTuple):
    """One solved point: the mean, and with the clutch engaged the two pressures (NaN where it does not cycle)."""

    status: Status
    reason: str
    mean: Read
    engaged_suction_pa: float
    engaged_condensing_pa: float


class Limits(NamedTuple):
    """Least and most that a healthy car reads: low side, high side (bar g), coldest and warmest vent (°C)."""

    low_side: tuple[FloatArray, FloatArray]
    high_side: tuple[FloatArray, FloatArray]
    coldest_vent: tuple[FloatArray, FloatArray]
    warmest_vent: tuple[FloatArray, FloatArray]

    def of(self, i: int) -> dict[str, tuple[float, float]]:
        """The limits of one point by their quantity, as kits.bom.catalogue.PREDICTED names it."""
        named = zip(self._fields, self, strict=True)
        return {name.replace("_", " "): (float(low[i]), float(high[i])) for name, (low, high) in named}


@cache
def table() -> Mapping[str, Any]:
    """The data file, read once."""
    found: dict[str, Any] = json.loads(
        (Path(__file__).parent / "data" / "run_test.json").read_text(encoding="utf-8")
    )
    return found


@cache
def uncertainty() -> dict[str, Default]:
    """How far a healthy car may read from the prediction, by key, with the reason."""
    return {row["key"]: Default(**row) for row in table()["uncertainty"]}


def airs() -> list[tuple[float, float]]:
    """Temperature, °C, and relative humidity of the air at the intake, for which the run test is told."""
    return [(float(t), float(rh)) for t in table()["air_c"] for rh in table()["humidity_share"]]


def run_point(case: Case, air_c: float, humidity_share: float, rise_share: float = WHOLE_RISE) -> Point:
    """The case in the run test, with air of this temperature and relative humidity around the car.

    rise_share  how much of the rise at idle is left at the condenser
    """
    read, mounting = table(), case.mounting
    climate = ClimateState(
        outside_c=air_c,
        rh=humidity_share,
        altitude_m=float(read["altitude_m"]),
        beam_normal_w_m2=0.0,
        diffuse_horizontal_w_m2=0.0,
        sun_altitude_deg=0.0,
        heading_deg=None,
        road_speed_km_h=0.0,
        engine_state="fixed",
        occupants=0,
        air_mode="recirculated",
        target_c=air_c,
    )
    if mounting.air_on_rise_idle_k is not None:
        mounting = replace(mounting, air_on_rise_idle_k=rise_share * mounting.air_on_rise_idle_k)
    highest = max((share for _, share in case.plant.blower_steps), default=FULL)
    duty = Duty(
        code=NAME,
        name=NAME,
        kind=RUN_TEST.code,
        required=False,
        climate=climate,
        engine_state="fixed",
        engine_rpm=float(read["engine_rpm"]),
        blower_share=highest,
    )
    return Point(replace(case, mounting=mounting), duty)


def run_tests(cases: Sequence[Case]) -> list[RunTest | None]:
    """The predicted run test of each case over the air at the intake; None of a kit that heats only.

    Formula: the balance of a duty point, with the air at the intake given.
    Parameters: cases; the air's temperatures and humidities are those of the data file.
    Returns: of each temperature and humidity low side, high side, coldest and warmest vent, and their limits; or why
        there are none.
    Validity: doors and bonnet open, flap shut, blower at its highest step, 1,500 rpm or an electric compressor at its
        most, standing still with the condenser's fan running and the whole rise of idle, after 10 minutes, at sea
        level. A cycling plant is its mean, beside it what it comes to with the clutch engaged.
    Source: the balance of the sizing.
    Check: warmer air at the intake never lowers the high side; the same state asked as a duty point reads the same.
    """
    gaps = {i: _gap(case) for i, case in enumerate(cases) if not case.heats_only}
    asked = [i for i, gap in gaps.items() if not gap]
    whole, none = (
        in_batches(
            [run_point(cases[i], *at, share) for i in asked for at in airs()],
            lambda batch, _rows: _solved(batch),
        )
        for share in (WHOLE_RISE, NO_RISE)
    )
    found: list[RunTest | None] = [None] * len(cases)
    for i, gap in gaps.items():
        found[i] = _state_of(cases[i], gap)
    n = len(airs())
    for k, i in enumerate(asked):
        mine = slice(k * n, (k + 1) * n)
        found[i] = replace(_state_of(cases[i]), points=_points(cases[i], whole[mine], none[mine]))
    return found


def _gap(case: Case) -> str:
    """What the case lacks for a run test, in a sentence; empty where it lacks nothing."""
    gaps = missing_for(run_point(case, *airs()[0]))
    return gaps[0].sentence if gaps else ""


def _state_of(case: Case, reason: str = "") -> RunTest:
    plant, at = case.plant, run_point(case, *airs()[0])
    return RunTest(
        None if plant.compressor.electric else at.engine_rpm(),
        at.compressor_rpm(),
        case.mounting.air_on_rise_idle_k,
        None if plant.fan_on_pa is None else gauge_bar_g(plant.fan_on_pa),
        reason=reason,
    )


def _solved(batch: Batch) -> list[_Found]:
    held = hold_at(batch, batch.prepared.outside_c, batch.prepared.outside_w)
    b, engaged = held.balance, engaged_pa(batch.refrigerant, held)
    vents = [v[np.isfinite(v)] for v in each_vent_c(batch, held)]
    return [
        _Found(
            b.status[i],
            _without(batch, i) or why or STOPPED.get(b.status[i], ""),
            Read(
                float(b.suction_pa[i]), float(b.condensing_pa[i]),
                *(float(end(vents[i])) if vents[i].size else np.nan for end in (np.min, np.max)),
            ),
            float(engaged.suction_pa[i]),
            float(engaged.condensing_pa[i]),
        )
        for i, why in enumerate(reasons(batch, held))
    ]  # fmt: skip


def _without(batch: Batch, i: int) -> str:
    """What of car or air side keeps a point from being solved; empty where nothing does."""
    point = batch.points[i]
    gaps = gaps_of_load(point.case.car, batch.prepared.missing[i])
    if reason := batch.air_gap(i):
        gaps = (gap_of_air(point, reason),)
    return gaps[0].sentence if gaps else ""


def _points(case: Case, whole: Sequence[_Found], none: Sequence[_Found]) -> tuple[RunTestPoint, ...]:
    """The points of one case, by what is found with the whole rise at the condenser and without any."""
    plant = case.plant
    ends = [_ends(*both) for both in zip(whole, none, strict=True)]
    least, most = (Read(*np.array([one[k] for one in ends], dtype=np.float64).T) for k in (0, 1))
    fan_on_pa = np.nan if plant.fan_on_pa is None else plant.fan_on_pa
    limits = run_test_limits(plant.refrigerant, least, most, fan_on_pa, plant.high_cut_out_pa)
    limits = limits._replace(high_side=_with_practice(limits.high_side, plant))
    return tuple(
        _point(plant, at, found, free, limits.of(i))
        for i, (at, found, free) in enumerate(zip(airs(), whole, none, strict=True))
    )


def _with_practice(high_side: tuple[FloatArray, FloatArray], plant: Plant) -> tuple[FloatArray, FloatArray]:
    """Limits of the high side that take in what any healthy car reads, where practice knows it.

    The air of the engine's own fan is counted nowhere, so a prediction stands rather too high: a healthy car must not
    read too low by it, for who believes that adds gas.
    """
    low, high = high_side
    air_c, humidity_share = np.array(airs()).T
    bands = expected_bands(air_c, humidity_share, plant.refrigerant)
    most = np.fmin(np.fmax(high, bands.high_to_bar_g), gauge_bar_g(plant.high_cut_out_pa))
    return (
        np.where(np.isfinite(low), np.fmin(low, bands.high_from_bar_g), low),
        np.where(np.isfinite(high), most, high),
    )


def _point(
    plant: Plant, at: tuple[float, float], found: _Found, free: _Found, limits: dict[str, tuple[float, float]]
) -> RunTestPoint:
    """One point by what is found with the whole rise; without both there is no telling how low a healthy car reads."""
    for one in (found, free):
        if one.reason:
            return RunTestPoint(*at, str(one.status), one.reason)
    if not np.isfinite(list(limits.values())).all():
        return RunTestPoint(*at, str(found.status), NO_LIMITS)
    return RunTestPoint(
        *at,
        str(found.status),
        cycles=found.status == Status.FREEZE_LIMITED and plant.freeze_mode == "cycling",
        low_side_bar_g=_gauge(found.mean.suction_pa),
        high_side_bar_g=_gauge(found.mean.condensing_pa),
        engaged_low_bar_g=_gauge(found.engaged_suction_pa),
        engaged_bar_g=_gauge(found.engaged_condensing_pa),
        coldest_vent_c=found.mean.coldest_c,
        warmest_vent_c=found.mean.warmest_c,
        limits=limits,
    )


def _ends(whole: _Found, none: _Found) -> tuple[Read, Read]:
    """Least and most of a point's readings: over both rises at the condenser, mean and with the clutch engaged."""
    read = [whole.mean, none.mean]
    read += [Read(f.engaged_suction_pa, f.engaged_condensing_pa, np.nan, np.nan) for f in (whole, none)]
    values = np.array(read, dtype=np.float64)
    return Read(*np.fmin.reduce(values)), Read(*np.fmax.reduce(values))


def _gauge(pa: float) -> float | None:
    return float(gauge_bar_g(pa)) if np.isfinite(pa) else None


def run_test_limits(
    refrigerant_name: str, least: Read, most: Read, fan_on_pa: float, high_cut_out_pa: float
) -> Limits:
    """What a healthy car reads at least and at most in the run test, round what is predicted of it.

    Formula: pressures p_sat(t_sat(p_least) - Δt) to p_sat(t_sat(p_most) + Δt); the high side at least up to where the
        switch has started the fan, p_fan + Δp, and at most up to the high-pressure switch's cut-out; vents
        t_least - Δt to t_most + Δt.
    Parameters: refrigerant_name; least and most, the smallest and the largest of what is predicted with the whole rise
        at the condenser and without any, and of a cycling plant on the mean and with the clutch engaged; fan_on_pa,
        where the switch starts the fan, NaN where none does; high_cut_out_pa; pressures absolute, Pa.
    Returns: bar g and °C; NaN where there is no prediction.
    Validity: predicted, not yet confirmed by a trial. With the clutch engaged a bound stands for the reading, until a
        car's own trial corrects it. While the high side is below the fan's start the fan may stand: a healthy car then
        reads up to that.
    Source: common practice, no source: the half widths of the data file, each with its reason.
    Check: the prediction lies within; by hand 36.5 and 43.5 °C of R-134a round 40 °C are 8.3 and 10.1 bar g.
    """
    gas, by = refrigerant(refrigerant_name), {key: row.value for key, row in uncertainty().items()}

    def beside_bar_g(pa: FloatArray, k: float) -> FloatArray:
        found: FloatArray = gauge_bar_g(gas.p_sat_pa(gas.t_sat_c(pa) + k))
        return found

    cold_k, hot_k, vent_k = by["evaporating_k"], by["condensing_k"], by["vent_k"]
    highest = beside_bar_g(most.condensing_pa, hot_k)
    if np.isfinite(fan_on_pa):
        highest = np.maximum(highest, gauge_bar_g(fan_on_pa) + by["fan_switch_bar"])
    return Limits(
        (beside_bar_g(least.suction_pa, -cold_k), beside_bar_g(most.suction_pa, cold_k)),
        # where the tables end the switch has opened long since
        (beside_bar_g(least.condensing_pa, -hot_k), np.fmin(highest, gauge_bar_g(high_cut_out_pa))),
        (least.coldest_c - vent_k, most.coldest_c + vent_k),
        (least.warmest_c - vent_k, most.warmest_c + vent_k),
    )
