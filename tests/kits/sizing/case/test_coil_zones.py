"""A kit with two evaporators is shared out by the zones of its positions, or what to enter is told."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.resolved import Item, ResolvedKit
from kits.fitment.bridge import case_of
from kits.sizing.case.coil_zones import OF_A_COIL, shared_out
from kits.sizing.case.plant import plant_of, vent_parts
from kits.sizing.verdict.verdict import size
from kits.topics.context import Context
from kits.topics.every import FRONT_ONLY, topics_of

KEY = ("V30-BELT", "V30", "S14R")
AT = 5000
"""What the positions of the second unit are numbered beyond the first's."""


def kinds_of(kit: ResolvedKit) -> dict[str, str]:
    """Kind by part number."""
    return {held.part: key.partition("/")[0] for key, held in kit.plant.items()}


def walked(items: Iterable[Item]) -> Iterator[Item]:
    for item in items:
        yield item
        yield from walked(item.children)


def moved(item: Item, zone: str, left_out: Collection[str] = ()) -> Item:
    """A copy in another zone, at a position of its own, without some parts of its content."""
    children = tuple(moved(child, zone, left_out) for child in item.children if child.part not in left_out)
    return replace(item, zone=zone, position=item.position + AT, children=children)


def with_rear(
    kit: ResolvedKit, zone: str = "load bay", without: str = "", hose_zone: str = ""
) -> ResolvedKit:
    """The kit with its roof unit a second time in another zone, and a suction hose of its own.

    without  a kind that the second unit lacks
    """
    kinds = kinds_of(kit)
    left_out = {number for number, kind in kinds.items() if kind == without}
    unit = [
        moved(item, zone, left_out)
        for item in kit.items
        if item.part not in left_out and any(kinds.get(i.part) in OF_A_COIL for i in walked([item]))
    ]
    plant = dict(kit.plant)
    for item in walked(unit):
        if item.part in kinds:
            # as a resolved kit holds what comes a second time
            key = f"{kinds[item.part]}/{item.part}"
            own = next(held for held in kit.plant.values() if held.part == item.part)
            held = plant.get(key, replace(own, quantity=Decimal(0)))
            plant[key] = replace(held, quantity=held.quantity + item.quantity)
    suction = next(hose for hose in kit.hoses if "suction" in hose.name.lower())
    at = next(item for item in kit.items if item.position == suction.position)
    branch = replace(suction, position=suction.position + AT, name="Suction hose of the rear coil")
    return replace(
        kit,
        plant=plant,
        items=(*kit.items, *unit, moved(at, hose_zone or zone)),
        hoses=(*kit.hoses, branch),
    )


@pytest.fixture(scope="module")
def van(world):
    return world.kits[KEY]


@pytest.fixture(scope="module")
def two(van):
    return with_rear(van)


@pytest.fixture(scope="module")
def context(world, two) -> Context:
    case, gaps = case_of(world.fitments[KEY], two)
    assert not gaps
    return Context(two, case, size([case])[0])


def test_the_unit_is_whole_and_a_kit_with_one_is_not_shared_out(van):
    assert {i.zone for i in walked(van.items) if kinds_of(van).get(i.part) in OF_A_COIL} == {"roof"}
    shares, gaps = shared_out(van)
    assert shares.front is van
    assert shares.rear is None
    assert not gaps
    assert plant_of(van)[0].rear is None


def test_two_units_in_two_zones_are_two_coils_with_the_parts_of_their_zone(van, two):
    one, (plant, gaps) = plant_of(van)[0], plant_of(two)
    assert not gaps
    assert plant.evaporator == one.evaporator == plant.rear.evaporator
    assert plant.air_path == one.air_path
    assert [o.code for o in plant.rear.air_path.outlets] == [f"rear {o.code}" for o in one.air_path.outlets]
    assert replace(plant.rear.air_path, outlets=one.air_path.outlets) == one.air_path
    assert plant.suction == one.suction
    assert plant.rear.line == one.suction
    assert plant.rear.front_line is None
    assert any("recirculates" in words for words in plant.assumed)


def test_every_vent_of_both_has_its_part(two):
    plant, parts = plant_of(two)[0], dict(vent_parts(two))
    codes = [o.code for path in (plant.air_path, plant.rear.air_path) for o in path.outlets]
    assert list(parts) == codes


