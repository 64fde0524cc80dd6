"""What sweats in a fitment, what insulation helps, and what cooling is lost beside it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from kits.bom.resolved import Finding, ResolvedKit, Severity
from kits.sizing.heat.condensation import (
    conductivity_w_mk,
    flat_thickness_mm,
    flat_wall,
    materials,
    next_stock_mm,
    round_thickness_mm,
    round_wall,
    warmer_by_k,
)
from kits.sizing.verdict.mends import MISSING_PART, of_part
from kits.topics.cabin.cold_walls import AREA, Airs, Wall, airs_of, assumed, default, walls_of, wraps_of
from kits.topics.cabin.drain import drain_of, drain_remarks
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, Topic, figure, given
from kits.topics.origins import of_parts
from kits.topics.per_coil import of_each_coil, remarks_of_each_coil
from vehicles.physics.arrays import FloatArray
from vehicles.physics.quantities import celsius, in_unit

CODE, TITLE = "condensation", "Condensation and drain"

MATERIAL = "elastomeric"
"""What is proposed where the kit has no insulation of its own."""
MEAN_C = 18.0
"""Mean temperature of insulation between a cold hose and warm air, for its conductivity."""
COVERED_SHARE = 0.9
"""Below this share of a length an insulation counts as too short: clips and ends take a little."""
DRY, AT_FIRST, SWEATS = "stays dry", "sweats until the cabin’s air is dry", "sweats"


class At(NamedTuple):
    """What a wall has on its two sides at a duty point."""

    duty: str
    cold_c: float
    air_c: float
    around: str
    dew_c: float


@dataclass(frozen=True, kw_only=True)
class Judged:
    """A wall at the duty point at which it is nearest to sweating, and the most that it loses or needs anywhere."""

    wall: Wall
    at: At
    surface_c: float
    lost_w: float
    lost_at: At
    state: str
    k: float
    fitted_mm: float
    needed_mm: float
    needed_at: At
    stock_mm: float
    borne_dew_c: float
    """surface temperature with the thickest sheet that goes behind trim: it sweats above this dew point"""

    @property
    def too_thick(self) -> bool:
        """Whether what is needed is more than goes behind trim."""
        return self.needed_mm > default("sheet_limit_mm")


@of_each_coil
def condensation(context: Context) -> Topic | None:
    """Sweating, lost cooling and the drain of a fitment that has an answer."""
    airs = airs_of(context)
    if airs is None:
        return None
    judged = _judged(context, airs)
    fitted = [j for j in judged if j.wall.is_fitted]
    drain, water, trap = drain_of(context, airs)
    return Topic(
        CODE,
        TITLE,
        _answer(fitted, water, trap),
        figures=(
            *(f for j in fitted for f in _figures(context, j)),
            *(_lost(context, j) for j in judged if not j.wall.is_fitted),
            *drain,
        ),
        tables=(_table(judged),),
        remarks=tuple(_remarks(context)),
    )


def _remarks(context: Context) -> Iterator[Finding]:
    airs = airs_of(context)
    if airs is None:
        return
    fitted = [j for j in _judged(context, airs) if j.wall.is_fitted]
    yield from _sweating(fitted)
    yield from _unknown(context)
    yield from _coverage(context.kit, fitted)
    yield from drain_remarks(context, airs)


remarks = remarks_of_each_coil(_remarks)


def _judged(context: Context, airs: Airs) -> list[Judged]:
    return [j for j in (_judge(wall, airs) for wall in walls_of(context, airs)) if j is not None]


def _judge(wall: Wall, airs: Airs) -> Judged | None:
    """The wall at its worst duty point; None where nothing of it can be said."""
    wrap = wall.wrap
    known = wrap is not None and wrap.thickness_mm is not None and wrap.conductivity_w_mk is not None
    k = float(conductivity_w_mk(MATERIAL, MEAN_C))
    fitted_mm = 0.0
    if wrap is not None and known:
        fitted_mm, k = float(wrap.thickness_mm or 0.0), float(wrap.conductivity_w_mk or k)
    surface = wall.state(fitted_mm, k, wall.air_c).second_c
    above = warmer_by_k(surface, airs.outside_dew_c)
    if not np.isfinite(above).any():
        return None
    at = int(np.nanargmin(above))
    lost = wall.state(fitted_mm, k, wall.beyond_c).heat * wall.extent
    limit, margin = default("sheet_limit_mm"), default("dew_margin_k")
    needed = _needed_mm(wall, airs, k)
    most_lost, most_needed = (int(np.argmax(np.where(np.isnan(v), -np.inf, v))) for v in (lost, needed))
    state = DRY
    if above[at] < margin:
        dries = wall.faces_cabin and bool(np.nanmin(surface - airs.cabin_dew_c) >= margin)
        state = AT_FIRST if dries else SWEATS
    return Judged(
        wall=wall,
        at=_at(wall, airs, at, wall.air_c),
        surface_c=float(surface[at]),
        lost_w=float(lost[most_lost]),
        lost_at=_at(wall, airs, most_lost, wall.beyond_c),
        state=state,
        k=k,
        fitted_mm=fitted_mm,
        needed_mm=float(needed[most_needed]),
        needed_at=_at(wall, airs, most_needed, wall.air_c),
        stock_mm=float(next_stock_mm(needed[most_needed])),
        borne_dew_c=float(np.nanmin(wall.state(limit, k, wall.air_c).second_c)),
    )


def _at(wall: Wall, airs: Airs, i: int, air_c: FloatArray) -> At:
    around = "held in the cabin" if wall.faces_cabin else "outside"
    if not wall.faces_cabin and air_c[i] != airs.outside_c[i]:
        around = "calculated: air of the engine’s side"
    return At(
        airs.duties[i].name, float(wall.cold_c[i]), float(air_c[i]), around, float(airs.outside_dew_c[i])
    )


def _needed_mm(wall: Wall, airs: Airs, k: float) -> FloatArray:
    """Insulation on the bare wall that keeps it dry at each duty point; 0 where it is not colder than the air."""
    asked = airs.outside_dew_c + default("dew_margin_k")
    if wall.radii_m is None:
        got = flat_thickness_mm(
            cold_c=wall.cold_c,
            air_c=wall.air_c,
            surface_c=asked,
            cold_film_w_m2k=wall.cold_film,
            bare_m2k_w=wall.bare_m2k_w,
            insulation_w_mk=k,
            air_film_w_m2k=wall.air_film,
        )
    else:
        bore, pipe = wall.radii_m
        got = round_thickness_mm(
            cold_c=wall.cold_c,
            air_c=wall.air_c,
            surface_c=asked,
            inside_film_w_m2k=wall.cold_film,
            bore_radius_m=bore,
            pipe_radius_m=pipe,
            pipe_w_mk=wall.pipe_w_mk,
            insulation_w_mk=k,
            air_film_w_m2k=wall.air_film,
        )
    # a batch marks the duty points at which the wall is not the colder side
    return np.where(np.isnan(got), 0.0, got)


def _mm(value: float) -> str:
    return "none is enough" if np.isinf(value) else in_unit("mm", np.ceil(value))


def _keeps_dry(j: Judged) -> str:
    """Insulation where some can go on, else what helps; nothing where it is never cold enough."""
    if j.needed_mm <= 0:
        return "nothing needed"
    if j.wall.helps:
        return j.wall.helps
    return "no insulation is enough" if np.isinf(j.needed_mm) else f"{_mm(j.needed_mm)} of insulation"


def _answer(fitted: list[Judged], water_kg_h: float | None, trap_mm: float | None) -> str:
    wet = [j.wall.name for j in fitted if j.state == SWEATS]
    first = [j.wall.name for j in fitted if j.state == AT_FIRST]
    parts = []
    if wet:
        parts.append(f"{_listed(wet)} will sweat")
    if first:
        parts.append(f"{_listed(first)} will sweat until the cabin’s air is dry")
    told = "; ".join(parts) if parts else "Nothing of the kit sweats at its duty points"
    lost = sum(j.lost_w for j in fitted)
    drain = (
        "" if water_kg_h is None else f", and the drain carries up to {water_kg_h:.1f} kg of water an hour"
    )
    trap = "" if trap_mm is None else f" through a trap of at least {np.ceil(trap_mm):.0f} mm"
    return f"{told}. Up to {lost:.0f} W of cooling is lost through cold walls{drain}{trap}."


def _listed(names: list[str]) -> str:
    told = [names[0], *(name[0].lower() + name[1:] for name in names[1:])]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


def _inputs(context: Context, j: Judged, at: At) -> tuple[Input, ...]:
    """What a wall's state is made from at a duty point; the surface that an area stands for counts for what is lost."""
    wall = j.wall
    rows = [
        given("Duty point", "", at.duty, "duty point"),
        given("Cold side", "c", at.cold_c, "calculated"),
        given("Air around it", "c", at.air_c, at.around),
        *(assumed(label, key) for label, key in wall.assumed if label != AREA),
    ]
    if wall.radii_m is not None:
        rows.append(given("Bore", "mm", 2000 * wall.radii_m[0], wall.bore_origin, wall.where))
    return (*rows, _wrapped(context, j)) if not wall.helps else tuple(rows)


