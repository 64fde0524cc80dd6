"""Heating of the demonstration's fitments: one line brings a matrix, one has no hot water."""

from dataclasses import replace

import pytest

from kits.sizing.case.heater import matrix_or_gaps
from kits.sizing.words.explain import explanation_of, named
from kits.topics.cabin.heating import heating
from kits.topics.cabin.pulldown import pull_down
from kits.topics.circuit.readings import readings
from kits.topics.context import Context
from kits.topics.every import topics_of
from tests.kits.topics.contexts import contexts, heating_context


@pytest.fixture
def matrix(world) -> Context:
    """A car of which no winter point is asked, so that the weather of the defaults is taken."""
    found = next(c for c in contexts(world) if "heater matrix" in c.kit.plant)
    summer = tuple(d for d in found.case.duties if not d.climate.is_heating)
    answers = tuple(a for a in found.record.duties if not a.is_heating)
    return replace(
        found, case=replace(found.case, duties=summer), record=replace(found.record, duties=answers)
    )


@pytest.fixture
def asked(world) -> Context:
    """A car whose duty set asks for winter points."""
    return next(c for c in contexts(world) if "heater matrix" in c.kit.plant)


def test_winter_points_that_are_asked_are_told_as_they_were_judged(asked):
    topic = heating(asked)
    answers = [a for a in asked.record.duties if a.is_heating]
    assert [row[0] for row in topic.tables[0].rows] == [f"at “{a.name}”" for a in answers]
    for row, answer in zip(topic.tables[0].rows, answers, strict=True):
        assert (watts(row[1]), watts(row[2])) == pytest.approx((answer.capacity_w, answer.load_w), abs=0.5)
        assert row[-1] == answer.verdict
    assert {p.code for p in topic.pictures} == {f"warm-up-{a.code}" for a in answers}


def test_a_car_that_keeps_its_own_heater_is_told_that_it_is_not_judged(world, asked):
    own = next(c for c in contexts(world) if c.case.key[1] == "M220" and "heater matrix" not in c.kit.plant)
    (remark,) = [r for r in heating(own).remarks if r.code == "winter-not-judged"]
    assert remark.severity == "notes"
    assert all(d.name in remark.sentence for d in own.case.duties if d.climate.is_heating)
    assert "winter-not-judged" not in {r.code for r in heating(asked).remarks}


def test_a_kit_that_heats_only_has_the_topics_of_its_heater(world):
    for key in world.heaters:
        topics = topics_of(heating_context(world, key))
        assert {"air", "electrics", "heating"} <= {t.code for t in topics}
        assert not {"charge", "hoses", "belt", "readings", "plant"} & {t.code for t in topics}


def labels(topic) -> dict[str, str]:
    return {f.label: f.text for f in topic.figures}


def watts(text: str) -> float:
    return float(text.removesuffix(" W").replace(",", ""))


def test_a_kit_with_a_matrix_gets_a_verdict_for_cruise_and_idle(matrix):
    topic = heating(matrix)
    table = topic.tables[0]
    assert [row[0] for row in table.rows] == ["at cruise", "at idle"]
    order = ("strong enough", "marginal", "not enough")
    worst = max((row[-1] for row in table.rows), key=order.index)
    assert topic.answer.startswith(f"Heating is {worst}")
    assert "−10 °C outside, 20 °C in the cabin" in topic.answer


def test_the_matrix_gives_what_a_practitioner_expects(matrix):
    # common practice, no source: 4 to 6.5 kW at cruise, vents well above body temperature minus ten
    topic = heating(matrix)
    assert 4000 < watts(labels(topic)["Heat of the matrix at cruise"]) < 7000
    assert watts(labels(topic)["Heat of the matrix at idle"]) < watts(
        labels(topic)["Heat of the matrix at cruise"]
    )


def test_a_matrix_that_stays_hot_takes_more_than_the_kit_has(matrix):
    found = labels(heating(matrix))
    assert float(found["Valve stuck open: share of the cooling lost"].removesuffix(" %")) > 100
    assert (
        float(found["Valve leaking as its data sheet allows: share of the cooling lost"].removesuffix(" %"))
        < 10
    )


