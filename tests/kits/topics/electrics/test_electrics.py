"""The electrics of the demonstration's fitments."""

from dataclasses import replace

import pytest

from kits.bom.resolved import Finding
from kits.sizing.case.charging_budget import Budget, EngineState, budget_sentence
from kits.sizing.case.heater import Heater
from kits.sizing.electrics.battery import ChargingCurve
from kits.sizing.electrics.electrics import electrics_constants
from kits.sizing.words.explain import explanation_of, named
from kits.topics.context import Context
from kits.topics.electrics.charging import budget_remarks, budget_table
from kits.topics.electrics.electrics import electrics
from kits.topics.figure import Figure, Topic
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of, contexts, heating_context
from vehicles.climate.duty_kinds import CRUISE

DYNAMO: Key = ("V30-BELT", "V30", "C14R")
ALTERNATOR: Key = ("V30-BELT", "V30", "S18L")
DIESEL: Key = ("M220-UNDER", "M220", "SLH")
SIX_VOLT: Key = ("S4-DASH", "S4", "CP6L")
ELECTRIC: Key = ("V30-EV", "V30", "SEVL")


def remarks(topic: Topic) -> dict[str, Finding]:
    return {r.code: r for r in topic.remarks}


def figure(topic: Topic, start: str) -> Figure:
    return next(f for f in topic.figures if f.label.startswith(start))


def with_car(context: Context, **changes: object) -> Context:
    car = replace(context.case.car, **changes)  # type: ignore[arg-type]
    return replace(context, case=replace(context.case, car=car))


def with_wire(context: Context, number: int, **changes: object) -> Context:
    wires = tuple(
        replace(w, **changes) if (w.position, w.number) == (500, number) else w  # type: ignore[arg-type]
        for w in context.kit.wires
    )
    return replace(context, kit=replace(context.kit, wires=wires))


def test_a_dynamo_is_short_even_at_cruise(world: World) -> None:
    topic = electrics(context_of(world, DYNAMO))
    short = remarks(topic)["convert-charging"]
    assert short.severity == "blocks"
    assert "22 A" in short.sentence
    assert "39 A" in short.sentence
    assert short.where == "powertrain:14-D"
    # 22 A of the dynamo, less 3.4 A of the car by day and 39.6 A of the kit, whose blower takes 15.2 A of its 12 V
    # where it is stated with 19.2 A of 13.5 V
    assert figure(topic, "To spare, cruise at 3200 rpm, by day").text == "−17.0 A"
    kit = figure(topic, "Kit, everything on, blowers at the volts of their plugs")
    assert (kit.text, [i.text for i in kit.inputs]) == ("35.6 A", ["39.6 A", "19.2 A", "15.2 A"])
    # 12.61 V less 17 A through 12 mΩ · 50/56, as the plug was read
    told = {i.label: i.text for i in figure(topic, "Battery after idling by day").inputs}
    assert told["The car's supply as the plug was read"] == "12.43 V"
    assert "battery-idle" in remarks(topic)


def test_a_six_volt_battery_is_held_against_half_the_volts(world: World) -> None:
    topic = electrics(with_car(heating_context(world, ("S4-WARM", "S4", "CP6R")), battery_ah=40.0))
    # 23.1 and 11.7 A at night (12.4 A at 6.5 V), of which the blower takes 11.3 A with 6.3 V of 6.9 V at its plug; of
    # 5.97 V it gets 5.51 V (5.51 + 0.6·0.875² V) and takes 8.6 A: 32.1 A, charge 0.9 − 8.0/40, 5.9 + 0.45·0.70 V, less
    # 32.1 A through 6·50/40 mΩ; by day some 15 A, and 6.13 V are more than the 6.1 V asked of a 6 V battery
    assert "less than 6.1 V: at night 5.97 V" in remarks(topic)["battery-idle"].sentence
    inputs = {i.label: i.text for i in figure(topic, "Battery after idling at night").inputs}
    assert inputs["Asked at least"] == "6.1 V"


