"""The two coils of a plant beside each other, at each duty point: their air, and their refrigerant."""

from kits.sizing.verdict.record import CoilAnswer, DutyAnswer
from kits.topics.context import Context
from kits.topics.figure import Table
from kits.topics.pieces import Piece, percent, solved

AIR_HEADS = (
    "duty point", "coil", "blower's plug, V", "share at its step", "air, m³/h", "air in, °C", "air off, °C",
    "vents, °C", "water, kg/h",
)  # fmt: skip
GAS_HEADS = (
    "duty point", "coil", "fins, °C", "evaporating, °C", "capacity, W", "share of the heat", "of it sensible, W",
    "flow, g/s", "share of the flow", "lost to the junction, K", "lost to the compressor, K",
)  # fmt: skip
NOT_KNOWN = "–"


def coils_piece(context: Context, main: DutyAnswer) -> Piece:
    """The two coils' part of the topic; nothing where there is one."""
    if context.case.plant.rear is None or not main.coils:
        return Piece()
    told = [(answer, coil) for answer in solved(context.record) for coil in answer.coils]
    return Piece(
        _sentence(main),
        tables=(
            Table("Front and rear coil: air", AIR_HEADS, tuple(_air_row(*each) for each in told)),
            Table("Front and rear coil: refrigerant", GAS_HEADS, tuple(_gas_row(*each) for each in told)),
        ),
    )


def _sentence(main: DutyAnswer) -> str:
    told = [
        f"the {coil.place} one takes {percent(coil.capacity_w / (main.capacity_w or 1.0))} of the heat with "
        f"{percent(coil.flow_g_s / (main.flow_g_s or 1.0))} of the refrigerant"
        for coil in main.coils
    ]
    colder = min(main.coils, key=lambda coil: coil.surface_c)
    return (
        f"Two coils share the circuit: {', '.join(told)}; the {colder.place} one's fins are the colder and govern the "
        "freeze control."
    )


def _air_row(answer: DutyAnswer, coil: CoilAnswer) -> tuple[str, ...]:
    return (
        answer.name, coil.place, _number(coil.blower_v, 1),
        NOT_KNOWN if coil.blower_share is None else percent(coil.blower_share), f"{coil.airflow_m3_h:.0f}",
        f"{coil.air_in_c:.1f}", f"{coil.air_off_c:.1f}", f"{coil.vent_c:.1f}", f"{coil.condensate_kg_h:.1f}",
    )  # fmt: skip


def _gas_row(answer: DutyAnswer, coil: CoilAnswer) -> tuple[str, ...]:
    return (
        answer.name, coil.place, f"{coil.surface_c:.1f}", f"{coil.evaporating_c:.1f}", f"{coil.capacity_w:,.0f}",
        percent(coil.capacity_w / (answer.capacity_w or 1.0)), f"{coil.capacity_sensible_w:,.0f}",
        f"{coil.flow_g_s:.1f}", percent(coil.flow_g_s / (answer.flow_g_s or 1.0)), _number(coil.branch_loss_k, 1),
        _number(coil.suction_loss_k, 1),
    )  # fmt: skip


def _number(value: float | None, decimals: int) -> str:
    return NOT_KNOWN if value is None else f"{value:.{decimals}f}".replace("-", "\N{MINUS SIGN}")
