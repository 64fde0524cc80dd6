"""What sweats in the demonstration's fitments."""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from kits.sizing.words.explain import explanation_of, named
from kits.topics.cabin.cold_walls import airs_of, default, walls_of
from kits.topics.cabin.condensation import condensation
from kits.topics.context import Context
from kits.topics.figure import Topic
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import contexts

COUPE: Key = ("S4-DASH", "S4", "CP12R")


def context_of(world: World, key: Key) -> Context:
    return next(c for c in contexts(world) if c.case.key == key)


def topic_of(context: Context) -> Topic:
    topic = condensation(context)
    assert topic is not None
    return topic


def text(topic: Topic, label: str) -> str:
    return next(f.text for f in topic.figures if f.label == label)


def number(topic: Topic, label: str) -> float:
    return float(text(topic, label).split()[0].replace("−", "-"))


def row(topic: Topic, start: str) -> tuple[str, ...]:
    return next(r for r in topic.tables[0].rows if r[0].startswith(start))


def with_plant(context: Context, **parts: tuple[str, Mapping[str, Any]]) -> Context:
    """The kit with other technical data of some parts, by part number with _ for -."""
    plant = dict(context.kit.plant)
    for key, held in context.kit.plant.items():
        changed = parts.get(held.part.replace("-", "_"))
        if changed is not None:
            plant[key] = replace(held, data={**held.data, **changed[1]})
    return replace(context, kit=replace(context.kit, plant=plant))


def test_every_fitment_with_an_answer_has_it_and_every_figure_is_explained(world: World) -> None:
    told = [condensation(context) for context in contexts(world)]
    assert len(told) >= 20
    for topic in told:
        assert topic is not None
        for one in topic.figures:
            function = named(one.function)
            assert function is not None
            why = explanation_of(function)
            assert all((why.formula, why.parameters, why.returns, why.validity, why.source, why.check))


def test_the_duct_is_as_cold_as_a_hand_calculation_says(world: World) -> None:
    context = context_of(world, COUPE)
    found = row(topic_of(context), "Ducts 63 mm")
    cold = float(found[1])
    # 63 mm bore, 1 mm wall of 0.2 W/mK, 3 mm wrap of 0.038 W/mK, films 25 and 8 W/m²K, 25 °C in the cabin
    r1, r2, r3 = 0.0315, 0.0325, 0.0355
    parts = (1 / (25 * r1), math.log(r2 / r1) / 0.2, math.log(r3 / r2) / 0.038, 1 / (8 * r3))
    surface = 25 - (25 - cold) * parts[-1] / sum(parts)
    assert float(found[2]) == pytest.approx(surface, abs=0.1)
    # 1.76 m of duct
    lost = 2 * math.pi * 1.76 * (25 - cold) / sum(parts)
    assert number(topic_of(context), "Ducts 63 mm: cooling lost") >= lost - 1


def test_the_dew_point_is_that_of_the_outside_air(world: World) -> None:
    # 35 °C, 40 %: 19.4 °C (ASHRAE Fundamentals ch. 1)
    topic = topic_of(context_of(world, COUPE))
    found = row(topic, "Ducts")
    assert float(found[3]) == pytest.approx(19.4, abs=0.1)
    above = number(topic, "Ducts 63 mm: above the dew point")
    assert above == pytest.approx(float(found[2]) - float(found[3]), abs=0.11)


def test_a_bare_expansion_valve_sweats_and_what_is_too_thick_is_drained(world: World) -> None:
    topic = topic_of(context_of(world, COUPE))
    assert row(topic, "Expansion valve")[4] == "sweats"
    (remark,) = [r for r in topic.remarks if r.sentence.startswith("Expansion valve")]
    assert number(topic, "Expansion valve: insulation needed") > 13
    assert remark.severity == "warns"
    assert "it will sweat above" in remark.sentence
    assert "dew point: drain it" in remark.sentence


def test_the_insulated_suction_hose_stays_dry_and_bare_it_sweats(world: World) -> None:
    context = context_of(world, COUPE)
    assert row(topic_of(context), "Suction hose")[4] == "stays dry"
    bare = with_plant(context, BM50_301=("", {"thickness_mm": None}))
    topic = topic_of(bare)
    assert row(topic, "Suction hose")[4] == "sweats"
    assert "insulation-without-data" in {r.code for r in topic.remarks}
    assert number(topic, "Suction hose: cooling lost") > number(
        topic_of(context), "Suction hose: cooling lost"
    )


def test_what_a_hose_loses_is_shown_with_the_warm_air_that_it_loses_it_to(world: World) -> None:
    topic = topic_of(context_of(world, COUPE))
    shown = {f.label: {i.label: i for i in f.inputs} for f in topic.figures}
    lost, surface = shown["Suction hose: cooling lost"], shown["Suction hose: surface"]
    assert lost["Air around it"].origin == "calculated: air of the engine’s side"
    assert surface["Air around it"].origin == "outside"
    assert "Length" not in surface and "Dew point of outside air" not in surface
    air, cold, bore, wall, film, length = (
        float(lost[label].text.split()[0])
        for label in (
            "Air around it",
            "Cold side",
            "Bore",
            "Wall of the hose",
            "Film towards the air",
            "Length",
        )
    )
    thick, k = (float(part.split()[0]) for part in lost["Insulation"].text.rpartition(": ")[2].split(", "))
    inner, pipe, outer = bore / 2, bore / 2 + wall, bore / 2 + wall + thick
    resistance = (
        math.log(pipe / inner) / default("hose_wall_w_mk")
        + math.log(outer / pipe) / k
        + 1000 / (film * outer)
    )
    assert number(topic, "Suction hose: cooling lost") == pytest.approx(
        2 * math.pi * length * (air - cold) / resistance, abs=1.0
    )


