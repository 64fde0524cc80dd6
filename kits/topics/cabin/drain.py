"""What the drain of a coil has to carry, and how high its trap must stand."""

from collections.abc import Iterator

import numpy as np

from kits.bom.mending import new_row
from kits.bom.resolved import Finding, explode
from kits.bom.roles import DRAIN, TRAP
from kits.sizing.air.air_path import SERIES, AirPath, Resistance
from kits.sizing.air.blower import STANDARD_AIR_KG_M3
from kits.sizing.air.ducts import (
    air_viscosity_pa_s,
    circle_area_m2,
    flexible_duct_factor,
    minor_loss_pa,
    straight_loss_pa,
)
from kits.sizing.heat.condensation import trap_height_mm, water_ml_min
from kits.topics.cabin.cold_walls import Airs, assumed, default
from kits.topics.context import Context
from kits.topics.figure import Figure, figure, given
from vehicles.physics.arrays import floats

A_DRAIN, A_TRAP = (new_row("Positions", "role", role=role) for role in (DRAIN, TRAP))
DUCT_AIR_C = 8.0
"""Air in the ducts, for its viscosity only."""


def drain_of(context: Context, airs: Airs) -> tuple[tuple[Figure, ...], float | None, float | None]:
    """Figures of the drain, the largest water rate, and the height of its trap."""
    rates = [(d.condensate_kg_h, d) for d in airs.duties if d.condensate_kg_h is not None]
    rate, at = max(rates, key=lambda r: r[0]) if rates else (None, None)
    pressure = _pressure_pa(context, airs)
    trap = _trap_mm(pressure)
    parts = [row.item for row in explode(context.kit) if row.item.is_drain]
    water = (
        given("Water taken out", "kg_h", rate, "calculated, as sized"),
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
        given("Pressure at the coil against the cabin", "pa", pressure, stands),
        assumed("Reserve", "trap_reserve_mm"),
        *(drain for drain, item in zip(water[2:], parts, strict=True) if item.role == TRAP),
    )
    per_minute = None if rate is None else float(water_ml_min(rate))
    figures = (
        figure("Water out of the drain, each minute", "ml", per_minute, water_ml_min, *water),
        figure("Trap: water it must hold", "mm", trap, trap_height_mm, *held),
    )
    return figures, rate, trap


def _pressure_pa(context: Context, airs: Airs) -> float | None:
    """Pressure at the coil against the cabin at the duty point with most air: all losses grow with the flow."""
    flows = [d.airflow_m3_h for d in airs.duties if d.airflow_m3_h is not None]
    return _coil_pa(context.case.plant.air_path, max(flows)) if flows else None


def _trap_mm(pressure_pa: float | None) -> float | None:
    return None if pressure_pa is None else float(trap_height_mm(pressure_pa, default("trap_reserve_mm")))


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


def drain_remarks(context: Context, airs: Airs) -> Iterator[Finding]:
    """That the coil's water has no way out, or no trap on its way."""
    trap_mm = _trap_mm(_pressure_pa(context, airs))
    items = [row.item for row in explode(context.kit)]
    if not any(item.is_drain for item in items):
        yield Finding(
            "no-drain",
            "warns",
            "kit",
            "No position of the kit is a drain: the coil’s water has no way out.",
            A_DRAIN,
        )
    elif not any(item.role == TRAP for item in items) and trap_mm is not None:
        sentence = f"No position of the kit is a drain trap: the drain needs one that holds {np.ceil(trap_mm):.0f} mm."
        yield Finding("no-trap", "notes", "kit", sentence, A_TRAP)
