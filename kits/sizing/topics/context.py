"""What a topic is worked out from."""

from collections.abc import Callable
from dataclasses import dataclass

from kits.bom.resolved import ResolvedKit
from kits.sizing.case import Case
from kits.sizing.plateau import Trial
from kits.sizing.record import SizingRecord
from kits.sizing.topics.figure import Topic


@dataclass(frozen=True)
class Context:
    """A fitment: the kit resolved for its car, what was sized, the answer, and fillings in steps, the newest first."""

    kit: ResolvedKit
    case: Case
    record: SizingRecord
    trials: tuple[Trial, ...] = ()


Worker = Callable[[Context], Topic | None]
"""Works out one topic; None where it does not apply to the fitment."""
