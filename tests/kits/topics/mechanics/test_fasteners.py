"""The brackets of the demonstration's fitments."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.resolved import PlantPart
from kits.topics.context import Context
from kits.topics.figure import Topic
from kits.topics.mechanics.fasteners import fasteners
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of

VAN: Key = ("V30-BELT", "V30", "S18L")


def with_bracket(context: Context, size: str, low: float | None, high: float | None) -> Context:
    data = {"bolt_size": size, "bolt_count": 2, "torque_low_nm": low, "torque_high_nm": high}
    plant = {"bracket": PlantPart("BX-1", data, (), Decimal(1))}
    return replace(context, kit=replace(context.kit, plant=plant))


def topic_of(context: Context) -> Topic:
    topic = fasteners(context)
    assert topic is not None
    return topic


@pytest.mark.parametrize(
    ("size", "low", "high", "code", "severity"),
    [
        ("M8 × 25", 22.0, 25.0, None, None),
        ("M8 × 25", 10.0, 12.0, "bolt-torque-low", "notes"),
        ("M8 × 25", 30.0, 35.0, "bolt-torque-high", "warns"),
        ("M8 × 25", None, None, "bolt-torque-missing", "notes"),
        ("", 8.0, 10.0, "bolt-size-missing", "notes"),
        ("4.8 × 16", 2.0, 3.0, None, None),
    ],
)
def test_a_stated_torque_is_held_against_the_band(
    world: World, size: str, low: float | None, high: float | None, code: str | None, severity: str | None
) -> None:
    topic = topic_of(with_bracket(context_of(world, VAN), size, low, high))
    assert [(r.code, r.severity) for r in topic.remarks] == ([(code, severity)] if code else [])
    assert all(r.where == "part:BX-1" for r in topic.remarks)


def test_a_kit_without_brackets_has_no_such_topic(world: World) -> None:
    context = context_of(world, VAN)
    assert fasteners(replace(context, kit=replace(context.kit, plant={}))) is None


def test_the_bands_of_the_demonstrations_sizes_hold_what_practice_states(world: World) -> None:
    # common practice, from memory: M6 8 to 10, M8 22 to 25, M10 42 to 48 N·m
    rows = {
        row[1].split()[0]: row
        for row in topic_of(context_of(world, VAN)).tables[0].rows
        if row[4] == "inside"
    }
    assert {"M6", "M8", "M10"} <= set(rows)
