"""A fitment in other weather and at other engine speeds: where its load and its capacity cross.

The worst required duty point on the road is taken as it is: sun, road speed, blower, people and the humidity ratio
outside stay; outside temperature and engine speed change. All fitments are solved together.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from kits.sizing.balance.balance_input import Status
from kits.sizing.balance.limits import limiting_factor
from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.run.batch import Batch, in_batches
from kits.sizing.run.run import Held, hold
from kits.sizing.run.unsolved import reasons
from kits.sizing.verdict.judge import judged_at_c, margin_of
from kits.sizing.verdict.record import DutyAnswer, Outlook, Reach, SizingRecord
from vehicles.heatload.inputs import ClimateState
from vehicles.physics.air import humidity_ratio, pressure_from_altitude_pa, relative_humidity
from vehicles.physics.arrays import IntArray, Refusal
from vehicles.physics.pressure import gauge_bar_g

STOPPED = (Status.HIGH_PRESSURE, Status.OVER_SPEED)


@dataclass(frozen=True)
class Steps:
    """Outside temperatures of curve and map, and shares of the duty point's speed in the map."""

    curve_outside_c: tuple[float, ...]
    map_outside_c: tuple[float, ...]
    engine_shares: tuple[float, ...]
    electric_shares: tuple[float, ...]


@cache
def steps() -> Steps:
    """The steps of the data file."""
    read = json.loads((Path(__file__).parent / "data" / "outlook.json").read_text(encoding="utf-8"))
    names = ("curve_outside_c", "map_outside_c", "map_engine_speed_shares", "map_electric_speed_shares")
    return Steps(*(tuple(float(value) for value in read[name]) for name in names))


def road_point(record: SizingRecord) -> DutyAnswer | None:
    """The solved required duty point on the road with the least margin; None where there is none."""
    known = [a for a in record.duties if a.required and a.of_kind.is_held and a.margin_share is not None]
    return min(known, key=lambda a: a.margin_share or 0.0, default=None)


def weather(climate: ClimateState, outside_c: float) -> ClimateState:
    """The duty point at another outside temperature.

    Formula: the humidity ratio outside stays; where that is more than the air can hold, the air is saturated.
    Parameters: climate with outside_c, rh and altitude_m known; outside_c, °C.
    Returns: the same duty point with the other temperature and relative humidity.
    Validity: sun, wind and engine stay; panels beside the engine follow the outside temperature as in the heat load.
    Source: humid air.
    Check: at its own temperature the duty point is as it was.
    """
    if climate.outside_c is None or climate.rh is None:
        raise Refusal("Other weather needs a duty point with its outside temperature and humidity.")
    pressure = pressure_from_altitude_pa(climate.altitude_m or 0.0)
    water = humidity_ratio(climate.outside_c, climate.rh, pressure)
    rh = float(relative_humidity(outside_c, water, pressure))
    return replace(climate, outside_c=outside_c, rh=min(rh, 1.0))


def _at(case: Case, duty: Duty, outside_c: float, share: float) -> Point:
    """The duty point in other weather and at a share of its speed: another gear, or a slower electric compressor."""
    changed = replace(duty, climate=weather(duty.climate, outside_c))
    if case.plant.compressor.electric:
        if share == 1.0:
            return Point(case, changed)
        compressor = case.plant.compressor
        # an electric compressor follows the load up to the speed it is allowed
        allowed = max(share * compressor.speed_max_rpm, compressor.speed_min_rpm * 1.001)
        compressor = replace(compressor, speed_max_rpm=allowed)
        return Point(replace(case, unit=replace(case.plant, compressor=compressor)), changed)
    own = Point(case, duty).engine_rpm() or 0.0
    return Point(case, replace(changed, engine_state="fixed", engine_rpm=share * own))


def _rpm(point: Point) -> float | None:
    electric = point.case.plant.compressor.electric
    return point.compressor_rpm() if electric else point.engine_rpm()


def _wanted(case: Case) -> list[tuple[float, float]]:
    """Outside temperature and share of speed of all that is solved: the curve, then the map without what is in it."""
    s = steps()
    shares = s.electric_shares if case.plant.compressor.electric else s.engine_shares
    curve = [(t, 1.0) for t in s.curve_outside_c]
    return curve + [(t, share) for t in s.map_outside_c for share in shares if (t, share) not in curve]


