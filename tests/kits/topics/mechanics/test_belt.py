"""The belt drive of the demonstration's fitments."""

from dataclasses import replace

import pytest

from kits.bom.mending import row
from kits.bom.resolved import Finding
from kits.sizing.case.belt_layout import layout_of
from kits.sizing.case.case import PulleyAt
from kits.sizing.words.explain import explanation_of, named
from kits.topics.context import Context
from kits.topics.figure import Figure, Topic
from kits.topics.mechanics.belt import belt
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of
from vehicles.powertrain.pulleys import CRANK, GENERATOR

TWO: Key = ("V30-BELT", "V30", "C14R")
IDLER: Key = ("V30-BELT", "V30", "S18L")
DIESEL: Key = ("M220-UNDER", "M220", "SLH")
COUPE: Key = ("S4-DASH", "S4", "CP12L")
ELECTRIC: Key = ("V30-EV", "V30", "SEVL")


def topic_of(context: Context) -> Topic:
    topic = belt(context)
    assert topic is not None
    return topic


def remarks(topic: Topic) -> dict[str, Finding]:
    return {r.code: r for r in topic.remarks}


def figure(topic: Topic, start: str) -> Figure:
    return next(f for f in topic.figures if f.label.startswith(start))


def with_car(context: Context, **changes: object) -> Context:
    car = replace(context.case.car, **changes)  # type: ignore[arg-type]
    return replace(context, case=replace(context.case, car=car))


def with_pulley(context: Context, code: str, **changes: object) -> Context:
    pulleys = tuple(
        replace(p, **changes) if p.code == code else p  # type: ignore[arg-type]
        for p in context.case.car.pulleys
    )
    return with_car(context, pulleys=pulleys)


def test_crank_and_compressor_by_hand(world: World) -> None:
    # 142 and 120 mm at √(232² + 118²) = 260.28 mm: wrap 180° − 2·arcsin(11/260.28) = 175.2°,
    # length 2·√(260.28² − 11²) + 71·(180 + 4.845)° + 60·(180 − 4.845)° = 932.6 mm
    topic = topic_of(context_of(world, TWO))
    assert figure(topic, "Wrap at the compressor").text == "175°"
    assert figure(topic, "Length of belt 1").text == "933 mm"
    assert {"wrap-small", "belt-offset", "compressor-place-missing"}.isdisjoint(remarks(topic))


def test_an_electric_compressor_has_no_belt(world: World) -> None:
    assert belt(context_of(world, ELECTRIC)) is None


def own_belt(context: Context) -> Context:
    """The car with the layout of its own belt alone, as it was before the kit's was measured."""
    return with_car(context, pulleys=tuple(p for p in context.case.car.pulleys if (p.order or 0) < 10))


def test_a_layout_without_the_compressor_says_so(world: World) -> None:
    topic = topic_of(own_belt(context_of(world, DIESEL)))
    missing = remarks(topic)["compressor-place-missing"]
    assert missing.where == "powertrain:22D"
    assert "compressor's place is missing" in missing.sentence
    assert not any(f.label == "Wrap at the compressor" for f in topic.figures)
    assert any(f.label == "Wrap at the generator" for f in topic.figures)


def test_a_pulley_that_nobody_has_placed_on_anything_is_told_and_not_judged(world: World) -> None:
    topic = topic_of(with_pulley(context_of(world, DIESEL), "compressor", drives=""))
    unknown = remarks(topic)["pulley-unknown"]
    assert (unknown.severity, unknown.mend) == ("warns", row("Pulleys", "drives", "22D", "compressor"))
    assert not any(f.label == "Wrap at the compressor" for f in topic.figures)


def test_the_kits_belt_runs_beside_the_cars_own(world: World) -> None:
    context = context_of(world, DIESEL)
    topic = topic_of(context)
    # crank 168, idler 80 and compressor 125 mm; the belt on the parts list is 1,075 mm long
    assert "compressor-place-missing" not in remarks(topic)
    assert float(figure(topic, "Length of belt 2").text.split()[0].replace(",", "")) == pytest.approx(
        1075, abs=40
    )
    assert {f.label for f in topic.figures if f.label.startswith("Wrap")} == {
        "Wrap at the compressor", "Wrap at the generator",
    }  # fmt: skip
    assert len(topic.tables) == 3
    alone = topic_of(own_belt(context))
    assert figure(alone, "Length of the belt").text == figure(topic, "Length of belt 1").text


def test_no_layout_at_all_is_said_and_nothing_is_guessed(world: World) -> None:
    topic = topic_of(with_car(context_of(world, TWO), pulleys=()))
    assert "belt-layout-missing" in remarks(topic)
    assert not any("Wrap" in f.label or "Length" in f.label for f in topic.figures)


def test_a_layout_that_carries_no_belt_is_said(world: World) -> None:
    topic = topic_of(with_pulley(context_of(world, TWO), "compressor", x_mm=-60.0, y_mm=0.0))
    assert "belt-layout-impossible" in remarks(topic)


