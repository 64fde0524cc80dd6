"""How far a survey is: what is measured, what stands in papers, what is estimated, what is missing."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from vehicles.physics.origin import UNCERTAIN, Kind

MEASURED: Final = frozenset({Kind.MEASURED, Kind.WEIGHED})
OF_ELECTRIC_TOO: Final = (
    ("system_voltage_v", "The system voltage"),
    ("battery_ah", "The battery’s capacity"),
)
OF_COMBUSTION: Final = (
    ("hot_idle_rpm", "The hot idle speed"),
    ("engine_rpm_per_km_h", "The engine speed by road speed"),
    ("crank_pulley_mm", "The diameter of the pulley that drives the compressor"),
    ("coolant_limit_c", "The coolant’s limit"),
)
OF_CABIN: Final = (
    ("intake_rise_k", "The rise of the intake air over outside"),
    ("flap_leak_share", "The fresh air past the closed flap"),
    ("duct_gain_w_k", "The heat gain of the ducts"),
    ("matrix_leak_w", "The heat of the shut heater"),
)


@dataclass(frozen=True)
class Part:
    """One part of a survey: the origins of its rows, and a sentence for each value that is missing."""

    title: str
    anchor: str
    kinds: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    slug: str = ""
    kit: str = ""

    @property
    def measured(self) -> int:
        """Rows measured or weighed."""
        return sum(kind in MEASURED for kind in self.kinds)

    @property
    def estimated(self) -> int:
        """Rows estimated or taken from defaults."""
        return sum(kind in UNCERTAIN for kind in self.kinds)

    @property
    def papers(self) -> int:
        """Rows from a data sheet or calculated."""
        return len(self.kinds) - self.measured - self.estimated

    @property
    def state(self) -> str:
        """The worst of it: missing, estimated, papers or measured; "" for a part without rows."""
        if self.missing:
            return "missing"
        if self.estimated:
            return "estimated"
        if self.papers:
            return "papers"
        return "measured" if self.kinds else ""


@dataclass(frozen=True)
class Progress:
    """The parts of one car's survey together."""

    parts: tuple[Part, ...]

    @property
    def measured(self) -> int:
        """Rows measured or weighed."""
        return sum(part.measured for part in self.parts)

    @property
    def papers(self) -> int:
        """Rows from a data sheet or calculated."""
        return sum(part.papers for part in self.parts)

    @property
    def estimated(self) -> int:
        """Rows estimated or taken from defaults."""
        return sum(part.estimated for part in self.parts)

    @property
    def missing(self) -> int:
        """Values that are missing."""
        return sum(len(part.missing) for part in self.parts)


def blanks(row: object, wanted: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """A sentence for each wanted value the row does not hold."""
    return tuple(f"{what} is missing." for name, what in wanted if getattr(row, name) in (None, ""))
