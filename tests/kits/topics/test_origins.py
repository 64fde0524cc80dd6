"""The words that inputs are traced by: the data's own origin where it is recorded, else what holds the number."""

from dataclasses import replace

import pytest

from kits.topics.context import Context
from kits.topics.origins import of_car, of_kit, of_loads, of_parts
from tests.kits.exchange.demonstration.world import World
from tests.kits.topics.contexts import contexts
from vehicles.physics.origin import Kind, Origin

TAPE, SHEET = Origin(Kind.MEASURED, source="tape"), Origin(Kind.DATA_SHEET, source="sheet 4")


@pytest.fixture
def context(world: World) -> Context:
    """A fitment with these origins and no others."""
    found = contexts(world)[0]
    first, *_ = found.case.car.loads
    loads = (
        replace(first, by_day=True, by_night=True, origin=TAPE),
        replace(first, by_day=False, by_night=True, origin=SHEET),
        replace(first, by_day=False, by_night=True, origin=SHEET),
        replace(first, by_day=True, by_night=False, origin=None),
    )
    car = replace(found.case.car, origins={"cabin": TAPE}, loads=loads)
    kit = replace(found.kit, origins={"kit": SHEET, "part.A": TAPE, "part.B": SHEET})
    return replace(found, kit=kit, case=replace(found.case, car=car))


def test_a_recorded_origin_is_told_after_what_holds_the_number(context: Context) -> None:
    assert of_kit(context) == "setting of the kit: data sheet, sheet 4"
    assert of_car(context, "cabin") == "cabin of the car: measured, tape"


def test_without_a_record_what_holds_the_number_is_told_alone(context: Context) -> None:
    assert of_car(context, "powertrain") == "powertrain of the car"
    assert of_kit(replace(context, kit=replace(context.kit, origins={}))) == "setting of the kit"
    assert of_parts(context, ("C",)) == "parts list"


def test_several_origins_are_told_once_each_and_only_those_of_what_is_on(context: Context) -> None:
    assert of_loads(context, "day") == "list of electrical loads: measured, tape"
    assert of_loads(context, "night") == "list of electrical loads: measured, tape; data sheet, sheet 4"
    assert of_parts(context, ("A", "B", "A")) == "measured, tape; data sheet, sheet 4"
