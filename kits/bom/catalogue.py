"""What a kit is resolved from: frozen values with codes, never primary keys."""

from collections.abc import Iterable, Mapping
from dataclasses import KW_ONLY, dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any, Protocol

from vehicles.physics.origin import Origin
from vehicles.records.terms import Terms

HEATS_ONLY = "none"
"""What stands in the place of the refrigerant of a kit that heats only."""

ANY = Terms()


def in_force(start: date | None, end: date | None, on: date) -> bool:
    """Whether ``on`` lies in the half-open interval; an empty end is open."""
    return (start is None or start <= on) and (end is None or on < end)


def between_changes(days: Iterable[date], on: date) -> tuple[date | None, date | None]:
    """The half-open interval around ``on`` within which none of the days lies; None: open on that side."""
    held = frozenset(days)
    return (
        max((day for day in held if day <= on), default=None),
        min((day for day in held if on < day), default=None),
    )


class Dated(Protocol):
    """Whatever begins on a day and ends on another; None: open on that side."""

    @property
    def start(self) -> date | None: ...  # noqa: D102
    @property
    def end(self) -> date | None: ...  # noqa: D102


def days_of(*rows: Dated) -> frozenset[date]:
    """The days on which one of these begins or ends."""
    return frozenset(day for row in rows for day in (row.start, row.end) if day is not None)


@dataclass(frozen=True)
class PortSpec:
    """A place where something connects."""

    code: str
    role: str
    form: str
    size: str
    gender: str
    material: str = ""


@dataclass(frozen=True)
class StructureSpec:
    """A child of an assembly."""

    number: int
    child: str
    quantity: Decimal


@dataclass(frozen=True, kw_only=True)
class CrimpSpec:
    """How an end is crimped on hose of a wall family; diameters over the ferrule."""

    wall_family: str
    ferrule: str
    die: str
    insertion_depth_mm: float
    low_mm: float
    high_mm: float
    origin: Origin | None = None


@dataclass(frozen=True)
class RevisionSpec:
    """A revision of a part."""

    revision: str
    maturity: str
    _: KW_ONLY
    mass_g: float | None = None
    inner_volume_ml: float | None = None
    start: date | None = None
    end: date | None = None
    structure: tuple[StructureSpec, ...] = ()
    ports: tuple[PortSpec, ...] = ()
    data: Mapping[str, Any] = field(default_factory=dict)
    points: tuple[Mapping[str, float], ...] = ()
    data_origin: Origin | None = None


@dataclass(frozen=True)
class SupersessionSpec:
    """The part that takes another's place from a date on; both ways when the old one still serves."""

    new: str
    start: date | None
    both_ways: bool = False


@dataclass(frozen=True, kw_only=True)
class PartSpec:
    """A part with its revisions."""

    number: str
    name: str
    kind: str
    unit: str
    supply: str
    revisions: tuple[RevisionSpec, ...] = ()
    superseded: tuple[SupersessionSpec, ...] = ()

    def superseded_on(self, on: date) -> SupersessionSpec | None:
        """The supersession in force, the latest first."""
        valid = [s for s in self.superseded if in_force(s.start, None, on)]
        return max(valid, key=lambda s: (s.start or date.min, s.new)) if valid else None

    @cached_property
    def days(self) -> frozenset[date]:
        """The days on which a revision begins or ends, or another part takes its place."""
        replaced = frozenset(s.start for s in self.superseded if s.start is not None)
        return days_of(*self.revisions) | replaced

    def revision_on(self, on: date) -> RevisionSpec | None:
        """The latest revision in force; withdrawn ones never."""
        valid = [r for r in self.revisions if r.maturity != "withdrawn" and in_force(r.start, r.end, on)]
        return max(valid, key=lambda r: (r.start or date.min, r.revision)) if valid else None


@dataclass(frozen=True, kw_only=True)
class EntrySpec:
    """A part that may fill a position."""

    number: int
    part: str
    quantity: Decimal
    terms: Terms
    start: date | None = None
    end: date | None = None
    alternate: bool = False


CRIMPED_AT_CAR: Mapping[str, str] = {"car": "AB", "car A": "A", "car B": "B"}
"""Which ends of a hose the fitter crimps, by its crimp place; the works make the others."""


@dataclass(frozen=True, kw_only=True)
class HoseRunSpec:
    """A hose that may fill a position."""

    number: int
    route: str
    rock_mm: float
    hose: str
    end_a: str
    end_b: str
    clocking_deg: float
    slack_share: float
    slack_min_mm: float
    sleeve: str
    service_port: str
    crimp_place: str
    tag: str
    terms: Terms
    tightest_bend_mm: float | None = None
    """inner radius of the tightest bend of the route"""


