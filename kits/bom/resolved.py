"""A kit resolved for one car: one immutable value that everything else is drawn from."""

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any, Literal

from kits.bom.catalogue import CRIMPED_AT_CAR
from kits.bom.mending import Mend
from vehicles.physics.origin import Origin

Severity = Literal["blocks", "warns", "notes"]


@dataclass(frozen=True)
class Finding:
    """Something to mend or to know: a code, how bad, the place it is about, a sentence, and the field that mends it."""

    code: str
    severity: Severity
    where: str
    """a reference such as "position:110", "part:AB-12", "length:LIQ", "kit", "variant" """
    sentence: str
    mend: Mend | None = None
    """the field that mends it, where one does"""
    _: KW_ONLY
    topic: tuple[str, str] | None = None
    """code and title of the calculation that tells it; None for what the data alone tell"""
    market: str = ""
    """code of the market whose rule it is; empty for what holds in every market"""


@dataclass(frozen=True, kw_only=True)
class Item:
    """A line of the parts list with what it is made of."""

    position: int
    zone: str
    bag: str
    role: str
    part: str
    revision: str
    name: str
    unit: str
    quantity: Decimal
    maturity: str
    mass_g: float | None
    why: str
    children: tuple["Item", ...] = ()
    inner_volume_ml: float | None = None
    flow: tuple[str, ...] = ()
    """the refrigerant sides its ports are on: "discharge", "liquid", "suction"; empty for what holds no refrigerant"""
    is_drain: bool = False
    """whether the coil's water runs through it or is held by it: by its ports, or by its position's role"""


@dataclass(frozen=True)
class Crimp:
    """How an end is crimped on its hose, and what the crimped ferrule must measure."""

    ferrule: str
    die: str
    insertion_depth_mm: float
    low_mm: float
    high_mm: float
    origin: Origin | None = None

    def text(self) -> str:
        """What is taken, how deep the hose goes in, and the diameter with its limits."""
        return (
            f"ferrule {self.ferrule}, die {self.die}, hose {self.insertion_depth_mm:g} mm deep, "
            f"crimp diameter {self.low_mm:g} to {self.high_mm:g} mm"
        )


@dataclass(frozen=True)
class HoseEnd:
    """One end of a hose."""

    part: str
    name: str
    angle_deg: float
    adds_mm: float | None
    loss_factor: float | None = None
    """velocity heads; None: not known"""
    crimp: Crimp | None = None
    """None: not recorded"""


@dataclass(frozen=True, kw_only=True)
class Hose:
    """A hose to make."""

    position: int
    name: str
    tag: str
    route: str
    hose: str
    size: str
    bore_mm: float | None
    end_a: HoseEnd
    end_b: HoseEnd
    clocking_deg: float
    routed_mm: float | None
    routed_origin: Origin | None
    slack_mm: float | None
    cut_mm: int | None
    tolerance_mm: float | None
    sleeve: str
    service_port: str
    crimp_place: str
    run: int = 0
    """number of the hose run that fills the position"""
    rated_pressure_bar_g: float | None = None
    side: str = ""
    """what it carries, by the ports of its ends: "suction", "discharge", "liquid"; empty where they don't tell"""

    @property
    def crimped_at_car(self) -> tuple[tuple[str, HoseEnd], ...]:
        """The ends that the fitter crimps, by their letter; without any the hose comes made and tested by the works."""
        ends = {"A": self.end_a, "B": self.end_b}
        return tuple((code, ends[code]) for code in CRIMPED_AT_CAR.get(self.crimp_place, ""))


@dataclass(frozen=True, kw_only=True)
class Joint:
    """A joint with what it needs."""

    code: str
    a: str
    b: str
    position_a: int
    position_b: int
    size: str
    o_ring: str
    torque_low_nm: float | None
    torque_high_nm: float | None
    source: str
    form: str = ""
    by: str = ""
    """what is turned: nut, M8 bolt, clip"""
    family: str = ""
    """what flows: refrigerant, water, air, drain, electrical, service"""
    o_ring_size: str = ""
    clip_position: int | None = None
    """where the clip stands that closes a water hose"""

    def torque_text(self) -> str:
        """The torque with its unit, and with what is turned where that is not the nut of the joint."""
        if self.torque_low_nm is None:
            unsaid = "clip not stated" if self.takes_clip else "torque not stated"
            return self.by or ("no torque" if self.is_pushed_on else unsaid)
        turned = f" ({self.by})" if self.by not in ("", "nut") else ""
        return f"{self.torque_low_nm:g} to {self.torque_high_nm:g} N·m{turned}"

    def o_ring_text(self) -> str:
        """The O-ring, or that there is none, or that nobody has stated it."""
        if self.o_ring:
            return f"O-ring {self.o_ring}"
        return "O-ring not stated" if self.takes_ring else "no O-ring"

    @property
    def takes_clip(self) -> bool:
        """Whether it is a water hose on a stub, which a clip closes."""
        return self.family == "water" and self.form == "beaded"

    @property
    def takes_ring(self) -> bool:
        """Whether an O-ring seals it: not a hose on a stub, nor what is pushed together."""
        return not (self.family == "water" or self.is_pushed_on)

    @property
    def is_pushed_on(self) -> bool:
        """Whether it is a duct or a drain: pushed together, with nothing to tighten to a figure."""
        return self.family in ("air", "drain")


