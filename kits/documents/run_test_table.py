"""The predicted run test as the checklist prints it: a line for each air at the intake, a column for each reading."""

from collections.abc import Collection
from dataclasses import dataclass

from kits.bom.catalogue import PREDICTED
from kits.sizing.balance.balance_input import Status
from kits.sizing.verdict.record import RunTestPoint, SizingRecord
from kits.topics.circuit.run_readings import run_test_words

STOPPED_WORDS = {
    Status.HIGH_PRESSURE: "none: its high-pressure switch may stop it",
    Status.OVER_SPEED: "none: the compressor would turn too fast",
}
NOT_SOLVED = "none: not solved"
CYCLES = "cycles"
HOW_TO_READ = (
    "Predicted, not yet confirmed by a trial. Between two lines take values between; beyond them there is no limit "
    "known."
)


@dataclass(frozen=True)
class RunTestLine:
    """One air at the intake: its limits in the order of the heads, or a word where there are none."""

    air: str
    humidity: str
    limits: tuple[str, ...]
    word: str


@dataclass(frozen=True)
class RunTestTable:
    """The table of a step: the state it holds for in words, the heads of its limits, its lines."""

    state: str
    heads: tuple[str, ...]
    lines: tuple[RunTestLine, ...]


def run_test_table(record: SizingRecord | None, quantities: Collection[str]) -> RunTestTable | None:
    """The limits of what a step reads; None where nothing is predicted of it.

    Parameters: record, the stored answer; quantities, of kits.bom.catalogue.PREDICTED.
    """
    test = record.run_test if record else None
    asked = tuple(quantity for quantity in PREDICTED if quantity in quantities)
    if test is None or not asked or not any(point.limits for point in test.points):
        return None
    heads = tuple(f"{quantity}, {PREDICTED[quantity]}" for quantity in asked)
    return RunTestTable(
        f"{run_test_words(test)} {HOW_TO_READ}",
        heads,
        tuple(_line(point, asked) for point in test.points),
    )


def _line(point: RunTestPoint, asked: tuple[str, ...]) -> RunTestLine:
    air, humidity = f"{point.air_c:.0f} °C", f"{100 * point.humidity_share:.0f} %"
    if not point.limits:
        return RunTestLine(air, humidity, (), STOPPED_WORDS.get(Status(point.status), NOT_SOLVED))
    limits = tuple("{:.1f} to {:.1f}".format(*point.limits[quantity]) for quantity in asked)
    return RunTestLine(air, humidity, limits, CYCLES if point.cycles else "")