def _extent(wall: Wall) -> tuple[Input, ...]:
    """How much of a fitted wall there is."""
    if wall.radii_m is not None:
        return (given("Length", "m", wall.extent, wall.length_origin, wall.where),)
    return tuple(assumed(label, key) for label, key in wall.assumed if label == AREA)


def _wrapped(context: Context, j: Judged) -> Input:
    wrap = j.wall.wrap
    if wrap is None or not j.fitted_mm:
        name = materials()[MATERIAL].name
        return given(
            "Insulation", "", f"none; {name} of {j.k:.3f} W/mK is proposed",
            f"parts list; {materials()[MATERIAL].source}",
        )  # fmt: skip
    text = f"{wrap.name}: {j.fitted_mm:g} mm, {j.k:.3f} W/mK"
    return given("Insulation", "", text, of_parts(context, (wrap.part,)), f"part:{wrap.part}")


def _figures(context: Context, j: Judged) -> Iterator[Figure]:
    """Surface, its distance from the dew point, insulation needed and cooling lost of a wall."""
    is_round = j.wall.radii_m is not None
    wall = round_wall if is_round else flat_wall
    yield figure(f"{j.wall.name}: surface", "c", j.surface_c, wall, *_inputs(context, j, j.at))
    margin = assumed("Margin above the dew point", "dew_margin_k")
    above = j.surface_c - j.at.dew_c
    faces = given("Surface", "c", j.surface_c, "calculated")
    yield figure(f"{j.wall.name}: above the dew point", "k", above, warmer_by_k, faces, _dew(j.at))
    thickness = round_thickness_mm if is_round else flat_thickness_mm
    inputs = (*_inputs(context, j, j.needed_at), _dew(j.needed_at), margin)
    needed = figure(f"{j.wall.name}: insulation needed", "mm", 0.0, thickness, *inputs)
    yield Figure(needed.label, _mm(j.needed_mm), needed.function, needed.inputs)
    yield _lost(context, j)


