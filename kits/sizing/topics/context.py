"""What a topic is worked out from."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from kits.bom.resolved import ResolvedKit
from kits.sizing.case import Case
from kits.sizing.coil_answers import of_front
from kits.sizing.coil_zones import shared_out
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

    def front(self) -> "Context":
        """The same with the front coil of two alone: its parts, its air side and its answers; itself with one coil."""
        plant, shares = self.case.plant, shared_out(self.kit)[0]
        if plant.rear is None or shares is None:
            return self
        duties = tuple(of_front(answer) for answer in self.record.duties)
        case, record = (
            replace(self.case, plant=replace(plant, rear=None)),
            replace(self.record, duties=duties),
        )
        return replace(self, kit=shares.front, case=case, record=record)


Worker = Callable[[Context], Topic | None]
"""Works out one topic; None where it does not apply to the fitment."""