@dataclass(frozen=True, kw_only=True)
class Wire:
    """A conductor of a harness."""

    position: int
    number: int
    start: str
    end: str
    colour: str
    section_mm2: float
    length_mm: float | None
    terminal: str
    seal: str
    fuse_a: float | None
    current_a: float | None
    diode_band: str = ""
    """which end carries the band of a diode: "", "from" (the feed) or "to" """
    branch: int | None = None
    route: str = ""
    covering: str = ""
    leads_to: str = ""
    """one of kits.bom.roles.LEADS_TO; empty where nobody has said so"""
    high_voltage: bool = False
    """whether it carries the traction battery's voltage"""


@dataclass(frozen=True)
class Original:
    """A thing of the car and what a step does with it."""

    name: str
    fate: str


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A reading with its limits; predicted says which quantity of the run test it reads (catalogue.PREDICTED)."""

    name: str
    unit: str
    low: Decimal | None
    high: Decimal | None
    limit_from: str
    writes: str = "number"
    """what is written down: a number, words, a tick, a date, a time"""
    predicted: str = ""


@dataclass(frozen=True, kw_only=True)
class Step:
    """A step as the installer reads it."""

    key: str
    number: int
    zone: str
    kind: str
    text: str
    minutes_min: float | None
    tool: str
    caution: str
    hold_point: bool
    photo: bool
    fits: tuple[str, ...]
    joints: tuple[str, ...]
    readings: tuple[Reading, ...]
    originals: tuple[Original, ...] = ()
    pattern: str = ""
    """code of the pattern it follows: what it is for the safety of car and people"""
    second_person: bool = False
    """whether another person signs it too"""
    never_alone: bool = False
    """whether it is not done without one"""
    hoses: tuple[str, ...] = ()
    """the tags of the hoses it fits"""


@dataclass(frozen=True)
class Charge:
    """Refrigerant charge and oil."""

    charge_g: float | None
    tolerance_g: float | None
    charge_origin: Origin | None
    oil: str
    oil_ml: float | None


@dataclass(frozen=True)
class PlantPart:
    """A part with technical data or rated points, and how often the car gets it."""

    part: str
    data: Mapping[str, Any]
    points: tuple[Mapping[str, float], ...]
    quantity: Decimal


@dataclass(frozen=True, kw_only=True)
class ResolvedKit:
    """One kit in one car on one date."""

    kit: str
    kit_name: str
    line: str
    variant: str
    variant_name: str
    on: date
    options: Mapping[str, str]
    settings: Mapping[str, Any]
    items: tuple[Item, ...]
    hoses: tuple[Hose, ...]
    joints: tuple[Joint, ...]
    wires: tuple[Wire, ...]
    charge: Charge
    steps: tuple[Step, ...]
    plant: Mapping[str, PlantPart]
    """the parts with technical data by their kind; a second part of a kind as "kind/number" """
    origins: Mapping[str, Origin] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    involves: frozenset[str] = frozenset()
    """the conditions the installation meets, of `kits.bom.involved`"""
    markets: Mapping[str, str] = field(default_factory=dict)
    """code -> name of the markets in which the kit is offered for this car"""
    days: frozenset[date] = frozenset()
    """past and to come, on which something that it is resolved from begins or ends"""

    @property
    def heats_only(self) -> bool:
        """Whether the kit has no refrigerant, and so cools nothing."""
        return not self.settings.get("refrigerant")

    @property
    def blocking(self) -> tuple[Finding, ...]:
        """Findings that block a release."""
        return tuple(f for f in self.findings if f.severity == "blocks")

    @property
    def law(self) -> tuple[Finding, ...]:
        """What the rules of its markets say of it without forbidding it."""
        return tuple(f for f in self.findings if f.market and f.severity != "blocks")

    def in_market(self, market: str) -> "ResolvedKit":
        """The kit without what the rules of other markets say of it; empty: of any market."""
        return replace(self, findings=tuple(f for f in self.findings if f.market in ("", market)))

    @property
    def minutes(self) -> float:
        """Minutes of all steps that state them."""
        return sum(step.minutes_min or 0.0 for step in self.steps)


@dataclass(frozen=True)
class ExplodedRow:
    """A row of the structured parts list."""

    level: int
    item: Item
    quantity: Decimal


def explode(kit: ResolvedKit) -> tuple[ExplodedRow, ...]:
    """The structured parts list: assemblies before their content, quantities for one kit."""
    rows: list[ExplodedRow] = []

    def walk(item: Item, level: int, times: Decimal) -> None:
        quantity = item.quantity * times
        rows.append(ExplodedRow(level, item, quantity))
        for child in item.children:
            walk(child, level + 1, quantity)

    for item in kit.items:
        walk(item, 0, Decimal(1))
    return tuple(rows)


@dataclass(frozen=True, kw_only=True)
class SummedRow:
    """A part with its quantity in the whole kit."""

    part: str
    revision: str
    name: str
    unit: str
    quantity: Decimal
    positions: tuple[int, ...]
    maturity: str


def consolidate(kit: ResolvedKit) -> tuple[SummedRow, ...]:
    """The summed parts list: what is not made of anything else, added up by part and revision."""
    rows: dict[tuple[str, str], SummedRow] = {}
    for row in explode(kit):
        if row.item.children:
            continue
        key = (row.item.part, row.item.revision)
        held = rows.get(key)
        positions = {*(held.positions if held else ()), row.item.position}
        rows[key] = SummedRow(
            part=row.item.part,
            revision=row.item.revision,
            name=row.item.name,
            unit=row.item.unit,
            quantity=row.quantity + (held.quantity if held else Decimal(0)),
            positions=tuple(sorted(positions)),
            maturity=row.item.maturity,
        )
    return tuple(rows[key] for key in sorted(rows))
