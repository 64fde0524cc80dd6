"""What would help, as table and bars."""

from dataclasses import replace

import pytest

from kits.sizing.verdict.record import VERDICTS
from kits.sizing.words.explain import explanation_of, named
from kits.topics.answer.lever_bars import lever_bars, wanted_share
from kits.topics.context import Context
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of, contexts

VAN: Key = ("V30-BELT", "V30", "S18L")
DYNAMO: Key = ("V30-BELT", "V30", "C14R")


@pytest.fixture(scope="module")
def every(world: World) -> list[Context]:
    return contexts(world)


def test_only_a_fitment_that_needs_help_has_the_topic(every: list[Context]) -> None:
    told = 0
    for context in every:
        topic = lever_bars(context)
        needs = context.record.verdict in VERDICTS[1:3]
        assert (topic is not None) == needs
        if topic is None:
            continue
        told += 1
        assert context.record.smallest_change in topic.answer
        for figure in topic.figures:
            function = named(figure.function)
            assert function is not None and explanation_of(function).formula
    assert told >= 15


def test_bars_are_the_margins_gained_the_best_first(world: World) -> None:
    context = context_of(world, VAN)
    topic = lever_bars(context)
    assert topic is not None
    bars = topic.pictures[0].bars
    gains = [a for a in context.record.levers if a.gain_share is not None]
    assert [(b.label, b.value) for b in bars] == [(a.name, 100 * (a.gain_share or 0)) for a in gains]
    assert [row[0] for row in topic.tables[0].rows] == [a.name for a in context.record.levers]
    assert topic.tables[0].heads[-1] == "work, h", "no cost stands beside a change: nobody knows it here"
    assert all(float(row[5]) > 0 for row in topic.tables[0].rows)


def test_what_eases_a_failure_without_a_margin_says_what_it_eases(world: World) -> None:
    # the van with the dynamo fails by its battery at idle and by its vents, which no margin tells
    record = context_of(world, DYNAMO).record
    eased = {a.name: a.eases for a in record.levers if a.eases}
    assert {words.split()[0] for words in eased.values()} == {"battery", "vents"}
    topic = lever_bars(context_of(world, DYNAMO))
    assert topic is not None
    column = topic.tables[0].heads.index("eases what fails")
    assert {row[0]: row[column] for row in topic.tables[0].rows if row[column] != "–"} == eased


def test_the_mark_is_what_the_next_better_verdict_wants(world: World) -> None:
    record = context_of(world, VAN).record
    # by hand: a marginal kit with 0.09 wants 0.11 more for a reserve of 0.2; one at -0.1 wants 0.1 to be marginal
    assert wanted_share(replace(record, verdict="marginal", margin_share=0.09), 0.2) == pytest.approx(0.11)
    assert wanted_share(replace(record, verdict="not enough", margin_share=-0.1), 0.2) == pytest.approx(0.1)
    # idle fails by something else than its margin
    assert wanted_share(replace(record, verdict="not enough", margin_share=0.02), 0.2) is None
    assert wanted_share(replace(record, verdict="not enough", margin_share=None), 0.2) is None


def test_a_fitment_that_nothing_helps_says_so(world: World) -> None:
    context = context_of(world, VAN)
    topic = lever_bars(replace(context, record=replace(context.record, levers=(), smallest_change="")))
    assert topic is not None and "No change" in topic.answer and not topic.pictures
