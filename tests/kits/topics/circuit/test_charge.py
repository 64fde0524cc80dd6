"""The charge of the demonstration's fitments."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.resolved import Item
from kits.fitment.fitment_checks import circuit_volume_ml
from kits.sizing.words.explain import explanation_of, named
from kits.topics.circuit.charge import charge
from kits.topics.circuit.hoses import hoses
from kits.topics.circuit.oil_gas import oil_gas
from kits.topics.context import Context
from kits.topics.figure import Topic
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of, contexts

VAN: Key = ("V30-BELT", "V30", "S18L")


def topic_of(context: Context) -> Topic:
    topic = charge(context)
    assert topic is not None
    return topic


def codes(topic: Topic) -> dict[str, tuple[str, str]]:
    return {r.code: (r.severity, r.where) for r in topic.remarks}


def text(topic: Topic, label: str) -> str:
    return next(f.text for f in topic.figures if f.label == label)


def with_items(context: Context, change: Callable[[Item], Item]) -> Context:
    def walk(item: Item) -> Item:
        return change(replace(item, children=tuple(walk(child) for child in item.children)))

    return replace(context, kit=replace(context.kit, items=tuple(walk(i) for i in context.kit.items)))


def test_the_zones_add_up_to_the_estimate_and_to_the_volume_of_the_circuit(world: World) -> None:
    context = context_of(world, VAN)
    topic = topic_of(context)
    zones = topic.tables[0]
    volume = sum(float(row[1].replace(",", "")) for row in zones.rows)
    mass = sum(float(row[3].replace(",", "")) for row in zones.rows)
    # rounded to the whole ml and g, ten rows; the crimped ends have volumes of their own beside the hoses'
    parts = circuit_volume_ml(context.kit, world.catalogue.kits[VAN[0]].parts)
    ends = 6 + 8 + 4 + 4 + 3 + 4 + 16 + 18
    assert parts is not None
    assert volume == pytest.approx(parts + ends, abs=5)
    assert float(text(topic, "Estimated charge").split()[0]) == pytest.approx(mass, abs=5)


def test_the_answer_says_by_how_much_estimate_and_record_differ(world: World) -> None:
    context = context_of(world, VAN)
    topic = topic_of(context)
    difference = text(topic, "Estimate against record")
    assert f"{difference.strip('−')} less than the recorded 875 g (weighed)" in topic.answer
    estimate = float(text(topic, "Estimated charge").split()[0])
    same = replace(context.kit.charge, charge_g=estimate)
    agreeing = topic_of(replace(context, kit=replace(context.kit, charge=same)))
    assert "as much as the recorded" in agreeing.answer
    assert "charge-estimate" not in codes(agreeing)
    off = replace(context.kit.charge, charge_g=1.3 * estimate)
    wide = topic_of(replace(context, kit=replace(context.kit, charge=off)))
    assert codes(wide)["charge-estimate"] == ("warns", "charge")


def test_a_charge_that_was_not_weighed_asks_for_a_plateau(world: World) -> None:
    assert "charge-unweighed" not in codes(topic_of(context_of(world, VAN)))
    told = topic_of(context_of(world, ("V30-BELT", "V30", "S18R")))
    assert codes(told)["charge-unweighed"] == ("notes", "charge")


def test_a_longer_liquid_hose_takes_more_charge(world: World) -> None:
    context = context_of(world, VAN)
    longer = tuple(
        replace(h, cut_mm=(h.cut_mm or 0) + 1000) if h.route == "LIQ-LH" else h for h in context.kit.hoses
    )
    before, after = (
        float(text(topic_of(c), "Estimated charge").split()[0])
        for c in (context, replace(context, kit=replace(context.kit, hoses=longer)))
    )
    # common practice, no source: about 53 g a metre
    assert after - before == pytest.approx(53, abs=2)


def test_a_part_without_inner_volume_is_named_and_nothing_is_guessed(world: World) -> None:
    context = context_of(world, VAN)
    coil = context.kit.plant["evaporator"].part
    without = with_items(context, lambda i: replace(i, inner_volume_ml=None) if i.part == coil else i)
    topic = topic_of(without)
    assert codes(topic)["charge-volume"] == ("warns", f"part:{coil}")
    assert not [f for f in topic.figures if f.label == "Estimated charge"]
    assert "can't be estimated" in topic.answer


def test_an_assembly_with_a_volume_counts_once(world: World) -> None:
    # the condenser of the van is an assembly of two cores and a pipe: 800 ml altogether
    topic = topic_of(context_of(world, VAN))
    condenser = [float(row[1]) for row in topic.tables[0].rows if row[0].startswith("Condenser")]
    assert sum(condenser) == pytest.approx(800, abs=2)


def test_a_receiver_too_small_for_the_reserve_is_told(world: World) -> None:
    context = context_of(world, VAN)
    drier = context.kit.plant["receiver-drier"].part
    small = with_items(context, lambda i: replace(i, inner_volume_ml=80.0) if i.part == drier else i)
    assert codes(topic_of(small))["receiver-small"] == ("warns", f"part:{drier}")
    assert "receiver-small" not in codes(topic_of(context))


def test_without_an_answered_duty_point_the_estimate_is_not_known(world: World) -> None:
    context = context_of(world, VAN)
    blank = replace(context.record, duties=())
    topic = topic_of(replace(context, record=blank))
    assert codes(topic)["charge-state"] == ("warns", "fitment")
    assert "Recorded are 875 g" in topic.answer


def test_without_a_record_that_is_said(world: World) -> None:
    context = context_of(world, VAN)
    none = replace(context.kit.charge, charge_g=None, charge_origin=None)
    topic = topic_of(replace(context, kit=replace(context.kit, charge=none)))
    assert "No charge is recorded" in topic.answer
    assert codes(topic)["charge-missing"] == ("warns", "charge")


def test_the_figures_of_every_fitment_are_explained(world: World) -> None:
    for context in contexts(world):
        for topic in (topic_of(context), oil_gas(context), hoses(context)):
            for figure in topic.figures:
                told = explanation_of(named(figure.function))
                assert told.formula and told.validity and told.source and told.check, figure.function


def test_where_every_state_lies_beyond_the_tables_the_estimate_is_not_known(world: World) -> None:
    context = context_of(world, VAN)
    hot = tuple(replace(d, condensing_c=140.0, discharge_c=160.0) for d in context.record.duties)
    topic = topic_of(replace(context, record=replace(context.record, duties=hot)))
    assert codes(topic)["charge-state"] == ("warns", "fitment")


def test_wetted_quantities_multiply(world: World) -> None:
    context = context_of(world, VAN)
    coil = context.kit.plant["evaporator"].part
    twice = with_items(context, lambda i: replace(i, quantity=Decimal(2)) if i.part == coil else i)
    rows = [float(r[1]) for r in topic_of(twice).tables[0].rows if r[0].startswith("Coil")]
    assert sum(rows) == pytest.approx(2 * 490, abs=2)