def test_the_needed_insulation_makes_the_duct_dry(world: World) -> None:
    context = context_of(world, COUPE)
    needed = number(topic_of(context), "Ducts 63 mm: insulation needed")
    for thickness, state in ((needed, "stays dry"), (needed - 2, "sweats until the cabin’s air is dry")):
        changed = with_plant(context, BM60_220=("", {"thickness_mm": thickness}))
        assert row(topic_of(changed), "Ducts")[4] == state


def test_a_wrap_that_is_too_short_is_told(world: World) -> None:
    context = context_of(world, COUPE)
    assert "insulation-too-short" not in {r.code for r in topic_of(context).remarks}
    path = context.case.plant.air_path
    longer = tuple(replace(o, length_m=2 * o.length_m) for o in path.outlets)
    plant = replace(context.case.plant, air_path=replace(path, outlets=longer))
    topic = topic_of(replace(context, case=replace(context.case, unit=plant)))
    assert "insulation-too-short" in {r.code for r in topic.remarks}


def test_the_drain_carries_the_largest_condensate_and_its_trap_holds_the_coils_pressure(world: World) -> None:
    context = context_of(world, COUPE)
    topic = topic_of(context)
    most = max(d.condensate_kg_h or 0.0 for d in context.record.duties)
    assert number(topic, "Water out of the drain, each minute") == pytest.approx(1000 * most / 60, abs=0.5)
    trap = next(f for f in topic.figures if f.label.startswith("Trap"))
    pressure = float(trap.inputs[0].text.split()[0])
    # 10 mm of reserve
    assert float(trap.text.split()[0]) == pytest.approx(pressure / 9.80665 + 10, abs=1)
    assert 150 < pressure < 400


def test_a_kit_without_a_drain_is_told(world: World) -> None:
    context = context_of(world, COUPE)
    assert not {"no-drain", "no-trap"} & {r.code for r in topic_of(context).remarks}
    dry = tuple(i for i in context.kit.items if not i.is_drain and i.role != "evaporator")
    topic = topic_of(replace(context, kit=replace(context.kit, items=dry)))
    assert ("no-drain", "warns") in {(r.code, r.severity) for r in topic.remarks}


def test_a_bulkhead_as_a_duct_wall_loses_cooling_by_the_square_metre(world: World) -> None:
    context = context_of(world, COUPE)
    found = row(topic_of(context), "Bulkhead")
    assert found[0].endswith("(only where cold air runs along it)")
    # towards an engine side of 50 °C and more, behind U = 3 to 4 W/m²K
    assert 80 < float(found[6].removesuffix(" a m²")) < 300


def test_glass_asks_for_no_cold_air_and_gets_no_insulation(world: World) -> None:
    told = [t for c in contexts(world) if (t := condensation(c)) is not None]
    glass = [r for t in told for r in t.tables[0].rows if r[0].startswith("Outer face of glass")]
    asked = {r[5] for r in glass}
    assert "no cold air straight on the glass" in asked
    assert asked <= {"no cold air straight on the glass", "nothing needed"}
    inputs = [
        i for t in told for f in t.figures if f.label.startswith("Outer face of glass") for i in f.inputs
    ]
    assert inputs and "Insulation" not in {i.label for i in inputs}


def test_every_head_sets_its_unit_apart(world: World) -> None:
    heads = topic_of(context_of(world, COUPE)).tables[0].heads
    assert [h for h in heads if h.endswith(("°C", "W"))] == [
        "cold side, °C", "surface, °C", "dew point, °C", "cooling lost, W",
    ]  # fmt: skip


def test_a_hoses_length_has_the_origin_that_won(world: World) -> None:
    context = context_of(world, COUPE)
    hose = next(h for h in context.kit.hoses if "suction" in h.name.lower())
    assert hose.routed_origin is not None
    made = next(f for f in topic_of(context).figures if f.label == f"{hose.name}: cooling lost")
    length = next(i for i in made.inputs if i.label == "Length")
    assert length.origin == f"{hose.routed_origin.kind.value}, {hose.routed_origin.source}"


def test_the_walls_stand_in_the_air_they_are_in(world: World) -> None:
    context = context_of(world, COUPE)
    airs = airs_of(context)
    assert airs is not None
    for wall in walls_of(context, airs):
        assert (wall.beyond_c >= wall.air_c - 1e-9).all(), wall.name
        assert (wall.cold_c < wall.air_c).all(), wall.name


def test_without_an_answer_there_is_nothing_to_tell(world: World) -> None:
    context = context_of(world, COUPE)
    nothing = tuple(replace(d, vent_c=None) for d in context.record.duties)
    assert condensation(replace(context, record=replace(context.record, duties=nothing))) is None