def test_the_budget_is_drawn_up_for_the_speeds_at_which_the_kit_runs(world: World) -> None:
    pickup = electrics(context_of(world, ("M220-UNDER", "M220", "SRN")))
    heater = electrics(heating_context(world, ("S4-WARM", "S4", "CP6R")))
    cools, heats = (
        [f.label for f in topic.figures if f.label.startswith("To spare")] for topic in (pickup, heater)
    )
    assert not [label for label in cools if "winter" in label]
    assert [label for label in heats if "winter" in label]


def test_an_alternator_is_short_at_night_only(world: World) -> None:
    topic = electrics(context_of(world, ALTERNATOR))
    assert "convert-charging" not in remarks(topic)
    assert remarks(topic)["charging-short"].severity == "warns"
    assert "at night" in remarks(topic)["charging-short"].sentence


def test_the_battery_by_day_is_the_one_of_the_verdict(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    judged = next(d.battery_v for d in context.record.duties if d.kind == "idle")
    assert figure(electrics(context), "Battery after idling by day").text == f"{judged:.2f} V"


def test_at_the_speed_that_carries_the_loads_the_curve_gives_just_them(world: World) -> None:
    """Read back from the car's own curve; a dynamo that never gives so much is told so."""
    start = "Nothing comes from the battery by day"
    context = context_of(world, ALTERNATOR)
    told, case = figure(electrics(context), start), context.case
    curve = ChargingCurve(case.car.charging_curve)
    # with nothing taken the battery stands at 12.61 V: the plug gets 12.275 V of it (12.275 + 0.4·0.916² V), and the
    # blower, stated with 19.2 A of 13.5 V, takes 15.87 A
    wanted_a = sum(i.current_a for i in case.car.loads if i.by_day) + 39.6 - 19.2 + 15.87
    speed = float(told.text.removesuffix(" rpm").replace(",", ""))
    assert curve.current_a(speed) == pytest.approx(wanted_a, abs=0.05)
    # with an idle of just that speed nothing is taken, and a little below something is
    for more_rpm, taken in ((2.0, False), (-20.0, True)):
        idling = electrics(with_car(context, hot_idle_rpm=speed + more_rpm))
        spare = figure(idling, "To spare, hot idle").text
        assert spare.startswith("−") is taken, spare
    dynamo = figure(electrics(context_of(world, DYNAMO)), start)
    assert dynamo.text == "no speed of the curve"


def test_six_volts_and_positive_earth_are_to_be_converted(world: World) -> None:
    topic = electrics(context_of(world, SIX_VOLT))
    convert = remarks(topic)["convert-electrics"]
    assert convert.severity == "blocks"
    assert "6 V and positive earth" in convert.sentence
    assert topic.answer.startswith("Convert the car's electrics first.")
    # a budget by the curve of the machine that comes out would say nothing
    assert not any(f.label.startswith("To spare") for f in topic.figures)


@pytest.mark.parametrize(("needed_v", "severity"), [(6.0, "notes"), (12.0, "blocks")])
def test_a_kit_that_only_heats_may_go_into_a_six_volt_car_if_its_motor_is_made_for_it(
    world: World, needed_v: float, severity: str
) -> None:
    context = context_of(world, SIX_VOLT)
    heater = Heater(context.case.plant.air_path, needed_v, 8.0)
    heating = replace(context, case=replace(context.case, unit=heater))
    assert remarks(electrics(heating))["convert-electrics"].severity == severity


def test_a_blower_for_another_supply_blocks_and_one_rated_at_the_regulated_volts_does_not(
    world: World,
) -> None:
    context = context_of(world, ALTERNATOR)
    assert "part-voltage" not in remarks(electrics(context))
    blower = context.kit.plant["blower"]
    number, other = blower.part, replace(blower, data={**blower.data, "rated_voltage_v": 27.0})
    plant = {**context.kit.plant, "blower": other}
    told = remarks(electrics(replace(context, kit=replace(context.kit, plant=plant))))["part-voltage"]
    assert (told.severity, told.where) == ("blocks", f"part:{number}")
    assert told.sentence == f"Blower {number} is made for 24 V (27 V stated); the kit runs from 12 V."


def test_positive_earth_alone_is_enough_to_convert(world: World) -> None:
    topic = electrics(with_car(context_of(world, DIESEL), positive_earth=True))
    assert "positive earth" in remarks(topic)["convert-electrics"].sentence
    assert "convert-electrics" not in remarks(electrics(context_of(world, DIESEL)))


def test_a_long_thin_feed_is_named_with_the_wire_that_would_do(world: World) -> None:
    topic = electrics(context_of(world, ALTERNATOR))
    loss = remarks(topic)["circuit-loss"]
    assert loss.where == "circuit:500/16"
    assert "6 mm² there would do" in loss.sentence
    cured = electrics(with_wire(context_of(world, ALTERNATOR), 16, section_mm2=6.0))
    assert "circuit-loss" not in remarks(cured)


def test_the_loss_of_a_circuit_is_the_sum_of_its_wires(world: World) -> None:
    topic = electrics(context_of(world, ALTERNATOR))
    of_circuit, of_wire = topic.tables[0].rows, {row[0]: row for row in topic.tables[1].rows}
    blower = next(row for row in of_circuit if row[0] == "blower")
    whole = sum(float(of_wire[number][9]) for number in ("501/1", "500/16", "500/18"))
    assert float(blower[4]) == pytest.approx(whole, abs=0.006)
    assert blower[2] == "battery plus – relay block – blower – roof earth stud"


def test_a_wire_behind_a_fuse_that_is_too_big_is_named(world: World) -> None:
    # the blower's resistor hangs on the 20 A of the panel
    topic = electrics(with_wire(context_of(world, ALTERNATOR), 14, section_mm2=0.75))
    found = remarks(topic)["wire-unprotected"]
    assert found.where == "circuit:500/14"
    assert "20 A" in found.sentence
    assert "wire-unprotected" not in remarks(electrics(context_of(world, ALTERNATOR)))


def test_an_earth_return_is_told_as_one_and_not_held_against_a_fuse(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    rows = {row[0]: row for row in electrics(context).tables[1].rows}
    earths = [w for w in context.kit.wires if "earth" in w.end and w.fuse_a is None]
    assert earths
    for wire in earths:
        assert rows[f"{wire.position}/{wire.number}"][6:9] == ("earth return, none of its own", "–", "–")
    # the blower's feed has its own fuse of 30 A; 19.2 A over 0.8 ask for 25 A
    assert rows["500/16"][6] == "30"
    assert rows["500/16"][8] == "25"


def test_the_loads_and_the_kit_tell_where_they_come_from(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    load = figure(electrics(context), "To spare, cruise").inputs[1]
    kit = figure(electrics(context), "Kit, everything on, blowers at the volts").inputs[0]
    sources = {o.origin.source for o in context.case.car.loads if o.by_day and o.origin is not None}
    assert sources and all(source in load.origin for source in sources)
    assert load.origin.startswith("list of electrical loads: ")
    own = context.kit.origins["kit"]
    assert kit.origin == f"setting of the kit: {own.kind.value}, {own.source}"
    # a car and a kit without a recorded origin are told by what holds the number
    bare = replace(context, kit=replace(context.kit, origins={}))
    bare = with_car(bare, loads=tuple(replace(o, origin=None) for o in context.case.car.loads))
    told = figure(electrics(bare), "To spare, cruise").inputs[1]
    kit = figure(electrics(bare), "Kit, everything on, blowers at the volts").inputs[0]
    assert [told.origin, kit.origin] == ["list of electrical loads", "setting of the kit"]


def test_at_idle_the_kit_counts_with_its_blower_slowed_down(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    topic = electrics(context)
    idle, cruise = (figure(topic, f"To spare, {name}").inputs[2] for name in ("hot idle", "cruise"))
    # 19.2 A at 13.5 V are 18.9 A at 13.4 V; by 12.06 V a fifth less
    assert (idle.label, idle.text) == ("Kit, its blowers slowed down with the battery", "35.7 A")
    assert (cruise.label, cruise.text) == (
        "Kit, everything on, blowers at the volts of their plugs",
        "39.3 A",
    )
    told = {i.label: i.text for i in figure(topic, "Battery after idling by day").inputs}
    assert told["The car's supply as the plug was read"] == "13.80 V"
    assert (told["Blower's plug as read"], told["Blower's current there"]) == ("13.4 V", "18.9 A")
    # nobody read the plug: the kit counts as it is stated
    unread = replace(
        context, case=replace(context.case, mounting=replace(context.case.mounting, blower_voltage_v=None))
    )
    bare = figure(electrics(unread), "Battery after idling by day")
    assert bare.function == "kits.sizing.electrics.battery:battery_after_idle"
    assert figure(electrics(unread), "To spare, hot idle").inputs[2].text == "39.6 A"


def test_the_volts_after_the_idle_can_be_worked_out_from_what_the_topic_shows(world: World) -> None:
    topic = electrics(context_of(world, ALTERNATOR))
    (table,) = (t for t in topic.tables if t.caption.startswith("The battery at idle"))
    told = {name: value for name, value, _ in table.rows}
    assert all(source for _, _, source in table.rows)
    empty, full, start = (
        float(told[name].split()[0])
        for name in ("open circuit, empty", "open circuit, full", "charge as the idle begins")
    )
    assert told["resistance"] == "0.012 Ω · 50/66 = 0.0091 Ω"
    assert told["regulated voltage"] == "13.80 V"
    taken_a = -float(figure(topic, "To spare, hot idle").text.replace("−", "-").split()[0])
    inputs = {i.label: i.text.split()[0] for i in figure(topic, "Battery after idling by day").inputs}
    charge = start - taken_a * float(inputs["Time at idle"]) / 60 / float(inputs["Battery"])
    volts = empty + (full - empty) * charge - 0.012 * 50 / 66 * taken_a
    assert figure(topic, "Battery after idling by day").text == f"{volts:.2f} V"
    of_six = electrics(heating_context(world, ("S4-WARM", "S4", "CP6R"))).tables
    assert ("resistance", "0.012 Ω · 6/12 · 50/84 = 0.0036 Ω") in [row[:2] for t in of_six for row in t.rows]


def test_what_just_carries_everything_has_no_sign_and_takes_nothing(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    state = EngineState("cruise at 2800 rpm", CRUISE, 2800.0, 30.0)

    def told(load_a: float) -> tuple[str, tuple[str, ...]]:
        loads = dict.fromkeys(("day", "night", "rain"), load_a)
        made = Budget(
            states=(state,), loads=loads, kit_a=20.0, idle_kit_a={}, battery_v={}, flat_min={}, sentence=""
        )
        return budget_sentence(made), budget_table(made)[0].rows[0]

    assert told(10.0 + 1e-12) == (
        "By day, with the kit full on: cruise at 2800 rpm just carries everything.",
        ("cruise at 2800 rpm", "30", "0", "0", "0"),
    )
    assert "takes less than 1 A from the battery" in told(10.3)[0]
    assert told(10.3)[1][2] == told(9.7)[1][2] == "0"
    assert "leaves less than 1 A" in told(9.7)[0]
    assert (told(12.0)[1][2], told(8.0)[1][2]) == ("−2", "+2")
    # a sum that is short by a rounding does not ask for a conversion
    kept = Budget(
        states=(state,),
        loads=dict.fromkeys(("day", "night", "rain"), 10.0 + 1e-12),
        kit_a=20.0,
        idle_kit_a={},
        battery_v={},
        flat_min={},
        sentence="",
    )
    assert not {"convert-charging", "charging-short"} & {r.code for r in budget_remarks(context, kept)}


def test_a_plug_that_tells_another_loss_than_the_wires_is_noted_with_both(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    told = remarks(electrics(context))["plug-and-wires-differ"]
    # 13.8 − 13.4 V; 0.67 V at 19.2 A are 0.66 V at the 18.9 A that 13.4 V bring
    assert told.sentence == (
        "The blower's circuit loses 0.40 V by the volts read at its plug, with the supply taken as 13.80 V, and 0.66 V "
        "by its wires at that current: read plug and battery together."
    )
    assert (told.severity, told.where) == ("notes", "fitment")
    near = replace(context.case.mounting, blower_voltage_v=13.2)
    as_wired = replace(context, case=replace(context.case, mounting=near))
    assert "plug-and-wires-differ" not in remarks(electrics(as_wired))
    # more arrives than the supply is counted with: no loss is known
    high = replace(context.case.mounting, blower_voltage_v=14.0)
    above = replace(context, case=replace(context.case, mounting=high))
    assert "plug-and-wires-differ" not in remarks(electrics(above))


def test_a_kit_that_states_less_than_its_blowers_take_has_no_budget(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    unit = replace(context.case.plant, kit_current_a=0.2)
    topic = electrics(replace(context, case=replace(context.case, unit=unit)))
    assert topic.answer.startswith(
        "The charging budget needs a current of the kit that holds what its blowers take."
    )
    assert not any(f.label.startswith("To spare") for f in topic.figures)


def test_a_fuse_without_reserve_is_noted(world: World) -> None:
    topic = electrics(with_wire(context_of(world, ALTERNATOR), 16, fuse_a=20.0))
    assert remarks(topic)["fuse-tight"].where == "circuit:500/16"


@pytest.mark.parametrize(("lacks", "word"), [("length_mm", "length"), ("current_a", "current")])
def test_a_wire_without_a_value_is_named_and_not_guessed(world: World, lacks: str, word: str) -> None:
    topic = electrics(with_wire(context_of(world, ALTERNATOR), 16, **{lacks: None}))
    unknown = remarks(topic)["wire-loss-unknown"]
    assert unknown.where == "circuit:500/16"
    assert word in unknown.sentence
    row = next(r for r in topic.tables[1].rows if r[0] == "500/16")
    assert row[9] == "not known"


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"charging_curve": ()}, "charging-unknown"),
        ({"charging_curve": ((580.0, 0.0), (760.0, 24.0))}, "charging-unknown"),
        ({"loads": ()}, "loads-unknown"),
        ({"system_voltage_v": None}, "voltage-unknown"),
    ],
)
def test_what_the_car_lacks_is_named(world: World, changes: dict[str, object], code: str) -> None:
    topic = electrics(with_car(context_of(world, ALTERNATOR), **changes))
    assert remarks(topic)[code].where == "powertrain:18-A"
    assert "convert-charging" not in remarks(topic)


def test_an_electric_compressor_has_its_current_and_its_caution(world: World) -> None:
    context = context_of(world, ELECTRIC)
    topic = electrics(context)
    most = max(d.power_w or 0.0 for d in context.record.duties)
    share = electrics_constants().drive_effectiveness
    assert figure(topic, "Largest current from the high voltage").text == f"{most / share / 345:.1f} A"
    assert any("qualified people only" in c for c in topic.cautions)
    assert not any("qualified" in c for c in electrics(context_of(world, ALTERNATOR)).cautions)
    missing = electrics(with_car(context, high_voltage_v=None))
    assert remarks(missing)["high-voltage-missing"].severity == "blocks"


@pytest.mark.parametrize(("volts", "found"), [(345.0, False), (400.0, False), (96.0, True), (700.0, True)])
def test_a_compressor_for_another_high_voltage_blocks(world: World, volts: float, found: bool) -> None:
    topic = electrics(with_car(context_of(world, ELECTRIC), high_voltage_v=volts))
    assert ("compressor-voltage" in remarks(topic)) is found
    assert not found or remarks(topic)["compressor-voltage"].severity == "blocks"


def test_a_current_above_the_one_its_wire_states_is_named(world: World) -> None:
    context = context_of(world, ELECTRIC)
    assert "high-voltage-current" not in remarks(electrics(context))
    wires = tuple(replace(w, current_a=5.0) if w.position == 510 else w for w in context.kit.wires)
    told = electrics(replace(context, kit=replace(context.kit, wires=wires)))
    assert remarks(told)["high-voltage-current"].where.startswith("circuit:510/")


def test_a_relay_block_that_nothing_feeds_is_named(world: World) -> None:
    context = context_of(world, ALTERNATOR)
    wires = tuple(w for w in context.kit.wires if w.position != 501)
    topic = electrics(replace(context, kit=replace(context.kit, wires=wires)))
    assert "relay block" in remarks(topic)["circuit-unfed"].sentence
    assert "circuit-unfed" not in remarks(electrics(context))


def test_every_figure_has_a_function_that_is_explained(world: World) -> None:
    for context in contexts(world):
        for made in electrics(context).figures:
            function = named(made.function)
            assert function is not None, made.function
            parts = explanation_of(function)
            assert all((parts.formula, parts.parameters, parts.validity, parts.source, parts.check)), (
                made.function
            )
