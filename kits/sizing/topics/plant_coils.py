"""The two coils of a plant beside each other, at each duty point."""

from kits.sizing.topics.context import Context
from kits.sizing.topics.figure import Table
from kits.sizing.topics.pieces import Piece, solved

HEADS = (
    "duty point", "coil", "air, m³/h", "air in, °C", "air off, °C", "fins, °C", "capacity, W", "of it sensible, W",
    "flow, g/s",
)  # fmt: skip
SENTENCE = "Two coils share the circuit, the colder one governs; valve and freeze control are told for the front one."


def coils_piece(context: Context) -> Piece:
    """The two coils' part of the topic; nothing where there is one."""
    if context.case.plant.rear is None:
        return Piece()
    rows = tuple(
        (
            answer.name, coil.place, f"{coil.airflow_m3_h:.0f}", f"{coil.air_in_c:.1f}", f"{coil.air_off_c:.1f}",
            f"{coil.surface_c:.1f}", f"{coil.capacity_w:,.0f}", f"{coil.capacity_sensible_w:,.0f}",
            f"{coil.flow_g_s:.1f}",
        )
        for answer in solved(context.record)
        for coil in answer.coils
    )  # fmt: skip
    return Piece(SENTENCE, tables=(Table("Front and rear coil", HEADS, rows),))