def test_such_a_kit_is_sized_with_both(world, context):
    one, both = world.records[KEY], context.record
    assert both.verdict != "not sized"
    for a, b in zip(one.duties, both.duties, strict=True):
        assert b.capacity_w > a.capacity_w
        # at idle two blowers slow down together on one battery
        alike = 5e-3 if a.kind == "idle" else 1e-6
        assert b.airflow_m3_h == pytest.approx(2 * a.airflow_m3_h, rel=alike)
        assert len(b.vent_velocity_m_s) == 2 * len(a.vent_velocity_m_s)
        assert len(b.coils) == 2


def test_its_topics_tell_both_coils(context):
    topics = {topic.code: topic for topic in topics_of(context)}
    assert {"plant", "coil-air", "air", "outlook", "charge", "pull-down"} <= set(topics)
    assert {code for code, topic in topics.items() if topic.answer.endswith(FRONT_ONLY)} == {"heating"}
    names = ("Front coil (roof): ", "Rear coil (load bay): ")
    for code in ("coil-air", "air", "condensation"):
        for name in names:
            assert name in topics[code].answer
            assert any(t.caption.startswith(name) for t in topics[code].tables)
            assert any(f.label.startswith(name) for f in topics[code].figures)
    codes = [picture.code for picture in topics["air"].pictures]
    assert codes == ["curves-front", "vents-front", "curves-rear", "vents-rear"]
    for of in ("air", "refrigerant"):
        table = next(t for t in topics["plant"].tables if t.caption == f"Front and rear coil: {of}")
        assert [row[1] for row in table.rows[:2]] == ["front", "rear"]
    held = next(
        t for t in topics["charge"].tables if t.caption == "What the two coils and their branches hold"
    )
    assert [row[0] for row in held.rows] == ["front", "rear"]
    assert [row[3] for row in held.rows] == ["stands at the junction", "Suction hose of the rear coil"]
    each = next(t for t in topics["cycle"].tables if t.caption.startswith("Each coil to the junction"))
    assert len({row[-1] for row in each.rows}) == 1


@pytest.mark.parametrize("kind", ["blower", "vent", "duct"])
def test_what_the_rear_coil_lacks_is_named_with_its_zone(van, kind):
    plant, gaps = plant_of(with_rear(van, without=kind))
    assert plant is None
    told = [gap.sentence for gap in gaps if "for the coil in zone “load bay”" in gap.sentence]
    assert len(told) == 1
    assert kind in told[0]


def test_two_evaporators_in_one_zone_are_not_told_apart(van):
    plant, gaps = plant_of(with_rear(van, zone="roof"))
    assert plant is None
    assert len(gaps) == 1
    assert "both in zone “roof”" in gaps[0].sentence
    assert "a zone of its own" in gaps[0].sentence


def test_a_vent_in_a_third_zone_is_named_with_its_position(two):
    number = two.plant["vent"].part
    at = next(i for i, item in enumerate(two.items) if item.part == number and item.zone == "load bay")
    lost = replace(two.items[at], zone="tunnel")
    kit = replace(two, items=(*two.items[:at], lost, *two.items[at + 1 :]))
    plant, gaps = plant_of(kit)
    assert plant is None
    assert [gap.where for gap in gaps] == [f"position:{lost.position}"]
    assert "“roof” or “load bay”" in gaps[0].sentence


def test_the_rear_coil_needs_a_suction_hose_in_its_zone(van):
    plant, gaps = plant_of(with_rear(van, hose_zone="nose"))
    assert plant is None
    assert gaps[0].path == "hose.suction"
    assert "0 in “load bay” and 2 elsewhere" in gaps[0].sentence


def test_a_suction_hose_in_the_front_coils_zone_is_its_own_way_to_the_junction(two):
    suction = next(hose for hose in two.hoses if "suction" in hose.name.lower())
    own = replace(suction, position=9999, name="Suction hose of the front coil", cut_mm=600)
    item = replace(two.items[0], position=9999, zone="roof", part=suction.hose, children=())
    kit = replace(two, hoses=(*two.hoses, own), items=(*two.items, item))
    plant, gaps = plant_of(kit)
    assert not gaps
    assert plant.rear.front_line.length_m == 0.6
    assert plant.suction == plant_of(two)[0].suction


def test_more_than_two_and_another_freeze_control_are_refused(two, van):
    four = with_rear(with_rear(van), zone="nose")
    assert "4 evaporators" in plant_of(four)[1][0].sentence
    kit = replace(two, settings={**two.settings, "freeze_mode": "suction-regulated"})
    assert [gap.path for gap in plant_of(kit)[1]] == ["kit.freeze_mode"]