def test_little_wrap_is_named(world: World) -> None:
    # an idler far out between crank and compressor takes the belt off the compressor
    context = context_of(world, IDLER)
    topic = topic_of(with_pulley(context, "idler", x_mm=-420.0, y_mm=330.0))
    assert "120° are asked" in remarks(topic)["wrap-small"].sentence
    assert "wrap-small" not in remarks(topic_of(context))


def test_a_generator_is_asked_for_100_degrees_of_wrap(world: World) -> None:
    # 300 and 55 mm: wrap at the small one 180° − 2·arcsin(122.5/C); 96° at C = 183.07 mm, 104° at 198.97 mm
    context = context_of(world, TWO)
    crank = next(replace(p, diameter_mm=300.0) for p in context.case.car.pulleys if p.drives == CRANK)

    def at(distance_mm: float) -> dict[str, Finding]:
        small = replace(
            crank, code="light machine", drives=GENERATOR, order=(crank.order or 0) + 1, diameter_mm=55.0,
            x_mm=(crank.x_mm or 0.0) + distance_mm,
        )  # fmt: skip
        return remarks(topic_of(with_car(context, pulleys=(crank, small))))

    assert "by 96°; 100° are asked" in at(183.07)["wrap-small"].sentence
    assert "wrap-small" not in at(198.97)


def test_a_groove_out_of_plane_is_named(world: World) -> None:
    topic = topic_of(with_pulley(context_of(world, TWO), "compressor", plane_mm=2.0))
    # 2 mm over 260 mm
    assert "1.5 mm out of plane" in remarks(topic)["belt-offset"].sentence
    unknown = topic_of(with_pulley(context_of(world, TWO), "compressor", plane_mm=None))
    assert "compressor" in remarks(unknown)["plane-missing"].sentence


def test_a_diameter_that_contradicts_the_speed_is_named(world: World) -> None:
    topic = topic_of(with_pulley(context_of(world, TWO), "compressor", diameter_mm=125.0))
    assert "125 mm" in remarks(topic)["pulley-differs"].sentence
    assert "pulley-differs" not in remarks(topic_of(context_of(world, TWO)))


def test_grooves_of_one_belt_have_one_width(world: World) -> None:
    topic = topic_of(with_pulley(context_of(world, TWO), "compressor", groove="V 10 mm"))
    assert "10 and 13 mm" in remarks(topic)["groove-mixed"].sentence


def with_belt(context: Context, **data: object) -> Context:
    plant = {
        key: replace(held, data={**held.data, **data}) if key.partition("/")[0] == "belt" else held
        for key, held in context.kit.plant.items()
    }
    return replace(context, kit=replace(context.kit, plant=plant))


@pytest.mark.parametrize(
    ("groove", "length_mm", "expected"),
    [
        ("V 13 mm", 960.0, set()),
        ("V 13 mm", 1075.0, {"belt-length"}),
        ("V 13 mm", 850.0, {"belt-length"}),
        ("V 10 mm", 940.0, {"belt-width"}),
        ("V 13 mm", None, {"belt-unknown"}),
    ],
)
def test_the_belt_on_the_parts_list_suits_the_layout(
    world: World, groove: str, length_mm: float | None, expected: set[str]
) -> None:
    # the way over the two pulleys is 933 mm, the groove 13 mm
    topic = topic_of(with_belt(context_of(world, TWO), groove=groove, length_mm=length_mm))
    assert {"belt-length", "belt-width", "belt-unknown"} & set(remarks(topic)) == expected


def test_a_belt_without_data_is_told_with_a_new_row_of_them(world: World) -> None:
    context = context_of(world, TWO)
    plant = {key: held for key, held in context.kit.plant.items() if key.partition("/")[0] != "belt"}
    unknown = remarks(topic_of(replace(context, kit=replace(context.kit, plant=plant))))["belt-unknown"]
    assert unknown.mend is not None
    assert (unknown.mend.sheet, unknown.mend.is_new) == ("Belts", True)


def test_the_belt_is_not_held_against_the_cars_own_layout(world: World) -> None:
    topic = topic_of(with_belt(own_belt(context_of(world, DIESEL)), groove="V 10 mm", length_mm=500.0))
    assert {"belt-length", "belt-width"}.isdisjoint(remarks(topic))


def test_the_pull_follows_from_the_torque_of_the_answer(world: World) -> None:
    context = context_of(world, COUPE)
    torque = max(d.torque_nm or 0.0 for d in context.record.duties if d.kind == "idle")
    topic = topic_of(context)
    assert figure(topic, "Effective pull at idle").text == f"{2000 * torque / 120:.0f} N"
    assert "belt-pull" not in remarks(topic)
    # a belt of 10 mm bears less
    narrow = topic_of(with_pulley(context_of(world, TWO), "compressor", groove="V 10 mm"))
    assert remarks(narrow)["belt-pull"].severity == "blocks"
    unheard = topic_of(with_pulley(context_of(world, TWO), "compressor", groove="poly-V"))
    assert "belt-pull" not in remarks(unheard)
    assert "poly-V" in remarks(unheard)["pull-limit-unknown"].sentence


