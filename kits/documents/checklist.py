"""The installation checklist of one kit in one car: its steps in order, with boxes, blanks and limits."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from kits.bom.catalogue import PREDICTED
from kits.bom.gas_safety import burns
from kits.bom.resolved import Finding, Hose, HoseEnd, Joint, Reading, ResolvedKit, Step
from kits.bom.step_patterns import NUMBER
from kits.documents.cautions import cautions_of
from kits.documents.parts_list import crimp_text
from kits.documents.run_test_table import RunTestTable, run_test_table
from kits.documents.source import DocumentSource
from kits.documents.title_block import NOT_RECORDED, ChargeBlock, TitleBlock, charge_block, plain, title_block
from kits.sizing.verdict.checks_gas import CABIN_UNKNOWN, IN_CABIN, TOPIC
from kits.sizing.verdict.record import SizingRecord

OIL_AND_GAS, _ = TOPIC
OF_GAS = frozenset({"pressure test", "evacuate", "charge"})
"""Kinds of steps that put a circuit under pressure or gas into it."""


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
    """A reading with its limits as text; `has_blank`: there is a line to write it on."""

    name: str
    unit: str
    limits: str
    has_blank: bool
    writes: str = NUMBER
    """what is written: a number, words, a tick, a date, a time"""


@dataclass(frozen=True)
class CrimpLine:
    """An end that the fitter crimps: what is taken, and the limits of the diameter that he measures."""

    end: str
    how: str
    limits: str


@dataclass(frozen=True, kw_only=True)
class ChecklistStep:
    """A step as it is printed.

    is_open: it may be done, so that it has a box, blanks and, where it holds the work, room for signatures;
    second_person: what holds the work is signed by somebody else as well; run_test: the limits of its readings that
    are from the prediction.
    """

    key: str
    number: int
    kind: str
    text: str
    caution: str
    tool: str
    minutes: str
    is_hold_point: bool
    second_person: bool
    is_open: bool
    wants_photo: bool
    fits: tuple[str, ...]
    joints: tuple[JointLine, ...]
    readings: tuple[ReadingLine, ...]
    crimps: tuple[CrimpLine, ...] = ()
    test_records: tuple[str, ...] = ()
    """the tags of its hoses that come made, each with the number of its test record to write down"""
    proof: str = ""
    """of a pressure test: what proves the plant above the pressure of the test"""
    run_test: RunTestTable | None = None
    never_alone: bool = False
    """whether nobody ever does it alone, wherever he works"""
    same_person: bool = False
    """whether who was alone may tick "same person" in the place of a second signature"""


@dataclass(frozen=True)
class ZoneBlock:
    """Steps that follow each other in one zone."""

    zone: str
    steps: tuple[ChecklistStep, ...]


@dataclass(frozen=True, kw_only=True)
class Checklist:
    """The whole document."""

    title: TitleBlock
    charge: ChargeBlock | None
    in_cabin: tuple[str, ...]
    """what a gas that burns would make of the air in the closed cabin"""
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


def checklist(source: DocumentSource, by: str) -> Checklist:
    """The checklist of a fitment. `by`: who had it made.

    The order of the steps is never changed for the sake of a zone: a zone that is come back to has a second
    block.
    """
    kit = source.kit
    title, charge = title_block(source, "Installation checklist", by), charge_block(kit)
    is_open = not title.stop.is_stopped
    said = _said_once(kit.steps)
    # readings that were predicted for what has changed since are limits of another car
    record = None if source.is_stale else source.record
    zones = tuple(
        ZoneBlock(
            zone,
            tuple(_step(step, source, charge, record, is_open, said[step.number]) for step in steps),
        )
        for zone, steps in groupby(kit.steps, key=lambda step: step.zone)
    )
    return Checklist(
        title=title,
        charge=charge,
        in_cabin=gas_in_cabin(source),
        cautions=cautions_of(source),
        zones=zones,
        total_time=_time(kit),
        law=kit.law,
    )


def second_person(step: Step) -> bool:
    """Whether a hold point is signed by somebody else as well: one about gas or high voltage."""
    return step.hold_point and (step.second_person or step.kind in OF_GAS)


def gas_in_cabin(source: DocumentSource) -> tuple[str, ...]:
    """What the whole charge of a gas that burns would make of the closed cabin.

    By the calculation of oil and gas: what it found, else its answer; where there is none, that nobody knows.
    """
    if not source.gas or burns(source.gas) is False:
        return ()
    found = (f for f in source.kit.findings if f.topic is not None and f.topic[0] == OIL_AND_GAS)
    told = tuple(finding.sentence for finding in found if finding.code in (IN_CABIN, CABIN_UNKNOWN))
    answers = tuple(topic.answer for topic in source.topics if topic.code == OIL_AND_GAS)
    return (
        told
        or answers
        or (f"Whether leaked {source.gas} could burn in the closed cabin is not worked out yet.",)
    )


def _said_once(steps: Sequence[Step]) -> dict[int, str]:
    """The caution of each step by its number; of steps in a row that share one, the later point to the first.

    What holds the work is signed by itself, and so says all of its own.
    """
    said: dict[int, str] = {}
    for caution, run in groupby(steps, key=lambda step: step.caution):
        first, *others = run
        said[first.number] = caution
        for step in others:
            as_before = caution and f"Caution as in step {first.number}."
            said[step.number] = caution if step.hold_point else as_before
    return said


def is_predicted(reading: Reading) -> bool:
    """Whether a reading's limits are from the prediction and it says which quantity it reads, in its unit."""
    return reading.limit_from == "prediction" and PREDICTED.get(reading.predicted) == reading.unit