def outlooks(cases: Sequence[Case], records: Sequence[SizingRecord]) -> list[Outlook | None]:
    """The outlook of each case; None where no required duty point on the road was solved."""
    chosen = {i: answer for i, record in enumerate(records) if (answer := road_point(record)) is not None}
    duties = {i: next(d for d in cases[i].duties if d.code == answer.code) for i, answer in chosen.items()}
    reaches = _solved(
        {(i, *at): _at(cases[i], duty, *at) for i, duty in duties.items() for at in _wanted(cases[i])}
    )
    told = {i: _outlook(i, cases[i], duty, reaches) for i, duty in duties.items()}
    # solved once more where the straight line between two steps crosses, the crossing is good to a tenth
    first = {(i, o.crossing_c, 1.0): o for i, o in told.items() if o.crossing_c is not None}
    again = _solved({at: _at(cases[at[0]], duties[at[0]], *at[1:]) for at in first})
    for (i, *_), reach in again.items():
        curve = sorted((*told[i].curve, reach), key=lambda r: r.outside_c)
        told[i] = replace(told[i], crossing_c=crossing_c(curve, _cut_out_bar_g(cases[i])))
    return [told.get(i) for i in range(len(cases))]


At = tuple[int, float, float]
"""Number of the case, outside temperature, share of the duty point's speed."""


def _solved(wanted: dict[At, Point]) -> dict[At, Reach]:
    """All points, each kind in one batch."""
    return dict(zip(wanted, in_batches(list(wanted.values()), _reaches), strict=True))


def _reaches(batch: Batch, _rows: IntArray) -> list[Reach]:
    held = hold(batch, np.array([judged_at_c(p) for p in batch.points]))
    limits = limiting_factor(batch.refrigerant, held.inputs, held.balance, held.rear)
    why = reasons(batch, held)
    return [_reach(batch, held, i, why[i], str(limits[i] or "")) for i in range(len(batch.points))]


def _reach(batch: Batch, held: Held, i: int, reason: str, limit: str) -> Reach:
    point, b, load = batch.points[i], held.balance, held.load
    outside_c, status = float(point.duty.climate.outside_c or 0.0), str(b.status[i])
    if reason:
        return Reach(outside_c=outside_c, rpm=_rpm(point), status=status, reason=reason)
    margin = margin_of(
        float(b.capacity_w[i]),
        float(b.sensible_w[i]),
        float(load.total_w[i]),
        float(load.total_sensible_w[i]),
    )
    return Reach(
        outside_c=outside_c,
        rpm=_rpm(point),
        status=status,
        limit=limit,
        reason="",
        load_w=_number(load.total_w[i]),
        capacity_w=_number(b.capacity_w[i]),
        margin_share=margin,
        high_side_bar_g=_number(gauge_bar_g(b.condensing_pa[i])),
    )


def _number(value: Any) -> float | None:
    return float(value) if np.isfinite(value) else None


def _outlook(i: int, case: Case, duty: Duty, reaches: dict[At, Reach]) -> Outlook:
    climate, s = duty.climate, steps()
    water = humidity_ratio(
        climate.outside_c or 0.0, climate.rh or 0.0, pressure_from_altitude_pa(climate.altitude_m or 0.0)
    )
    shares = s.electric_shares if case.plant.compressor.electric else s.engine_shares
    curve = tuple(reaches[i, t, 1.0] for t in s.curve_outside_c)
    grid = tuple(reaches[i, t, share] for t in s.map_outside_c for share in shares)
    crossing = crossing_c(curve, _cut_out_bar_g(case))
    return Outlook(
        code=duty.code,
        name=duty.name,
        judged_at_c=judged_at_c(Point(case, duty)),
        outside_kg_kg=float(water),
        curve=curve,
        grid=grid,
        crossing_c=crossing,
    )


def _cut_out_bar_g(case: Case) -> float:
    return gauge_bar_g(case.plant.high_cut_out_pa)


def carries(reach: Reach) -> bool:
    """Whether the kit runs there and gives what the cabin asks for."""
    return reach.margin_share is not None and reach.margin_share >= 0 and reach.status not in STOPPED


def crossing_c(curve: Sequence[Reach], high_cut_out_bar_g: float) -> float | None:
    """The outside temperature at which the load is no longer carried.

    Formula: between the last temperature that carries and the next: linear in the margin, or in the head pressure
    where the high-pressure switch opens first; the lower of the two.
    Parameters: curve by rising outside temperature; high_cut_out_bar_g, bar g.
    Returns: °C; None where the curve carries nowhere, or everywhere, or where the next point has no numbers.
    Validity: steps of a few kelvin; the margin bends little within one.
    Source: linear interpolation, once more with the point solved at the first crossing.
    Check: sized at the crossing itself the margin is nought.
    """
    for here, there in pairwise(curve):
        if not carries(here) or carries(there) or here.margin_share is None or there.margin_share is None:
            continue
        shares = []
        if there.margin_share < 0:
            shares.append(here.margin_share / (here.margin_share - there.margin_share))
        low, high = here.high_side_bar_g or 0.0, there.high_side_bar_g or 0.0
        if high >= high_cut_out_bar_g > low:
            shares.append((high_cut_out_bar_g - low) / (high - low))
        return here.outside_c + min(shares) * (there.outside_c - here.outside_c) if shares else None
    return None
