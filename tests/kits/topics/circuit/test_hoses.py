"""The hoses of the demonstration's fitments."""

from dataclasses import replace

import pytest

from kits.sizing.words.explain import explanation_of, named
from kits.topics.circuit.hoses import hoses
from kits.topics.context import Context
from kits.topics.figure import Topic
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of

VAN: Key = ("V30-BELT", "V30", "S18L")
CAB: Key = ("M220-UNDER", "M220", "SLH")


def topic_of(context: Context) -> Topic:
    topic = hoses(context)
    assert topic is not None
    return topic


def codes(topic: Topic) -> dict[str, tuple[str, str]]:
    return {r.code: (r.severity, r.where) for r in topic.remarks}


def number(topic: Topic, label: str) -> float:
    return float(next(f.text for f in topic.figures if f.label == label).split()[0])


def with_suction_bore(context: Context, bore_mm: float) -> Context:
    """The same answer with another suction bore, in the plant and in the list."""
    suction = replace(context.case.plant.suction, bore_m=bore_mm / 1000)
    plant = replace(context.case.plant, suction=suction)
    return replace(context, case=replace(context.case, unit=plant))


@pytest.mark.parametrize("key", [VAN, CAB])
def test_the_loss_at_each_duty_point_is_the_one_the_balance_found(world: World, key: Key) -> None:
    context = context_of(world, key)
    table = topic_of(context).tables[1]
    answered = [d for d in context.record.duties if d.flow_g_s is not None]
    assert len(table.rows) == len(answered) >= 5
    for row, duty in zip(table.rows, answered, strict=True):
        assert float(row[4]) == pytest.approx(duty.suction_loss_k, abs=0.006), duty.code


def test_each_hose_stands_with_its_cut_and_tolerance(world: World) -> None:
    context = context_of(world, VAN)
    table = topic_of(context).tables[0]
    assert len(table.rows) == len(context.kit.hoses) == 4
    for row, hose in zip(table.rows, context.kit.hoses, strict=True):
        assert row[3] == f"{hose.cut_mm:,} ± {hose.tolerance_mm:g}"
    # 3.44 m of #6 liquid hose hold 49 ml a metre, and the liquid at 55 °C 1.08 g/ml (CoolProp)
    liquid = next(row for row in table.rows if row[0] == "Liquid hose")
    assert float(liquid[4]) == pytest.approx(168, abs=2)
    assert float(liquid[5]) == pytest.approx(181, abs=4)
    assert float(liquid[8]) == pytest.approx(51, abs=3)


def test_a_suction_hose_that_costs_too_much_asks_for_the_next_size(world: World) -> None:
    context = context_of(world, VAN)
    assert "suction-loss" not in codes(topic_of(context))
    narrow = topic_of(with_suction_bore(context, 12.7))
    hose = next(h for h in context.kit.hoses if h.name == "Suction hose")
    assert codes(narrow)["suction-loss"] == ("warns", f"hose:{hose.position}/{hose.run}")
    assert "more than the 2 K" in narrow.answer
    sentence = next(r.sentence for r in narrow.remarks if r.code == "suction-loss")
    assert "take #12" in sentence
    # with the size it asks for, at the same flow, it costs what the hose there costs
    assert number(narrow, "Loss with #12") == number(topic_of(context), "Loss of the suction hose")


def test_above_the_largest_size_only_a_shorter_hose_helps(world: World) -> None:
    context = context_of(world, VAN)
    line = replace(context.case.plant.suction, length_m=20.0)
    long = replace(context, case=replace(context.case, unit=replace(context.case.plant, suction=line)))
    topic = topic_of(long)
    assert "shorten it" in next(r.sentence for r in topic.remarks if r.code == "suction-loss")


def test_gas_too_slow_to_lift_its_oil_is_told(world: World) -> None:
    context = context_of(world, VAN)
    assert "oil-return" not in codes(topic_of(context))
    slow = replace(context.record, duties=tuple(replace(d, flow_g_s=5.0) for d in context.record.duties))
    told = topic_of(replace(context, record=slow))
    assert sum(r.code == "oil-return" for r in told.remarks) == len(slow.duties)


def test_a_bore_that_counts_sixteenths_is_told(world: World) -> None:
    context = context_of(world, VAN)
    assert "hose-bore" not in codes(topic_of(context))
    changed = tuple(replace(h, bore_mm=9.5) if h.size == "#6" else h for h in context.kit.hoses)
    topic = topic_of(replace(context, kit=replace(context.kit, hoses=changed)))
    hose = next(h.hose for h in context.kit.hoses if h.size == "#6")
    assert codes(topic)["hose-bore"] == ("warns", f"part:{hose}")


def test_a_hose_without_length_is_named_with_the_route_to_measure(world: World) -> None:
    context = context_of(world, VAN)
    changed = tuple(
        replace(h, cut_mm=None, tolerance_mm=None) if h.name == "Liquid hose" else h
        for h in context.kit.hoses
    )
    topic = topic_of(replace(context, kit=replace(context.kit, hoses=changed)))
    route = next(h.route for h in changed if h.cut_mm is None)
    assert codes(topic)["length-missing"] == ("warns", f"length:{route}")
    assert next(row for row in topic.tables[0].rows if row[0] == "Liquid hose")[3:] == ("not known",) * 6


def test_without_an_answer_the_cuts_still_stand(world: World) -> None:
    context = context_of(world, VAN)
    topic = topic_of(replace(context, record=replace(context.record, duties=())))
    assert codes(topic)["hose-state"] == ("warns", "fitment")
    assert len(topic.tables[0].rows) == 4
    assert topic.figures == ()


def test_where_every_state_lies_beyond_the_tables_the_loss_is_not_known(world: World) -> None:
    context = context_of(world, VAN)
    cold = tuple(replace(d, evaporating_c=-80.0) for d in context.record.duties)
    topic = topic_of(replace(context, record=replace(context.record, duties=cold)))
    assert codes(topic)["hose-state"] == ("warns", "fitment")


def test_a_kit_without_hoses_has_no_such_topic(world: World) -> None:
    context = context_of(world, VAN)
    assert hoses(replace(context, kit=replace(context.kit, hoses=()))) is None


def test_every_figure_is_explained(world: World) -> None:
    for figure in topic_of(context_of(world, VAN)).figures:
        function = named(figure.function)
        assert function is not None
        told = explanation_of(function)
        assert told.formula and told.parameters and told.validity and told.source and told.check
