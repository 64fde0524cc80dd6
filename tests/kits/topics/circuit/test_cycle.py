"""The refrigerant's states as topic and picture."""

import pytest

from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.words.explain import explanation_of, named
from kits.topics.air.coil_air import coil_air
from kits.topics.circuit.cycle import cycle
from kits.topics.circuit.cycle_points import cycle_points
from kits.topics.context import Context
from kits.topics.pieces import governing
from tests.kits.exchange.demonstration.world import World
from tests.kits.topics.contexts import contexts


@pytest.fixture(scope="module")
def every(world: World) -> list[Context]:
    return contexts(world)


def test_the_picture_shows_the_points_of_the_balance_inside_its_dome(every: list[Context]) -> None:
    told = 0
    for context in every:
        topic, main = cycle(context), governing(context.record)
        assert (topic is None) == (main is None)
        if topic is None or main is None:
            continue
        told += 1
        p = context.case.plant
        points = cycle_points(
            refrigerant(p.refrigerant),
            main,
            p.superheat_k,
            p.subcooling_k,
            context.case.mounting.suction_gain_k or 0,
        )
        picture = topic.pictures[0]
        assert picture.y_is_logarithmic and "absolute" in picture.y_label
        assert [(s.label, s.x, s.y) for s in picture.spots] == [
            (q.code, q.h_j_kg / 1000, q.pressure_pa / 1e5) for q in points
        ]
        way = next(line for line in picture.lines if line.weight == "main")
        assert (way.x[0], way.y[0]) == (way.x[-1], way.y[-1]), "the way round is closed"
        dome = [line for line in picture.lines if line.weight == "thin"]
        assert min(dome[0].y) < min(way.y) and max(dome[0].y) > max(way.y)
        assert len(topic.tables[0].rows) == len(points)
    assert told >= 20


def test_the_heats_of_each_kilogram_close(every: list[Context]) -> None:
    for context in every:
        topic, main = cycle(context), governing(context.record)
        if topic is None or main is None:
            continue
        cooling, work, heat, rejected = (float(f.text.split()[0].replace(",", "")) for f in topic.figures)
        flow = (main.flow_g_s or 0) / 1000
        assert flow * cooling == pytest.approx((main.capacity_w or 0) / 1000, rel=2e-3)
        assert flow * work == pytest.approx((main.power_w or 0) / 1000, rel=3e-3)
        assert flow * heat == pytest.approx(rejected / 1000, rel=2e-3)


@pytest.mark.parametrize("worker", [cycle, coil_air])
def test_every_figure_says_where_it_comes_from(every: list[Context], worker: object) -> None:
    topic = worker(every[0])  # type: ignore[operator]
    for figure in topic.figures:
        function = named(figure.function)
        assert function is not None
        why = explanation_of(function)
        assert all((why.formula, why.parameters, why.returns, why.validity, why.source, why.check))
        assert figure.inputs
