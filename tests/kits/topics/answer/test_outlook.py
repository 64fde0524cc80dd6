"""The outlook as topic: answer, picture with its crossing, map."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.verdict.outlook import carries, steps
from kits.sizing.verdict.record import Outlook, Reach
from kits.sizing.words.explain import explanation_of, named
from kits.topics.answer.outlook import outlook
from kits.topics.context import Context
from kits.topics.figure import Topic
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of, contexts

VAN: Key = ("V30-BELT", "V30", "S18L")


@pytest.fixture(scope="module")
def every(world: World) -> list[Context]:
    return contexts(world)


def with_outlook(context: Context, found: Outlook | None) -> Topic | None:
    return outlook(replace(context, record=replace(context.record, outlook=found)))


def test_every_sized_fitment_of_the_demonstration_has_its_outlook(every: list[Context]) -> None:
    told = 0
    for context in every:
        topic, found = outlook(context), context.record.outlook
        assert (topic is None) == (found is None)
        if topic is None or found is None:
            assert context.record.verdict == "not sized"
            continue
        told += 1
        worst = next(d for d in context.record.duties if d.code == found.code)
        assert worst.required and worst.margin_share is not None
        climate = next(d.climate for d in context.case.duties if d.code == found.code)
        if found.crossing_c is not None:
            carried = worst.margin_share >= 0
            assert (found.crossing_c >= (climate.outside_c or 0)) == carried, "the verdict says the same"
    assert told >= 20


def test_the_crossing_stands_on_both_lines(every: list[Context]) -> None:
    for context in every:
        topic, found = outlook(context), context.record.outlook
        if topic is None or found is None or found.crossing_c is None:
            continue
        spot = topic.pictures[0].spots[0]
        load, capacity = (
            next(o for o in topic.pictures[0].lines if o.label == label) for label in ("load", "capacity")
        )
        assert spot.x == found.crossing_c
        assert spot.y == pytest.approx(float(np.interp(spot.x, capacity.x, capacity.y)))
        # the sensible margin may be used up before the total one
        assert float(np.interp(spot.x, load.x, load.y)) <= spot.y + 0.05
        assert f"{found.crossing_c:.0f} °C outside" in topic.answer


def test_table_and_map_hold_every_step(world: World) -> None:
    context = context_of(world, VAN)
    topic = outlook(context)
    assert topic is not None
    curve, grid = topic.tables
    assert [row[0] for row in curve.rows] == [f"{t:.0f}" for t in steps().curve_outside_c]
    assert len(grid.rows) == len(steps().map_outside_c)
    assert all(len(row) == 1 + len(steps().engine_shares) for row in grid.rows)
    assert all(
        "kW" in cell or "not solved" in cell or "stops" in cell for row in grid.rows for cell in row[1:]
    )
    found = context.record.outlook
    assert found is not None
    assert sum("enough" in cell and "too" not in cell for row in grid.rows for cell in row[1:]) == sum(
        carries(r) for r in found.grid
    )


def test_each_figure_says_where_it_comes_from(world: World) -> None:
    topic = outlook(context_of(world, VAN))
    assert topic is not None
    for figure in topic.figures:
        function = named(figure.function)
        assert function is not None
        why = explanation_of(function)
        assert all((why.formula, why.parameters, why.returns, why.validity, why.source, why.check))


def test_the_answer_says_so_where_nothing_crosses(world: World) -> None:
    context = context_of(world, VAN)
    found = context.record.outlook
    assert found is not None
    enough = tuple(replace(r, margin_share=0.2, status="full") for r in found.curve)
    topic = with_outlook(context, replace(found, curve=enough, crossing_c=None))
    assert (
        topic is not None
        and "still carries the load at 48 °C" in topic.answer
        and not topic.pictures[0].spots
    )
    short = tuple(replace(r, margin_share=-0.2) for r in found.curve)
    topic = with_outlook(context, replace(found, curve=short, crossing_c=None))
    assert topic is not None and "not even at 20 °C" in topic.answer
    broken = (
        *enough[:-1],
        Reach(outside_c=48.0, rpm=3000.0, status="no solution", reason="No state was found."),
    )
    topic = with_outlook(context, replace(found, curve=broken, crossing_c=None))
    assert topic is not None and "at 48 °C nothing balances: No state was found." in topic.answer
    assert with_outlook(context, None) is None