def _step(
    step: Step,
    source: DocumentSource,
    charge: ChargeBlock | None,
    record: SizingRecord | None,
    is_open: bool,
    caution: str,
) -> ChecklistStep:
    kit, two_sign = source.kit, second_person(step)
    table = run_test_table(record, {reading.predicted for reading in step.readings if is_predicted(reading)})
    joints = {joint.code: joint for joint in kit.joints}
    hoses = [hose for hose in kit.hoses if hose.tag in step.hoses]
    return ChecklistStep(
        key=step.key,
        number=step.number,
        kind=step.kind,
        text=step.text,
        caution=caution,
        tool=step.tool,
        minutes="" if step.minutes_min is None else f"{plain(step.minutes_min)} min",
        is_hold_point=step.hold_point,
        second_person=two_sign,
        is_open=is_open,
        wants_photo=step.photo,
        # what the text itself names, by a placeholder, is not said twice
        fits=tuple(thing for thing in step.fits if thing not in step.text),
        joints=tuple(_joint(joints[code]) for code in step.joints),
        readings=tuple(
            ReadingLine(
                reading.name,
                reading.unit,
                *_limits(reading, charge, table is not None, is_open),
                reading.writes,
            )
            for reading in step.readings
        ),
        crimps=tuple(_crimp(hose, code, end) for hose in hoses for code, end in hose.crimped_at_car),
        test_records=tuple(hose.tag for hose in hoses if not hose.crimped_at_car),
        proof=pressure_proof(kit) if step.kind == "pressure test" else "",
        run_test=table,
        never_alone=step.never_alone,
        same_person=two_sign and not step.never_alone and not source.needs_second_person,
    )


def _crimp(hose: Hose, code: str, end: HoseEnd) -> CrimpLine:
    limits = f"{end.crimp.low_mm:g} to {end.crimp.high_mm:g} mm" if end.crimp else NOT_RECORDED
    return CrimpLine(f"{hose.tag}, end {code} ({end.part})", crimp_text(end.crimp), limits)


def pressure_proof(kit: ResolvedKit) -> str:
    """What proves the plant up to the pressure it may reach, which the test on the car stays below; or nothing.

    Hoses the works made by their test records, ends crimped at the car by what was measured of them; and the least
    pressure that a hose is rated for.
    """
    reached = kit.settings.get("high_cut_out_bar_g")
    if reached is None or not kit.hoses:
        return ""
    made = [hose.tag for hose in kit.hoses if not hose.crimped_at_car]
    at_car = [hose.tag for hose in kit.hoses if hose.crimped_at_car]
    by = [f"the test records of the works ({', '.join(made)})"] if made else []
    by += [f"the measured crimps of what is crimped at the car ({', '.join(at_car)})"] if at_car else []
    unrated = sorted({hose.hose for hose in kit.hoses if hose.rated_pressure_bar_g is None})
    rated = min(
        (h.rated_pressure_bar_g for h in kit.hoses if h.rated_pressure_bar_g is not None), default=None
    )
    by += [f"the rating of the hoses, {rated:g} bar g or more"] if rated is not None else []
    first, last = ", ".join(by[:-1]), by[-1:] or ["what the makers of its parts state"]
    rests = f"{first} and {last[0]}" if first else last[0]
    lacking = f"; the rated pressure of {', '.join(unrated)} is {NOT_RECORDED}" if unrated else ""
    return (
        f"This test finds leaks. The plant may reach {reached:g} bar g before it is cut out; up to there it rests on"
        f" {rests}{lacking}."
    )


def _joint(joint: Joint) -> JointLine:
    ends = f"{joint.a} to {joint.b}"
    return JointLine(joint.code, ends, joint.size, joint.torque_text(), joint.o_ring_text())


def _limits(reading: Reading, charge: ChargeBlock | None, has_table: bool, is_open: bool) -> tuple[str, bool]:
    """The limits of a reading in words, and whether it has a blank; what is not known is said so, never filled in."""
    if reading.writes != NUMBER:
        return "", is_open
    low, high = (_with_unit(value, reading.unit) for value in (reading.low, reading.high))
    if reading.low is not None and reading.high is not None:
        return f"{plain(reading.low)} to {high}", is_open
    if low:
        return f"at least {low}", is_open
    if high:
        return f"at most {high}", is_open
    if reading.limit_from == "charge":
        if charge is None or not charge.is_known:
            return "not known: no charge is recorded", False
        return f"as stated: {charge.in_one_line}", is_open
    if reading.limit_from == "prediction":
        if not is_predicted(reading):
            return "not known: the step does not say what is read", False
        if not has_table:
            return "not known: no predicted limit", False
        return "by the table below, for the air at the intake", is_open
    return ("write it down", True) if is_open else ("", False)


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
