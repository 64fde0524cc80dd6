"""The calculations in the order in which they are shown. A new one is a module beside this one and a line here."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from kits.bom.resolved import Finding
from kits.sizing.verdict.all_checks import checks_of
from kits.topics.air import air, coil_air
from kits.topics.answer import lever_bars, outlook
from kits.topics.cabin import condensation, heating, pulldown, spot, sun
from kits.topics.circuit import charge, cycle, hoses, oil_gas, plant, readings
from kits.topics.context import Context, Remarks, Worker
from kits.topics.electrics import electrics
from kits.topics.figure import Topic
from kits.topics.mechanics import belt, fasteners
from vehicles.records.guard import Fault, guarded


def _nothing(_: Context) -> tuple[Finding, ...]:
    return ()


@dataclass(frozen=True)
class Calculation:
    """One calculation: what works out its topic, and what finds, without figures, what is to be mended or known."""

    code: str
    title: str
    worker: Worker
    remarks: Remarks = _nothing

    def of(self, context: Context) -> str:
        """What is worked out, in words that begin a sentence."""
        return f"Of {context.case.car.name} the calculation “{self.title}”"


CALCULATIONS = (
    Calculation(outlook.CODE, outlook.TITLE, outlook.outlook),
    Calculation(lever_bars.CODE, lever_bars.TITLE, lever_bars.lever_bars),
    Calculation(plant.CODE, plant.TITLE, plant.plant, plant.remarks),
    Calculation(cycle.CODE, cycle.TITLE, cycle.cycle),
    Calculation(coil_air.CODE, coil_air.TITLE, coil_air.coil_air),
    Calculation(air.CODE, air.TITLE, air.air, air.remarks),
    Calculation(charge.CODE, charge.TITLE, charge.charge, charge.remarks),
    Calculation(oil_gas.CODE, oil_gas.TITLE, oil_gas.oil_gas, oil_gas.remarks),
    Calculation(hoses.CODE, hoses.TITLE, hoses.hoses, hoses.remarks),
    Calculation(electrics.CODE, electrics.TITLE, electrics.electrics, electrics.remarks),
    Calculation(belt.CODE, belt.TITLE, belt.belt, belt.remarks),
    Calculation(fasteners.CODE, fasteners.TITLE, fasteners.fasteners, fasteners.remarks),
    Calculation(heating.CODE, heating.TITLE, heating.heating, heating.remarks),
    Calculation(pulldown.CODE, pulldown.TITLE, pulldown.pull_down, pulldown.remarks),
    Calculation(readings.CODE, readings.TITLE, readings.readings, readings.remarks),
    Calculation(spot.CODE, spot.TITLE, spot.spot, spot.remarks),
    Calculation(sun.CODE, sun.TITLE, sun.sun, sun.remarks),
    Calculation(condensation.CODE, condensation.TITLE, condensation.condensation, condensation.remarks),
)

OF_HEATING = (lever_bars.CODE, air.CODE, electrics.CODE, fasteners.CODE, heating.CODE)
"""What there is to tell of a kit that heats only."""

FRONT_ONLY = "Of the two units this tells the front one."


def calculations_of(context: Context) -> tuple[Calculation, ...]:
    """The calculations that there are of a fitment."""
    is_heater = context.case.heats_only
    return tuple(one for one in CALCULATIONS if not is_heater or one.code in OF_HEATING)


def topics_of(context: Context) -> tuple[Topic, ...]:
    """All topics that apply to the fitment; one that can't be worked out says so and spoils no other."""
    found = (_topic(one, context) for one in calculations_of(context))
    return tuple(topic for topic in found if topic is not None)


def topic_of(context: Context, code: str) -> Topic | None:
    """One topic by its code; None where it does not apply."""
    return next((_topic(one, context) for one in calculations_of(context) if one.code == code), None)


def remarks_of(context: Context) -> tuple[Finding, ...]:
    """What the checks find and the calculations remark, each with its topic, in the order of the topics.

    No figure, table or picture is made. A calculation that can't be worked out says so; the checks stand by themselves.
    """
    return tuple(_remarks(context))


def _remarks(context: Context) -> Iterator[Finding]:
    checks = checks_of(context.kit, context.case, context.record)
    for one in calculations_of(context):
        topic = (one.code, one.title)
        yield from (found for found in checks if found.topic == topic)
        at = _told_of(one, context)
        found = guarded(one.of(context), lambda one=one, at=at: tuple(one.remarks(at)))  # type: ignore[misc]
        own = (_not_worked_out(one, found),) if isinstance(found, Fault) else found
        yield from (replace(remark, topic=topic) for remark in own)


def _topic(one: Calculation, context: Context) -> Topic | None:
    found = guarded(one.of(context), lambda: one.worker(_told_of(one, context)))
    if isinstance(found, Fault):
        return Topic(one.code, one.title, found.sentence, remarks=(_not_worked_out(one, found),))
    if found is None or not _tells_one_unit(one, context):
        return found
    return replace(found, answer=f"{found.answer} {FRONT_ONLY}")


def _not_worked_out(one: Calculation, fault: Fault) -> Finding:
    return Finding(f"{one.code}-not-worked-out", "warns", "fitment", fault.sentence)


def _tells_one_unit(one: Calculation, context: Context) -> bool:
    """Whether there are two units and the calculation tells one: one matrix heats."""
    return one.code == heating.CODE and not context.case.heats_only and context.case.plant.rear is not None


def _told_of(one: Calculation, context: Context) -> Context:
    """The fitment; heating goes on from the air through the unit that has the matrix."""
    return context.of_coils()[0] if _tells_one_unit(one, context) else context
