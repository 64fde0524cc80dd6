"""The topics in the order in which they are shown. A new topic is a module beside this one and a line here."""

import sys
from dataclasses import replace

from kits.sizing.words.figure import Remark, Topic
from kits.topics.air.air import air
from kits.topics.air.coil_air import coil_air
from kits.topics.answer.lever_bars import lever_bars
from kits.topics.answer.outlook import outlook
from kits.topics.cabin.condensation import condensation
from kits.topics.cabin.heating import heating
from kits.topics.cabin.pulldown import pull_down
from kits.topics.cabin.spot import spot
from kits.topics.cabin.sun import sun
from kits.topics.circuit.charge import charge
from kits.topics.circuit.cycle import cycle
from kits.topics.circuit.hoses import hoses
from kits.topics.circuit.oil_gas import oil_gas
from kits.topics.circuit.plant import plant
from kits.topics.circuit.readings import readings
from kits.topics.context import Context, Worker
from kits.topics.electrics.electrics import electrics
from kits.topics.mechanics.belt import belt
from kits.topics.mechanics.fasteners import fasteners
from vehicles.records.guard import Fault, guarded

WORKERS: tuple[Worker, ...] = (
    outlook,
    lever_bars,
    plant,
    cycle,
    coil_air,
    air,
    charge,
    oil_gas,
    hoses,
    electrics,
    belt,
    fasteners,
    heating,
    pull_down,
    readings,
    spot,
    sun,
    condensation,
)

OF_HEATING: tuple[Worker, ...] = (lever_bars, air, electrics, fasteners, heating)
"""What there is to tell of a kit that heats only."""

FRONT_ONLY = "Of the two units this tells the front one."


def topics_of(context: Context) -> tuple[Topic, ...]:
    """All topics that apply to the fitment; one that can't be worked out says so and spoils no other."""
    workers = OF_HEATING if context.case.heats_only else WORKERS
    found = (_guarded(worker, context) for worker in workers)
    return tuple(topic for topic in found if topic is not None)


def _guarded(worker: Worker, context: Context) -> Topic | None:
    module = sys.modules[worker.__module__]
    code, title = getattr(module, "CODE", worker.__name__), getattr(module, "TITLE", worker.__name__)
    what = f"Of {context.case.car.name} the calculation “{title}”"
    found = guarded(what, lambda: _worked_out(worker, context))
    if not isinstance(found, Fault):
        return found
    remark = Remark(f"{code}-not-worked-out", "warns", "fitment", found.sentence)
    return Topic(code, title, found.sentence, remarks=(remark,))


def _worked_out(worker: Worker, context: Context) -> Topic | None:
    if worker is not heating or context.case.heats_only or context.case.plant.rear is None:
        return worker(context)
    # one matrix heats: its topic goes on from the air through the unit that has it
    topic = worker(context.of_coils()[0])
    return None if topic is None else replace(topic, answer=f"{topic.answer} {FRONT_ONLY}")
