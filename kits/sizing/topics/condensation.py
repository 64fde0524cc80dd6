"""What sweats in a fitment, what insulation helps, what cooling is lost beside it, and what the drain needs."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kits.bom.resolved import ResolvedKit, explode
from kits.sizing.air_path import SERIES, AirPath, Resistance
from kits.sizing.blower import STANDARD_AIR_KG_M3
from kits.sizing.condensation import (
    condensation_defaults,
    conductivity_w_mk,
    flat_thickness_mm,
    flat_wall,
    materials,
    next_stock_mm,
    round_thickness_mm,
    round_wall,
    trap_height_mm,
    warmer_by_k,
    water_ml_min,
)
from kits.sizing.ducts import (
    air_viscosity_pa_s,
    circle_area_m2,
    flexible_duct_factor,
    minor_loss_pa,
    straight_loss_pa,
)
from kits.sizing.topics.cold_walls import Airs, Wall, airs_of, default, walls_of
from kits.sizing.topics.context import Context
from kits.sizing.topics.figure import Figure, Input, Remark, Severity, Table, Topic, figure, given
from kits.sizing.topics.mends import MISSING_PART, of_part
from kits.sizing.topics.origins import of_parts
from kits.sizing.topics.per_coil import of_each_coil
from vehicles.physics.arrays import floats
from vehicles.physics.quantities import celsius, format_value

MATERIAL = "elastomeric"
"""What is proposed where the kit has no insulation of its own."""
MEAN_C = 18.0
"""Mean temperature of insulation between a cold hose and warm air, for its conductivity."""
DUCT_AIR_C = 8.0
"""Air in the ducts, for its viscosity only."""
COVERED_SHARE = 0.9
"""Below this share of a length an insulation counts as too short: clips and ends take a little."""
DRY, AT_FIRST, SWEATS = "stays dry", "sweats until the cabin’s air is dry", "sweats"


@dataclass(frozen=True)
class Judged:
    """A wall at the duty point at which it is nearest to sweating, and the most cooling it loses anywhere."""

    wall: Wall
    duty: str
    cold_c: float
    air_c: float
    dew_c: float
    surface_c: float
    lost_w: float
    state: str
    k: float
    fitted_mm: float
    needed_mm: float
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
    judged = [j for j in (_judge(wall, airs) for wall in walls_of(context, airs)) if j is not None]
    fitted = [j for j in judged if j.wall.is_fitted]
    drain, water, trap = _drain(context, airs)
    return Topic(
        "condensation",
        "Condensation and drain",
        _answer(fitted, water, trap),
        (
            *(f for j in fitted for f in _figures(context, j)),
            *(_lost(context, j) for j in judged if not j.wall.is_fitted),
            *drain,
        ),
        (_table(judged),),
        (*_remarks(fitted), *_coverage(context.kit, fitted), *_drain_remarks(context, trap)),
    )


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
    state = DRY
    if above[at] < margin:
        dries = wall.faces_cabin and bool(np.nanmin(surface - airs.cabin_dew_c) >= margin)
        state = AT_FIRST if dries else SWEATS
    return Judged(
        wall, airs.duties[at].name, float(wall.cold_c[at]), float(wall.air_c[at]), float(airs.outside_dew_c[at]),
        float(surface[at]), float(np.nanmax(lost)), state, k, fitted_mm, needed, float(next_stock_mm(needed)),
        float(np.nanmin(wall.state(limit, k, wall.air_c).second_c)),
    )  # fmt: skip


def _needed_mm(wall: Wall, airs: Airs, k: float) -> float:
    """Insulation on the bare wall that keeps it dry at every duty point; 0 where it is never colder than the air."""
    asked = airs.outside_dew_c + default("dew_margin_k")
    if wall.radii_m is None:
        got = flat_thickness_mm(
            wall.cold_c, wall.air_c, asked, wall.cold_film, wall.bare_m2k_w, k, wall.air_film
        )
    else:
        bore, pipe = wall.radii_m
        got = round_thickness_mm(
            wall.cold_c, wall.air_c, asked, wall.cold_film, bore, pipe, wall.pipe_w_mk, k, wall.air_film
        )
    # a batch marks the duty points at which the wall is not the colder side
    return float(np.nanmax(got)) if np.isfinite(got).any() or np.isinf(got).any() else 0.0


def _mm(value: float) -> str:
    return "none is enough" if np.isinf(value) else format_value("thickness_mm", np.ceil(value))


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


def _inputs(context: Context, j: Judged) -> tuple[Input, ...]:
    wall = j.wall
    rows = [
        given("Duty point", "", j.duty, "duty point"),
        given("Cold side", "cold_c", j.cold_c, "calculated"),
        given("Air around it", "air_c", j.air_c, "held in the cabin" if wall.faces_cabin else "outside"),
        given("Dew point of outside air", "dew_c", j.dew_c, "calculated from the duty point"),
        *(_assumed(label, key) for label, key in wall.assumed),
    ]
    if wall.radii_m is not None:
        rows.append(given("Bore", "bore_mm", 2000 * wall.radii_m[0], wall.bore_origin, wall.where))
        rows.append(given("Length", "length_m", wall.extent, wall.length_origin, wall.where))
    return (*rows, _wrapped(context, j)) if not wall.helps else tuple(rows)


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


def _assumed(label: str, key: str) -> Input:
    row = condensation_defaults()[key]
    return given(label, key, row.value, f"assumed: {row.source}")


def _figures(context: Context, j: Judged) -> Iterator[Figure]:
    """Surface, its distance from the dew point, insulation needed and cooling lost of a wall."""
    is_round, inputs = j.wall.radii_m is not None, _inputs(context, j)
    wall = round_wall if is_round else flat_wall
    yield figure(f"{j.wall.name}: surface", "surface_c", j.surface_c, wall, *inputs)
    dew = given("Dew point of outside air", "dew_c", j.dew_c, "calculated from the duty point")
    margin = _assumed("Margin above the dew point", "dew_margin_k")
    above = j.surface_c - j.dew_c
    faces = given("Surface", "surface_c", j.surface_c, "calculated")
    yield figure(f"{j.wall.name}: above the dew point", "above_k", above, warmer_by_k, faces, dew, margin)
    thickness = round_thickness_mm if is_round else flat_thickness_mm
    needed = figure(f"{j.wall.name}: insulation needed", "needed_mm", 0.0, thickness, *inputs, margin)
    yield Figure(needed.label, _mm(j.needed_mm), needed.function, needed.inputs)
    yield _lost(context, j)


def _lost(context: Context, j: Judged) -> Figure:
    """Cooling lost through the wall: in all, or by each square metre that cold air runs along."""
    wall = round_wall if j.wall.radii_m is not None else flat_wall
    if j.wall.is_fitted:
        return figure(f"{j.wall.name}: cooling lost", "lost_w", j.lost_w, wall, *_inputs(context, j))
    return figure(f"{j.wall.name}: cooling lost by each m²", "lost_w", j.lost_w, wall, *_inputs(context, j))


def _table(judged: list[Judged]) -> Table:
    rows = tuple(
        (
            j.wall.name if j.wall.is_fitted else f"{j.wall.name} (only where cold air runs along it)",
            f"{j.cold_c:.1f}",
            f"{j.surface_c:.1f}",
            f"{j.dew_c:.1f}",
            j.state,
            _keeps_dry(j),
            f"{j.lost_w:.0f}" + ("" if j.wall.is_fitted else " a m²"),
            j.duty,
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


def _remarks(fitted: list[Judged]) -> Iterator[Remark]:
    """One remark for each wall that sweats, with what helps."""
    for j in fitted:
        if j.state == DRY:
            continue
        has = f"with {j.fitted_mm:g} mm of insulation" if j.fitted_mm else "bare"
        told = f"{j.wall.name}, {has}: {celsius(j.surface_c)} at the surface, dew point {celsius(j.dew_c)} ({j.duty})"
        # above the dew point, but by less than the margin asked
        word = "it sweats" if j.surface_c <= j.dew_c else "too little above it: it may sweat"
        sweats = word if j.state == SWEATS else f"{word} until the cabin’s air is dry"
        limit = default("sheet_limit_mm")
        if j.too_thick:
            takes = "no insulation keeps" if np.isinf(j.needed_mm) else f"it takes {_mm(j.needed_mm)} to keep"
            helps = (
                f"{takes} it dry, and {limit:g} mm is what goes behind trim. With that it will sweat above "
                f"{format_value('dew_c', j.borne_dew_c)} dew point: drain it"
            )
        else:
            helps = f"{_mm(j.needed_mm)} of insulation keep it dry, from stock {j.stock_mm:g} mm"
        severity: Severity = "warns" if j.state == SWEATS else "notes"
        mend = MISSING_PART if j.wall.where == "kit" else None
        yield Remark("wall-sweats", severity, j.wall.where, f"{told}: {sweats}; {helps}.", mend)


def _coverage(kit: ResolvedKit, fitted: list[Judged]) -> Iterator[Remark]:
    """Insulation that lacks its data, or is shorter than what it is for."""
    for j in fitted:
        wrap, wall = j.wall.wrap, j.wall
        if wrap is None:
            continue
        if wrap.thickness_mm is None or wrap.conductivity_w_mk is None:
            sentence = f"Part {wrap.part} ({wrap.name}) has no thickness or conductivity: {wall.name} counts as bare."
            field = "thickness_mm" if wrap.thickness_mm is None else "conductivity_w_mk"
            mend = of_part(kit, "Insulation", field, wrap.part)
            yield Remark("insulation-without-data", "warns", f"part:{wrap.part}", sentence, mend)
        length = wrap.length_m
        if wall.radii_m is not None and length is not None and length < COVERED_SHARE * wall.extent:
            sentence = (
                f"{wrap.name}: {length:.2f} m for {wall.extent:.2f} m of {wall.name}; the rest is bare."
            )
            yield Remark("insulation-too-short", "notes", f"part:{wrap.part}", sentence)


def _drain(context: Context, airs: Airs) -> tuple[tuple[Figure, ...], float | None, float | None]:
    """Figures of the drain, the largest water rate, and the height of its trap."""
    rates = [(d.condensate_kg_h, d) for d in airs.duties if d.condensate_kg_h is not None]
    flows = [d.airflow_m3_h for d in airs.duties if d.airflow_m3_h is not None]
    rate, at = max(rates, key=lambda r: r[0]) if rates else (None, None)
    reserve = default("trap_reserve_mm")
    path = context.case.plant.air_path
    # all losses grow with the flow
    pressure = _coil_pa(path, max(flows)) if flows else None
    trap = None if pressure is None else float(trap_height_mm(pressure, reserve))
    parts = [row.item for row in explode(context.kit) if "drain" in row.item.name.lower()]
    water = (
        given("Water taken out", "condensate_kg_h", rate, "calculated, as sized"),
        given("Duty point", "", at.name if at is not None else None, "duty point"),
        *(
            given(
                "Drain", "", item.name, f"parts list, position {item.position}", f"position:{item.position}"
            )
            for item in parts
        ),
    )
    stands = "calculated: the larger of intake, filter and coil, or coil, matrix, ducts, vents, wherever the blower is"
    held = (
        given("Pressure at the coil against the cabin", "coil_pa", pressure, stands),
        _assumed("Reserve", "trap_reserve_mm"),
        *(i for i in water[2:] if "trap" in i.text.lower()),
    )
    per_minute = None if rate is None else float(water_ml_min(rate))
    figures = (
        figure("Water out of the drain, each minute", "water_ml", per_minute, water_ml_min, *water),
        figure("Trap: water it must hold", "trap_mm", trap, trap_height_mm, *held),
    )
    return figures, rate, trap


def _coil_pa(path: AirPath, flow_m3_h: float) -> float:
    """Largest pressure difference between the coil's casing and the cabin, wherever the blower stands, Pa.

    With a clogged filter where that is known: a trap that holds then holds always.
    """
    held = (path.clogged() or path).series
    intake, dirt, coil, matrix = (_loss_pa(held[name], flow_m3_h) for name in SERIES)
    return max(intake + dirt + coil, coil + matrix + _outlets_pa(path, flow_m3_h))


def _loss_pa(resistance: Resistance, flow_m3_h: float) -> float:
    return float(resistance.rated_pa * (flow_m3_h / resistance.rated_m3_h) ** resistance.exponent)


def _outlets_pa(path: AirPath, flow_m3_h: float) -> float:
    """What ducts and vents lose with the flow shared by free area: an estimate within a few pascal."""
    outlets = path.outlets
    free_m2 = floats([o.free_area_cm2 * 1e-4 for o in outlets])
    bore_m = floats([o.diameter_mm / 1000 for o in outlets])
    flow = flow_m3_h / 3600 * free_m2 / free_m2.sum()
    v = flow / circle_area_m2(bore_m)
    length, rough = floats([o.length_m for o in outlets]), floats([o.roughness_mm / 1000 for o in outlets])
    straight = straight_loss_pa(v, length, bore_m, rough, STANDARD_AIR_KG_M3, air_viscosity_pa_s(DUCT_AIR_C))
    stretched = flexible_duct_factor(1000 * bore_m, [o.compression_percent for o in outlets])
    bends = minor_loss_pa(v, [o.minor_k for o in outlets], STANDARD_AIR_KG_M3)
    vents = minor_loss_pa(flow / free_m2, [o.vent_k + 1.0 for o in outlets], STANDARD_AIR_KG_M3)
    return float(np.max(straight * stretched + bends + vents))


def _drain_remarks(context: Context, trap_mm: float | None) -> Iterator[Remark]:
    names = [row.item.name.lower() for row in explode(context.kit)]
    if not any("drain" in name for name in names):
        yield Remark(
            "no-drain",
            "warns",
            "kit",
            "No part of the kit is named a drain: the coil’s water has no way out.",
            MISSING_PART,
        )
    elif not any("trap" in name for name in names) and trap_mm is not None:
        sentence = (
            f"No part of the kit is named a trap: the drain needs one that holds {np.ceil(trap_mm):.0f} mm."
        )
        yield Remark("no-trap", "notes", "kit", sentence, MISSING_PART)
