"""Where a number comes from, and which of several numbers for the same thing wins."""

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass
from datetime import date
from enum import StrEnum

from vehicles.physics.arrays import Refusal


class Kind(StrEnum):
    """The kinds of origin, from the strongest to the weakest (measured and weighed are equally strong)."""

    MEASURED = "measured"
    WEIGHED = "weighed"
    DATA_SHEET = "data sheet"
    CALCULATED = "calculated"
    ESTIMATE = "estimate"
    DEFAULT = "default"


STRENGTH: dict[Kind, int] = {
    Kind.MEASURED: 5,
    Kind.WEIGHED: 5,
    Kind.DATA_SHEET: 4,
    Kind.CALCULATED: 3,
    Kind.ESTIMATE: 2,
    Kind.DEFAULT: 1,
}
UNCERTAIN = frozenset({Kind.ESTIMATE, Kind.DEFAULT})
"""A result that rests on one of these is called estimated."""


@dataclass(frozen=True)
class Origin:
    """The origin of one number; it travels beside the number under its path ("cabin.roof.u_w_m2k")."""

    kind: Kind
    _: KW_ONLY
    source: str = ""
    by: str = ""
    on: date | None = None
    note: str = ""
    instrument: str = ""
    uncertainty: str = ""

    def __post_init__(self) -> None:
        # a text such as "measured" is accepted and becomes the kind; anything else is refused
        try:
            object.__setattr__(self, "kind", Kind(self.kind))
        except ValueError:
            kinds = ", ".join(Kind)
            raise Refusal(f"“{self.kind}” is not a kind of origin; it is one of: {kinds}.") from None

    @property
    def is_uncertain(self) -> bool:
        """Whether a result resting on this number has to be called estimated."""
        return self.kind in UNCERTAIN


def outranks(origin: Origin) -> tuple[int, date]:
    """Sort key: strength of the kind first, then the date; no date counts as older than any date."""
    return STRENGTH[origin.kind], origin.on or date.min


def best(origins: Sequence[Origin]) -> Origin:
    """The origin that wins: measured or weighed > data sheet > calculated > estimate > default.

    Within a kind the later date wins; of equals the one that stands last (values are appended, never edited).
    """
    if not origins:
        raise ValueError("There is no value to choose from.")
    winner = origins[0]
    for origin in origins[1:]:
        if outranks(origin) >= outranks(winner):
            winner = origin
    return winner