@dataclass(frozen=True, kw_only=True)
class CircuitSpec:
    """A conductor of a harness. By convention "from" is the end of the feed, "to" the end of the load or earth.

    diode_band says which end carries the band of a diode across the circuit's coil: "", "from" or "to".
    """

    number: int
    from_connector: str
    from_cavity: str
    to_connector: str
    to_cavity: str
    colour: str
    section_mm2: float
    length_mm: float | None
    terminal: str
    seal: str
    fuse_a: float | None
    current_a: float | None
    terms: Terms = ANY
    diode_band: str = ""
    branch: int | None = None
    leads_to: str = ""
    high_voltage: bool = False


@dataclass(frozen=True)
class BranchSpec:
    """A branch of a harness on its route."""

    number: int
    route: str
    covering: str


@dataclass(frozen=True, kw_only=True)
class PositionSpec:
    """A numbered place of the parts list.

    A position that may stay empty and has no entry or hose run at all stands for a place on the car, such as the
    heater hose that a water valve is cut into; a joint to it is a joint to the car.
    """

    number: int
    name: str
    zone: str
    bag: str
    role: str
    rule: str
    entries: tuple[EntrySpec, ...] = ()
    hose_runs: tuple[HoseRunSpec, ...] = ()
    circuits: tuple[CircuitSpec, ...] = ()
    branches: tuple[BranchSpec, ...] = ()
    hold_spacing_mm: float | None = None
    """of hose clips: the hoses are held at least every so many mm"""

    @property
    def is_on_car(self) -> bool:
        """Whether this is a place on the car that the kit joins to."""
        return self.rule != "exactly one" and not self.entries and not self.hose_runs


@dataclass(frozen=True)
class JointSpec:
    """Two ports that meet."""

    code: str
    position_a: int
    port_a: str
    position_b: int
    port_b: str
    clip_position: int | None = None
    """where the clip stands that closes a water hose"""


PREDICTED = {"low side": "bar g", "high side": "bar g", "coldest vent": "°C", "warmest vent": "°C"}
"""What of the run test is predicted, and the unit it is told in."""


@dataclass(frozen=True, kw_only=True)
class ReadingSpec:
    """A reading a step asks for.

    predicted  which of PREDICTED it reads; empty where its limits are not from the prediction
    """

    name: str
    unit: str
    low: Decimal | None
    high: Decimal | None
    limit_from: str
    number: int = 0
    writes: str = "number"
    answers: str = ""
    """code of the blank of the step's pattern that it is"""
    predicted: str = ""


@dataclass(frozen=True)
class OriginalSpec:
    """A thing of the car and what a step does with it: removed, refitted, kept, scrapped, cut or drilled."""

    number: int
    name: str
    fate: str


@dataclass(frozen=True, kw_only=True)
class StepSpec:
    """A step of the installation."""

    key: str
    order: int
    zone: str
    kind: str
    text: str
    minutes_min: float | None
    tool: str
    caution: str
    hold_point: bool
    photo: bool
    terms: Terms
    positions: tuple[int, ...] = ()
    joints: tuple[str, ...] = ()
    circuits: tuple[tuple[int, int], ...] = ()
    readings: tuple[ReadingSpec, ...] = ()
    start: date | None = None
    end: date | None = None
    originals: tuple[OriginalSpec, ...] = ()
    pattern: str = ""
    """code of the pattern it follows"""
    standard_caution: str = ""


@dataclass(frozen=True)
class VariantSpec:
    """The car a kit is resolved for."""

    line: str
    code: str
    name: str
    options: Mapping[str, str]
    positive_earth: bool | None = None
    drive: str = ""
    """ "combustion" or "electric"; empty where it is not known"""


@dataclass(frozen=True)
class LineSpec:
    """A model line a kit is offered for: the universe its terms are judged in, and the cars that are built."""

    code: str
    name: str
    features: Mapping[str, tuple[str, ...]]
    """feature code -> options that exist in the line"""
    excluded: tuple[Mapping[str, frozenset[str]], ...] = ()
    built: tuple[VariantSpec, ...] = ()


@dataclass(frozen=True, kw_only=True)
class KitSpec:
    """A kit as it is kept, for all cars."""

    code: str
    name: str
    settings: Mapping[str, Any]
    positions: tuple[PositionSpec, ...]
    joints: tuple[JointSpec, ...]
    steps: tuple[StepSpec, ...]
    lines: tuple[LineSpec, ...] = ()
    origin: Origin | None = None
    """of the settings"""


@dataclass(frozen=True)
class Measured:
    """A measured or stated value with its origin."""

    value: float
    origin: Origin
    detail: str = ""
    tolerance: float | None = None
