"""The air's states as topic and picture."""

from dataclasses import replace

import psychrolib
import pytest

from kits.topics.air.coil_air import coil_air
from kits.topics.context import Context
from kits.topics.figure import Line, Picture
from kits.topics.pieces import governing
from tests.kits.exchange.demonstration.world import World
from tests.kits.topics.contexts import contexts

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.fixture(scope="module")
def every(world: World) -> list[Context]:
    return contexts(world)


def line(picture: Picture, label: str) -> Line:
    return next(one for one in picture.lines if one.label == label)


def test_the_picture_shows_the_air_of_the_record(every: list[Context]) -> None:
    told = 0
    for context in (coil for whole in every for coil in whole.of_coils()):
        topic, main = coil_air(context), governing(context.record)
        assert (topic is None) == (main is None)
        if topic is None or main is None:
            continue
        told += 1
        picture = topic.pictures[0]
        at = {spot.label: (spot.x, spot.y) for spot in picture.spots}
        assert at["into the coil"] == (main.air_in_c, 1000 * (main.air_in_kg_kg or 0))
        assert at["off the coil"] == (main.air_off_c, 1000 * (main.air_off_kg_kg or 0))
        assert at["at the fins"][0] == main.surface_c
        assert at["at the vents"][0] == main.vent_c
        climate = next(d.climate for d in context.case.duties if d.code == main.code)
        assert at["outside"][0] == climate.outside_c
        way = line(picture, main.name)
        assert (way.x[0], way.y[0]) == at["cabin"] and (way.x[-1], way.y[-1]) == at["at the vents"]
    assert told >= 20


def test_the_ground_lines_are_psychrolibs(every: list[Context]) -> None:
    # source: psychrolib at sea level, within 0.1 %
    picture = coil_air(every[0]).pictures[0]
    for label, rh in (("saturated", 1.0), ("50 % humidity", 0.5)):
        one = line(picture, label)
        assert one.weight == "thin" and len(one.x) > 10
        for t, w in zip(one.x, one.y, strict=True):
            assert w == pytest.approx(1000 * psychrolib.GetHumRatioFromRelHum(t, rh, 101325), rel=1e-3)


def test_no_state_lies_above_saturation(every: list[Context]) -> None:
    for context in every:
        topic = coil_air(context)
        for row in topic.tables[0].rows if topic else ():
            assert float(row[3]) <= 100


def test_a_dry_coil_is_told(every: list[Context]) -> None:
    context = every[0]
    main = governing(context.record)
    assert main is not None
    dry = replace(
        main, condensate_kg_h=0.0, air_off_kg_kg=main.air_in_kg_kg, capacity_sensible_w=main.capacity_w
    )
    duties = tuple(dry if d.code == main.code else d for d in context.record.duties)
    topic = coil_air(replace(context, record=replace(context.record, duties=duties)))
    assert topic is not None and "the coil stays dry" in topic.answer and "100 %" in topic.answer