def _dew(at: At) -> Input:
    return given("Dew point of outside air", "c", at.dew_c, "calculated from the duty point")


def _lost(context: Context, j: Judged) -> Figure:
    """Cooling lost through the wall: in all, or by each square metre that cold air runs along."""
    wall = round_wall if j.wall.radii_m is not None else flat_wall
    label, inputs = f"{j.wall.name}: cooling lost", _inputs(context, j, j.lost_at)
    if j.wall.is_fitted:
        return figure(label, "w", j.lost_w, wall, *inputs, *_extent(j.wall))
    return figure(f"{label} by each m²", "w", j.lost_w, wall, *inputs)


def _table(judged: list[Judged]) -> Table:
    rows = tuple(
        (
            j.wall.name if j.wall.is_fitted else f"{j.wall.name} (only where cold air runs along it)",
            f"{j.at.cold_c:.1f}",
            f"{j.surface_c:.1f}",
            f"{j.at.dew_c:.1f}",
            j.state,
            _keeps_dry(j),
            f"{j.lost_w:.0f}" + ("" if j.wall.is_fitted else " a m²"),
            j.at.duty,
        )
        for j in judged
    )
    heads = (
        "wall",
        "cold side, °C",
        "surface, °C",
        "dew point, °C",
        "so it",
        "what keeps it dry",
        "cooling lost, W",
        "at",
    )
    return Table("Cold walls at the duty point at which each is nearest to sweating", heads, rows)