def test_more_coolant_at_idle_turns_the_margin_up(matrix):
    car = matrix.case.car
    flows = {**car.coolant_flow_l_min, "idle": 3 * car.coolant_flow_l_min["idle"]}
    better = replace(matrix, case=replace(matrix.case, car=replace(car, coolant_flow_l_min=flows)))
    before, after = (heating(c).tables[0].rows[1] for c in (matrix, better))
    assert watts(after[1]) > watts(before[1])
    assert watts(after[2]) == watts(before[2])


def test_heating_that_is_not_enough_is_a_finding_of_the_fitment(matrix):
    assert "heating-short" not in {r.code for r in heating(matrix).remarks}
    cool = dict.fromkeys(matrix.case.car.coolant_c, 35.0)
    cold = replace(matrix, case=replace(matrix.case, car=replace(matrix.case.car, coolant_c=cool)))
    (short,) = [r for r in heating(cold).remarks if r.code == "heating-short"]
    assert short.severity == "warns"
    assert short.sentence == heating(cold).answer
    assert short.sentence.startswith("Heating is not enough")


def test_coolant_that_is_not_recorded_is_named_with_the_place_that_mends_it(matrix):
    car = replace(matrix.case.car, coolant_flow_l_min={})
    topic = heating(replace(matrix, case=replace(matrix.case, car=car)))
    assert topic.answer.startswith("Heating is not known")
    assert {r.where for r in topic.remarks if r.code == "coolant-unknown"} == {car.where["powertrain"]}


def test_an_engine_without_coolant_is_said_to_have_no_hot_water(matrix):
    car = replace(matrix.case.car, coolant_c={}, coolant_flow_l_min={})
    topic = heating(replace(matrix, case=replace(matrix.case, car=car)))
    assert "no hot water" in topic.answer


def test_a_matrix_without_a_water_valve_is_warned_of(matrix):
    plant = {kind: held for kind, held in matrix.kit.plant.items() if kind != "water valve"}
    topic = heating(replace(matrix, kit=replace(matrix.kit, plant=plant)))
    assert "matrix-without-valve" in {r.code for r in topic.remarks}
    assert "matrix-without-valve" not in {r.code for r in heating(matrix).remarks}


def test_rated_points_that_contradict_physics_are_told(matrix):
    held = matrix.kit.plant["heater matrix"]
    number, bad = held.part, replace(held, points=({**held.points[0], "heat_w": 90000.0},))
    plant = {**matrix.kit.plant, "heater matrix": bad}
    kit = replace(matrix.kit, plant=plant)
    found, gaps = matrix_or_gaps(kit)
    topic = heating(replace(matrix, kit=kit, case=replace(matrix.case, matrix=found, matrix_gaps=gaps)))
    assert topic.remarks[0].where == f"part:{number}"
    assert "not known" in topic.answer


@pytest.mark.parametrize("worker", [heating, pull_down, readings])
def test_every_figure_opens_to_a_formula_its_validity_and_its_source(matrix, worker):
    for one in worker(matrix).figures:
        function = named(one.function)
        assert function is not None, one.label
        told = explanation_of(function)
        assert told.formula and told.parameters and told.validity and told.source and told.check, one.function


def test_an_electric_car_has_no_hot_water(world):
    electric = next(c for c in contexts(world) if c.case.car.is_electric)
    assert heating(electric).answer.startswith("An electric car has no hot water")


def test_a_kit_without_a_matrix_is_not_judged_but_the_need_is_told(world):
    plain = next(
        c for c in contexts(world) if "heater matrix" not in c.kit.plant and not c.case.car.is_electric
    )
    topic = heating(plain)
    assert "not judged" in topic.answer
    assert watts(labels(topic)["Heat needed at cruise"]) > 1000


def test_no_answered_duty_point_is_no_topic(matrix):
    assert heating(replace(matrix, record=replace(matrix.record, duties=()))) is None
