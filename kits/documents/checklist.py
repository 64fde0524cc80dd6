"""The installation checklist of one kit in one car: its steps in order, with boxes, blanks and limits."""

from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from kits.bom.resolved import Finding, Joint, Reading, ResolvedKit, Step
from kits.documents.cautions import cautions_of
from kits.documents.title_block import NOT_RECORDED, ChargeBlock, TitleBlock, charge_block, plain, title_block


@dataclass(frozen=True)
class JointLine:
    """A joint a step makes: which, how tight, with which O-ring."""

    code: str
    ends: str
    size: str
    torque: str
    o_ring: str


@dataclass(frozen=True)
class ReadingLine:
    """A reading to write down, with its limits as text."""

    name: str
    unit: str
    limits: str


@dataclass(frozen=True)
class ChecklistStep:
    """A step as it is printed."""

    key: str
    number: int
    kind: str
    text: str
    caution: str
    tool: str
    minutes: str
    is_hold_point: bool
    wants_photo: bool
    fits: tuple[str, ...]
    joints: tuple[JointLine, ...]
    readings: tuple[ReadingLine, ...]


@dataclass(frozen=True)
class ZoneBlock:
    """Steps that follow each other in one zone."""

    zone: str
    steps: tuple[ChecklistStep, ...]


@dataclass(frozen=True)
class Checklist:
    """The whole document."""

    title: TitleBlock
    charge: ChargeBlock | None
    blocking: tuple[Finding, ...]
    cautions: tuple[str, ...]
    zones: tuple[ZoneBlock, ...]
    total_time: str
    law: tuple[Finding, ...] = ()

    @property
    def steps(self) -> tuple[ChecklistStep, ...]:
        """All steps in their order."""
        return tuple(step for zone in self.zones for step in zone.steps)

    @property
    def hold_points(self) -> str:
        """The numbers of the steps that hold the work, as text."""
        return ", ".join(str(step.number) for step in self.steps if step.is_hold_point)


def checklist(kit: ResolvedKit, by: str) -> Checklist:
    """The checklist of a resolved kit. `by`: who had it made.

    The order of the steps is never changed for the sake of a zone: a zone that is come back to has a second
    block.
    """
    charge = charge_block(kit)
    joints = {joint.code: joint for joint in kit.joints}
    zones = tuple(
        ZoneBlock(zone, tuple(_step(step, joints, charge) for step in steps))
        for zone, steps in groupby(kit.steps, key=lambda step: step.zone)
    )
    return Checklist(
        title_block(kit, "Installation checklist", by),
        charge,
        kit.blocking,
        cautions_of(kit),
        zones,
        _time(kit),
        kit.law,
    )


def _step(step: Step, joints: dict[str, Joint], charge: ChargeBlock | None) -> ChecklistStep:
    return ChecklistStep(
        step.key,
        step.number,
        step.kind,
        step.text,
        step.caution,
        step.tool,
        "" if step.minutes_min is None else f"{plain(step.minutes_min)} min",
        step.hold_point,
        step.photo,
        # what the text itself names, by a placeholder, is not said twice
        tuple(thing for thing in step.fits if thing not in step.text),
        tuple(_joint(joints[code]) for code in step.joints),
        tuple(ReadingLine(reading.name, reading.unit, _limits(reading, charge)) for reading in step.readings),
    )


def _joint(joint: Joint) -> JointLine:
    ends = f"{joint.a} to {joint.b}"
    return JointLine(joint.code, ends, joint.size, joint.torque_text(), joint.o_ring_text())


def _limits(reading: Reading, charge: ChargeBlock | None) -> str:
    """The limits of a reading in words; a limit that is not known yet is said so, never filled in."""
    low, high = (_with_unit(value, reading.unit) for value in (reading.low, reading.high))
    if reading.low is not None and reading.high is not None:
        return f"{plain(reading.low)} to {high}"
    if low:
        return f"at least {low}"
    if high:
        return f"at most {high}"
    if reading.limit_from == "charge":
        return f"as stated: {charge.in_one_line if charge else NOT_RECORDED}"
    if reading.limit_from == "prediction":
        return "no predicted limit yet: write it down"
    return "no limit: write it down"


def _with_unit(value: Decimal | None, unit: str) -> str:
    return "" if value is None else f"{plain(value)} {unit}".strip()


def _time(kit: ResolvedKit) -> str:
    """Hours and minutes of all steps, with how many do not say."""
    silent_count = sum(step.minutes_min is None for step in kit.steps)
    hours, minutes = divmod(round(kit.minutes), 60)
    text = f"{hours} h {minutes:02d} min"
    if silent_count:
        text += f", and {silent_count} step{'s' if silent_count > 1 else ''} without a time"
    return text