def _sweating(fitted: list[Judged]) -> Iterator[Finding]:
    """One remark for each wall that sweats, with what helps."""
    for j in fitted:
        if j.state == DRY:
            continue
        has = f"with {j.fitted_mm:g} mm of insulation" if j.fitted_mm else "bare"
        told = (
            f"{j.wall.name}, {has}: {celsius(j.surface_c)} at the surface, dew point {celsius(j.at.dew_c)} "
            f"({j.at.duty})"
        )
        # above the dew point, but by less than the margin asked
        word = "it sweats" if j.surface_c <= j.at.dew_c else "too little above it: it may sweat"
        sweats = word if j.state == SWEATS else f"{word} until the cabin’s air is dry"
        limit = default("sheet_limit_mm")
        if j.too_thick:
            takes = "no insulation keeps" if np.isinf(j.needed_mm) else f"it takes {_mm(j.needed_mm)} to keep"
            helps = (
                f"{takes} it dry, and {limit:g} mm is what goes behind trim. With that it will sweat above "
                f"{in_unit('c', j.borne_dew_c)} dew point: drain it"
            )
        else:
            helps = f"{_mm(j.needed_mm)} of insulation keep it dry, from stock {j.stock_mm:g} mm"
        severity: Severity = "warns" if j.state == SWEATS else "notes"
        mend = MISSING_PART if j.wall.where == "kit" else None
        yield Finding("wall-sweats", severity, j.wall.where, f"{told}: {sweats}; {helps}.", mend)


def _unknown(context: Context) -> Iterator[Finding]:
    """Insulation of which nobody has said what it goes round."""
    for wrap in wraps_of(context):
        if not wrap.covers:
            sentence = (
                f"Part {wrap.part} ({wrap.name}) does not say what it goes round: it counts for no wall."
            )
            mend = of_part(context.kit, "Insulation", "covers", wrap.part)
            yield Finding("insulation-covers", "warns", f"part:{wrap.part}", sentence, mend)


def _coverage(kit: ResolvedKit, fitted: list[Judged]) -> Iterator[Finding]:
    """Insulation that lacks its data, or is shorter than what it is for."""
    for j in fitted:
        wrap, wall = j.wall.wrap, j.wall
        if wrap is None:
            continue
        if wrap.thickness_mm is None or wrap.conductivity_w_mk is None:
            sentence = f"Part {wrap.part} ({wrap.name}) has no thickness or conductivity: {wall.name} counts as bare."
            field = "thickness_mm" if wrap.thickness_mm is None else "conductivity_w_mk"
            mend = of_part(kit, "Insulation", field, wrap.part)
            yield Finding("insulation-without-data", "warns", f"part:{wrap.part}", sentence, mend)
        length = wrap.length_m
        if wall.radii_m is not None and length is not None and length < COVERED_SHARE * wall.extent:
            sentence = (
                f"{wrap.name}: {length:.2f} m for {wall.extent:.2f} m of {wall.name}; the rest is bare."
            )
            yield Finding("insulation-too-short", "notes", f"part:{wrap.part}", sentence)