def test_speeds_are_those_of_the_balance(world: World) -> None:
    context = context_of(world, TWO)
    answered = {d.name: d.compressor_rpm for d in context.record.duties}
    rows = {row[0]: float(row[2]) for row in topic_of(context).tables[-1].rows}
    shared = set(rows) & set(answered)
    assert shared
    for name in shared:
        assert rows[name] == pytest.approx(answered[name], abs=0.6)


def test_a_compressor_that_turns_too_fast_is_named(world: World) -> None:
    context = context_of(world, TWO)
    topic = topic_of(with_car(context, crank_pulley_mm=300.0))
    assert remarks(topic)["compressor-fast"].severity in ("warns", "notes")
    assert "6500" in remarks(topic)["compressor-fast"].sentence
    assert any(row[4] == "too fast" for row in topic.tables[-1].rows)
    slow = topic_of(with_car(context, crank_pulley_mm=60.0))
    assert "compressor-slow" in remarks(slow)


def test_the_torque_at_idle_asks_for_an_idle_up(world: World) -> None:
    raised = remarks(topic_of(context_of(world, COUPE)))["idle-torque"]
    assert raised.severity == "notes"
    assert "Idle-up" in raised.sentence
    bare = remarks(topic_of(context_of(world, TWO)))["idle-torque"]
    assert bare.severity == "warns"


def test_warm_air_at_the_radiator_is_taken_off_the_coolants_margin(world: World) -> None:
    context = context_of(world, COUPE)
    label = "Coolant below its limit at idle"
    plain = figure(topic_of(context), label)
    rise = float(next(i.text for i in plain.inputs if i.label.startswith("Rise")).split()[0])
    # 108 °C less 94 °C less the rise
    assert plain.text == f"{108 - 94 - rise:.0f} K at least"
    hot = topic_of(with_car(context, coolant_c={**context.case.car.coolant_c, "idle": 107.0}))
    assert "over its limit" in remarks(hot)["coolant-margin"].sentence
    unknown = topic_of(with_car(context, coolant_limit_c=None))
    assert "limit is missing" in remarks(unknown)["coolant-unknown"].sentence


@pytest.mark.parametrize("place", ["underfloor", "inside rear lid"])
def test_a_condenser_out_of_the_radiators_air_says_nothing_of_the_coolant(world: World, place: str) -> None:
    context = context_of(world, COUPE)
    hot = with_car(context, coolant_c={**context.case.car.coolant_c, "idle": 107.0})
    mounting = replace(hot.case.mounting, condenser_place=place)
    topic = topic_of(replace(hot, case=replace(hot.case, mounting=mounting)))
    assert not any(f.label.startswith("Coolant") for f in topic.figures)
    assert "coolant-margin" not in remarks(topic)


def test_a_known_place_of_the_condenser_is_told_without_an_if(world: World) -> None:
    context = context_of(world, COUPE)
    assert context.case.mounting.condenser_place == "nose"
    assert "with the condenser in front" in figure(topic_of(context), "Coolant below its limit").label
    mounting = replace(context.case.mounting, condenser_place="")
    unknown = topic_of(replace(context, case=replace(context.case, mounting=mounting)))
    assert "if the condenser stands in front" in figure(unknown, "Coolant below its limit").label


def test_pulleys_without_a_place_in_the_order_are_left_out_and_named(world: World) -> None:
    context = context_of(world, IDLER)
    fan = PulleyAt(
        code="fan",
        x_mm=0.0,
        y_mm=300.0,
        diameter_mm=90.0,
        groove="V 13 mm",
        order=None,
        plane_mm=0.0,
        side="inner",
    )
    topic = topic_of(with_car(context, pulleys=(*context.case.car.pulleys, fan)))
    assert "fan" in remarks(topic)["pulley-without-order"].sentence
    assert figure(topic, "Length").text == figure(topic_of(context), "Length").text


def test_the_order_of_the_rows_does_not_matter(world: World) -> None:
    pulleys = context_of(world, IDLER).case.car.pulleys
    assert layout_of(pulleys[::-1]).pulleys == layout_of(pulleys).pulleys


def test_every_figure_has_a_function_that_is_explained(world: World) -> None:
    for key in (TWO, IDLER, DIESEL, COUPE):
        for made in topic_of(context_of(world, key)).figures:
            function = named(made.function)
            assert function is not None, made.function
            parts = explanation_of(function)
            assert all((parts.formula, parts.parameters, parts.validity, parts.source, parts.check)), (
                made.function
            )
