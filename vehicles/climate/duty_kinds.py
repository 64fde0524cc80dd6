"""The kinds of duty point: one row each, with all that is done otherwise at one kind than at another."""

from dataclasses import KW_ONLY, dataclass
from enum import Enum
from typing import Final


class Judge(Enum):
    """What decides whether a duty point is passed."""

    MARGIN = "cooling over load at the target"
    IDLE = "head, air at the vents, battery and coolant after the idle"
    COURSE = "the soaked cabin's course"
    HEAT = "the matrix's heat over the cabin's loss at the target"
    NOBODY = "nothing, it is only worked out"


@dataclass(frozen=True)
class DutyKind:
    """A kind of duty point.

    words           in which it is chosen
    margin_words    where its margin is, for the sentence that says of which points the margin is the least
    allowance       the default by which the cabin may be above the target; empty: it must reach that
    engine_side     the state of the engine whose recorded coolant goes with it; empty: none does
    is_studied      whether it can be asked about with other weather, speeds and changes
    comes_first     whether what is told of one duty point alone is told of this kind, where there is one
    charging_told   whether the charging's short answer names it; the tables have all
    """

    code: str
    words: str
    judge: Judge
    margin_words: str = ""
    allowance: str = ""
    _: KW_ONLY
    engine_side: str = ""
    is_studied: bool = False
    comes_first: bool = False
    charging_told: bool = True

    @property
    def asks_heat(self) -> bool:
        """Whether heat is asked for, not cooling."""
        return self.judge is Judge.HEAT

    @property
    def is_held(self) -> bool:
        """Whether the kit must hold its cabin, and so has a margin of cooling and a cabin that it holds."""
        return self.judge is Judge.MARGIN

    @property
    def idles(self) -> bool:
        """Whether it is judged after minutes of idle, when the engine, the battery and the vents decide."""
        return self.judge is Judge.IDLE


CRUISE: Final = DutyKind(
    "cruise", "cruise", Judge.MARGIN, "at cruise", engine_side="cruise", is_studied=True, comes_first=True
)
IDLE: Final = DutyKind("idle", "idle, 15 min", Judge.IDLE, engine_side="idle", is_studied=True)
KINDS: Final = (
    CRUISE,
    DutyKind("town", "town", Judge.MARGIN, "in town", "town_allowance_k", is_studied=True, charging_told=False),
    IDLE,
    DutyKind("pull-down", "pull-down", Judge.COURSE),
    DutyKind("winter", "winter", Judge.HEAT, "in winter"),
)  # fmt: skip
"""The kinds that a duty point is entered as, in the order in which they are told."""
RUN_TEST: Final = DutyKind("run test", "run test", Judge.NOBODY)
"""The state in which a fitted car's gauges are read."""
_BY_CODE: Final = {kind.code: kind for kind in (*KINDS, RUN_TEST)}


def duty_kind(code: str) -> DutyKind:
    """The kind with this code."""
    return _BY_CODE[code]
