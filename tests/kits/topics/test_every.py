"""What all topics have in common: how figures are named, and that each input says where it comes from."""

import sys

import pytest

from kits.topics.every import WORKERS, topics_of
from kits.topics.figure import Topic
from tests.kits.exchange.demonstration.world import World
from tests.kits.topics.contexts import contexts


@pytest.fixture(scope="module")
def topics(world: World) -> list[Topic]:
    return [topic for context in contexts(world)[::4] for topic in topics_of(context)]


def test_each_is_found_by_its_code_and_title_even_where_it_can_not_be_worked_out(topics: list[Topic]) -> None:
    told = {(module.CODE, module.TITLE) for module in (sys.modules[w.__module__] for w in WORKERS)}
    assert len(told) == len(WORKERS)
    assert {(topic.code, topic.title) for topic in topics} == told


def test_a_figures_label_begins_with_a_capital_and_has_no_full_stop(topics: list[Topic]) -> None:
    labels = {(t.code, f.label) for t in topics for f in t.figures}
    assert len({code for code, _ in labels}) > 12
    assert [one for one in sorted(labels) if one[1][0].islower() or one[1].endswith(".")] == []


def test_an_inputs_label_begins_with_a_capital_too(topics: list[Topic]) -> None:
    labels = {i.label for t in topics for f in t.figures for i in f.inputs}
    assert len(labels) > 100
    assert [label for label in sorted(labels) if label[0].islower()] == []
    assert len(labels) == len({label.casefold() for label in labels})


def test_every_input_says_where_it_comes_from(topics: list[Topic]) -> None:
    inputs = {(t.code, i.label, i.origin) for t in topics for f in t.figures for i in f.inputs}
    assert len(inputs) > 200
    assert [one for one in sorted(inputs) if not one[2]] == []
