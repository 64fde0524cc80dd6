"""What all topics have in common: how figures are named, and that each input says where it comes from."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from kits.sizing.verdict.all_checks import checks_of
from kits.topics import every as every_module
from kits.topics.context import Context
from kits.topics.every import CALCULATIONS, OF_HEATING, calculations_of, remarks_of, topic_of, topics_of
from kits.topics.figure import Figure, Input, Picture, Table, Topic
from tests.kits.exchange.demonstration.world import World
from tests.kits.topics.contexts import contexts, heating_context

ROOM = Path(every_module.__file__).parent
MADE_TO_BLOCK = re.compile(r'"blocks"(,| if )')


@pytest.fixture(scope="module")
def topics(world: World) -> list[Topic]:
    return [topic for context in contexts(world)[::4] for topic in topics_of(context)]


def test_each_is_found_by_its_code_and_title_even_where_it_can_not_be_worked_out(topics: list[Topic]) -> None:
    told = {(one.code, one.title) for one in CALCULATIONS}
    assert len({code for code, _ in told}) == len(CALCULATIONS)
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


@pytest.fixture(scope="module")
def every(world: World) -> list[Context]:
    return [*contexts(world), *(heating_context(world, key) for key in world.heaters)]


def test_what_findings_tell_is_what_the_topics_remark(every: list[Context]) -> None:
    for context in every[::4]:
        remarks = remarks_of(context)
        for topic in topics_of(context):
            told = [replace(remark, topic=(topic.code, topic.title)) for remark in topic.remarks]
            assert [r for r in remarks if r.topic == (topic.code, topic.title)] == told, topic.code


def test_findings_are_told_without_a_figure_a_table_or_a_picture(
    every: list[Context], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("worked out for findings")

    for made in (Figure, Input, Table, Picture, Topic):
        monkeypatch.setattr(made, "__init__", refuse)
    assert all(remarks_of(context) for context in every)


def test_what_blocks_is_decided_by_the_checks(every: list[Context]) -> None:
    count = 0
    for context in every:
        blocking = [r for r in remarks_of(context) if r.severity == "blocks"]
        checks = checks_of(context.kit, context.case, context.record)
        assert blocking == [r for r in checks if r.severity == "blocks"]
        count += len(blocking)
    assert count > 3
    assert [path.name for path in ROOM.rglob("*.py") if MADE_TO_BLOCK.search(path.read_text())] == []


def test_a_kit_that_heats_has_its_own_calculations_in_the_common_order(every: list[Context]) -> None:
    heater = next(context for context in every if context.case.heats_only)
    assert [one.code for one in calculations_of(heater)] == list(OF_HEATING)
    assert topic_of(heater, "charge") is None


def test_no_table_holds_a_cost(topics: list[Topic]) -> None:
    heads = {head.casefold() for topic in topics for table in topic.tables for head in table.heads}
    assert len(heads) > 50
    assert {head for head in heads if "cost" in head or "price" in head} == set()
