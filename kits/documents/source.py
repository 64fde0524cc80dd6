"""What the papers of one fitment are drawn from: plain values, the same as its page shows."""

from dataclasses import dataclass
from datetime import date, datetime

from kits.bom.resolved import ResolvedKit
from kits.sizing.verdict.record import SizingRecord
from kits.topics.figure import Topic


@dataclass(frozen=True)
class CarFacts:
    """What the papers have to know of the car beside the kit; None: not known."""

    has_engine: bool | None = None
    high_voltage_v: float | None = None
    """of its traction battery; on a car with an engine None says that it has none"""
    built_until: date | None = None


UNKNOWN_CAR = CarFacts()


@dataclass(frozen=True, kw_only=True)
class DocumentSource:
    """A kit resolved for a car and a market, with its stored answer, if there is one.

    kit: with its findings, those of other markets left out; is_stale: something changed since it was sized, began or
    ended; market: its code, empty where the kit is offered in none.
    """

    kit: ResolvedKit
    record: SizingRecord | None
    sized_at: datetime | None
    is_stale: bool
    market: str = ""
    car: CarFacts = UNKNOWN_CAR
    topics: tuple[Topic, ...] = ()
    """the calculations that the paper tells"""
    needs_second_person: bool = False
    """whether the workshop always asks for a second person where gas is at stake"""

    @property
    def gas(self) -> str:
        """The refrigerant by its name; empty where the kit heats only."""
        return str(self.kit.settings.get("refrigerant") or "")
