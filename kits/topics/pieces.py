"""What the topics of the refrigerant's side share: a topic's piece, and the duty point that decides."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kits.sizing.gas.refrigerant import Refrigerant
from kits.sizing.verdict.record import DutyAnswer, SizingRecord
from kits.sizing.words.defaults import defaults
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, given
from vehicles.physics.arrays import Refusal
from vehicles.physics.origin import Origin
from vehicles.physics.quantities import format_number


@dataclass(frozen=True)
class Piece:
    """A part of a topic: a sentence for its answer, figures and tables."""

    sentence: str = ""
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()


def solved(record: SizingRecord) -> list[DutyAnswer]:
    """The duty points that have numbers, in their order."""
    return [a for a in record.duties if a.capacity_w is not None and a.flow_g_s is not None]


def governing(record: SizingRecord) -> DutyAnswer | None:
    """The duty point that decides, if it has numbers; else the solved one with the least margin; else None."""
    found = solved(record)
    decides = next((a for a in found if a.code == record.worst_duty_point), None)
    if decides is not None:
        return decides
    # idle has no margin to be ranked by
    return min(
        found, key=lambda a: (not a.required, a.margin_share is None, a.margin_share or 0.0), default=None
    )


def assumed(key: str, unit: str) -> Input:
    """A default as an input, with its source."""
    row = defaults()[key]
    return given(row.meaning, unit, row.value, f"assumed: {row.source}")


def origin_of(context: Context, part: str) -> Origin | str:
    """Where a part's data come from."""
    return context.kit.origins.get(f"part.{part}", "")


def told(label: str, text: str, function: Callable[..., Any], *inputs: Input) -> Figure:
    """A figure whose text is made already, such as a share."""
    return Figure(label, text, f"{function.__module__}:{function.__qualname__}", inputs)


def in_tables(function: Callable[[Refrigerant, float], Any], gas: Refrigerant, value: float) -> float | None:
    """What the function of a gas gives for one value; None where that lies outside the gas's tables."""
    try:
        return float(function(gas, value))
    except Refusal:
        return None


def percent(share: float) -> str:
    """A share in whole per cent."""
    return f"{format_number(100 * share, 0)} %"
