"""The checklist: every step once, in order, with what its joints and readings ask for."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.resolved import Charge, Crimp, Finding, Joint, Reading
from kits.documents.checklist import checklist, second_person
from kits.documents.render import document_html
from kits.documents.title_block import NOT_RECORDED
from kits.topics.figure import Topic
from tests.kits.documents.sample import (
    HOSES,
    RUN_TEST,
    STEPS,
    empty_kit,
    kit,
    of,
    record,
    sound,
    sound_kit,
    step,
    unsized,
)


def limits(low, high, limit_from="fixed", unit="bar g"):
    """The limits of one reading as the checklist words them."""
    low, high = (None if v is None else Decimal(v) for v in (low, high))
    step = replace(
        STEPS[3], readings=(Reading(name="High side", unit=unit, low=low, high=high, limit_from=limit_from),)
    )
    return checklist(sound(sound_kit(steps=(step,))), "x").steps[0].readings[0].limits


def test_each_step_stands_once_in_the_order_of_the_kit():
    assert [s.key for s in checklist(of(kit()), "x").steps] == [s.key for s in STEPS]


def test_a_zone_that_is_come_back_to_has_a_second_block():
    zones = [(z.zone, len(z.steps)) for z in checklist(of(kit()), "x").zones]
    assert zones == [("car", 1), ("engine bay", 2), ("cabin", 1), ("engine bay", 5)]


def test_a_joint_says_torque_and_o_ring_or_that_they_are_not_stated():
    known, unknown = checklist(of(kit()), "x").steps[2].joints
    assert (known.torque, known.o_ring) == ("24.4 to 31.2 N·m", "O-ring #8 HNBR")
    assert (unknown.torque, unknown.o_ring) == ("torque not stated", "O-ring not stated")


def test_a_duct_or_drain_is_pushed_on_and_asks_for_neither_torque_nor_o_ring():
    drain = Joint(
        code="D1",
        a="Pan DRAIN",
        b="Drain hose A",
        position_a=301,
        position_b=302,
        size="14",
        o_ring="",
        torque_low_nm=None,
        torque_high_nm=None,
        source="",
        family="drain",
    )
    assert (drain.torque_text(), drain.o_ring_text()) == ("no torque", "no O-ring")
    by_hand = replace(drain, by="clip, by hand")
    assert by_hand.torque_text() == "clip, by hand"


CRIMP = Crimp("F-10", "10R", 26, 21.0, 21.4)


def with_hoses(*, rated=(35.0, 32.0), place="car B"):
    """The kit whose second hose is crimped at the car, each hose laid by a step, and a pressure test."""
    first, second = HOSES
    end = replace(second.end_b, crimp=CRIMP)
    hoses = (
        replace(first, rated_pressure_bar_g=rated[0]),
        replace(second, end_b=end, crimp_place=place, rated_pressure_bar_g=rated[1]),
    )
    steps = (
        step(1, "route", "Lay both.", hoses=tuple(hose.tag for hose in hoses)),
        step(2, "pressure test", "Fill with nitrogen."),
    )
    made = kit()
    return replace(made, hoses=hoses, steps=steps, settings={**made.settings, "high_cut_out_bar_g": 28.0})


def test_an_end_that_is_crimped_at_the_car_has_its_figures_and_a_blank_and_the_others_their_record():
    laid, tested = checklist(of(with_hoses()), "x").steps
    (line,) = laid.crimps
    assert (line.end, line.limits) == ("H2, end B (KW-532)", "21 to 21.4 mm")
    assert line.how == "ferrule F-10, die 10R, hose 26 mm deep, crimp diameter 21 to 21.4 mm"
    assert laid.test_records == ("H1",)
    assert (tested.crimps, tested.test_records) == ((), ())


def test_a_crimp_that_nobody_recorded_says_so():
    ends = checklist(of(with_hoses(place="car")), "x").steps[0].crimps
    assert (ends[0].end, ends[0].limits) == ("H2, end A (KW-532)", NOT_RECORDED)
    assert "not recorded" in ends[0].how


def test_the_pressure_test_says_what_proves_the_rest():
    laid, tested = checklist(of(with_hoses()), "x").steps
    assert laid.proof == ""
    assert tested.proof == (
        "This test finds leaks. The plant may reach 28 bar g before it is cut out; up to there it rests on the test"
        " records of the works (H1), the measured crimps of what is crimped at the car (H2) and the rating of the"
        " hoses, 32 bar g or more."
    )


def test_a_rating_that_nobody_recorded_is_said():
    tested = checklist(of(with_hoses(rated=(None, 32.0), place="works")), "x").steps[1]
    assert tested.proof.endswith(
        "it rests on the test records of the works (H1, H2) and the rating of the hoses, 32 bar g or more; the rated"
        " pressure of KW-510 is not recorded."
    )
    alone = checklist(of(with_hoses(rated=(None, None), place="works")), "x").steps[1]
    assert alone.proof.endswith(
        "it rests on the test records of the works (H1, H2); the rated pressure of KW-510, KW-511 is not recorded."
    )


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ("9.0", "11.50", "9 to 11.5 bar g"),
        ("0", "1", "0 to 1 bar g"),
        ("0", None, "at least 0 bar g"),
        (None, "0.05", "at most 0.05 bar g"),
        ("-5", "3", "−5 to 3 bar g"),
        (None, None, "write it down"),
    ],
)
def test_limits_are_said_with_their_unit(low, high, words):
    assert limits(low, high) == words


def test_a_limit_from_the_charge_is_the_charge_of_the_first_block():
    document = checklist(sound(), "x")
    assert document.steps[6].readings[0].limits == "as stated: 850 g ± 25 g (weighed)"
    assert document.charge.in_one_line in document.steps[6].readings[0].limits


def test_a_limit_that_is_not_predicted_is_not_made_up():
    # the reading does not say which quantity of the run test it is
    assert limits(None, None, "prediction") == "not known: the step does not say what is read"


def run_step(document):
    """The step whose readings are held against the prediction."""
    return document.steps[7]


def test_a_step_with_predicted_readings_prints_their_limits_by_the_air_at_the_intake():
    step = run_step(checklist(of(kit(), RUN_TEST), "x"))
    assert [r.limits for r in step.readings] == ["by the table below, for the air at the intake"] * 2
    table = step.run_test
    assert table.heads == ("high side, bar g", "coldest vent, °C")
    assert [(line.air, line.humidity, line.limits, line.word) for line in table.lines] == [
        ("20 °C", "50 %", ("9.0 to 12.5", "2.4 to 6.4"), "cycles"),
        ("30 °C", "50 %", ("14.0 to 19.0", "5.0 to 9.0"), ""),
        ("40 °C", "50 %", (), "none: its high-pressure switch may stop it"),
        ("40 °C", "70 %", (), "none: not solved"),
    ]
    for words in ("1,500 rpm", "10 min", "flap shut", "not yet confirmed by a trial", "starts at 15.0 bar g"):
        assert words in table.state, words
    page = " ".join(document_html(checklist(of(kit(), RUN_TEST), "x")).split())
    for cell in ("<td>9.0 to 12.5</td>", "<td>cycles</td>", '<td colspan="3">none: not solved</td>'):
        assert cell in page, cell


@pytest.mark.parametrize(
    "answer",
    [
        None,
        record(),
        record(run_test=replace(RUN_TEST.run_test, points=(), reason="The crank pulley is missing.")),
        record(run_test=replace(RUN_TEST.run_test, points=RUN_TEST.run_test.points[2:])),
    ],
)
def test_a_fitment_without_a_prediction_prints_none_and_says_so(answer):
    document = checklist(unsized() if answer is None else of(kit(), answer), "x")
    step = run_step(document)
    assert {(r.limits, r.has_blank) for r in step.readings} == {("not known: no predicted limit", False)}
    assert step.run_test is None
    assert "9.0 to 12.5" not in document_html(document)


def test_a_prediction_that_is_out_of_date_is_not_printed_as_a_limit():
    step = run_step(checklist(of(kit(), RUN_TEST, is_stale=True), "x"))
    assert {(r.limits, r.has_blank) for r in step.readings} == {("not known: no predicted limit", False)}
    assert step.run_test is None


def test_a_reading_in_another_unit_is_not_held_against_the_prediction():
    in_psi = replace(STEPS[7], readings=(replace(STEPS[7].readings[0], unit="psi"), STEPS[7].readings[1]))
    (step,) = checklist(of(kit(steps=(in_psi,)), RUN_TEST), "x").steps
    assert step.readings[0].limits == "not known: the step does not say what is read"
    assert step.run_test.heads == ("coldest vent, °C",)
    assert [one.run_test for one in checklist(of(kit(steps=STEPS[:7]), RUN_TEST), "x").steps] == [None] * 7


def test_time_and_hold_points_are_summed_up():
    document = checklist(of(kit()), "x")
    assert document.total_time == "1 h 40 min, and 1 step without a time"
    assert document.hold_points == "1, 5, 6, 7"


def test_an_empty_kit_has_no_step():
    document = checklist(of(empty_kit()), "x")
    assert (document.zones, document.steps, document.hold_points) == ((), (), "")


def test_what_the_text_names_is_not_said_twice():
    step = replace(STEPS[1], text="Bolt Bracket (KW-100) on.", fits=("Bracket (KW-100)", "Bolt (KW-900)"))
    assert checklist(of(kit(steps=(step,))), "x").steps[0].fits == ("Bolt (KW-900)",)


def test_a_kit_that_heats_only_is_not_charged_and_has_the_cautions_that_concern_it():
    document = checklist(sound(sound_kit(settings={"refrigerant": ""})), "x")
    assert document.charge is None
    said = " ".join(document.cautions).lower()
    assert "refrigerant" not in said
    for word in ("law", "battery", "hot", "belts", "estimates"):
        assert word in said, word
    page = document_html(document)
    assert "Refrigerant charge" not in page
    assert "Charged by" not in page
    assert "Charged by" in document_html(checklist(sound(), "x"))


def test_a_checklist_that_is_stopped_has_no_box_no_blank_and_nothing_to_sign():
    stopped, open_sheet = checklist(of(), "x"), checklist(sound(), "x")
    assert not any(step.is_open or any(r.has_blank for r in step.readings) for step in stopped.steps)
    assert all(step.is_open and all(r.has_blank for r in step.readings) for step in open_sheet.steps)
    page, open_page = document_html(stopped), document_html(open_sheet)
    for sign in ('class="tick"', 'class="write', 'class="sign', "Go on: name", "Chassis number", "Fitted by"):
        assert sign in open_page and sign not in page, sign
    assert page.count("Nothing to sign") == sum(step.hold_point for step in STEPS)


def test_a_reading_whose_limit_is_not_known_says_so_and_has_no_blank():
    unknown = kit(charge=Charge(None, None, None, "PAG 46", 120.0))
    charged, vent = (checklist(of(unknown), "x").steps[n].readings[0] for n in (6, 7))
    assert (charged.limits, charged.has_blank) == ("not known: no charge is recorded", False)
    assert (vent.limits, vent.has_blank) == ("not known: no predicted limit", False)


@pytest.mark.parametrize("kind", ["pressure test", "evacuate", "charge"])
def test_a_hold_point_about_gas_is_signed_by_a_second_person(kind):
    holds = replace(STEPS[0], kind=kind, hold_point=True)
    assert second_person(holds)
    assert not second_person(replace(holds, hold_point=False))
    assert not second_person(replace(holds, kind="as-found"))


def test_a_hold_point_is_signed_with_name_date_and_time_and_about_gas_twice():
    page = document_html(checklist(sound(), "x"))
    holds = [step for step in STEPS if step.hold_point]
    twice = [step for step in holds if second_person(step)]
    assert (len(holds), len(twice)) == (4, 3)
    assert page.count("Go on: name, signature") == 4
    assert page.count("Second person: name, signature") == page.count("same person") == 3
    assert page.count(">Date<") - page.count('"label">Date<') == page.count(">Time<") == 7


BURNING = {"settings": {"refrigerant": "R-1234yf"}}
OIL_GAS = Topic(
    "oil-gas",
    "Oil and gas",
    "Add 60 ml. R-1234yf burns: it makes 12.0 % of the limit.",
    figures=(),
    tables=(),
)


def in_cabin(source):
    """What stands on the first sheet of the gas in the cabin."""
    return checklist(source, "x").in_cabin


def test_a_gas_that_burns_says_what_it_would_make_of_the_cabin():
    found = Finding(
        "gas-cabin", "warns", "cabin:C", "It comes near the limit.", None, topic=("oil-gas", "Oil and gas")
    )
    near = sound(sound_kit(findings=(found,), **BURNING), topics=(OIL_GAS,))
    assert in_cabin(near) == ("It comes near the limit.",)
    assert "It comes near the limit." in document_html(checklist(near, "x"))
    assert in_cabin(sound(sound_kit(**BURNING), topics=(OIL_GAS,))) == (OIL_GAS.answer,)
    (not_known,) = in_cabin(unsized(sound_kit(**BURNING)))
    assert "R-1234yf could burn in the closed cabin is not worked out yet" in not_known


def test_a_gas_that_does_not_burn_and_a_kit_without_gas_say_nothing_of_the_cabin():
    assert in_cabin(sound(topics=(OIL_GAS,))) == ()
    assert in_cabin(sound(sound_kit(settings={"refrigerant": ""}))) == ()


@pytest.mark.parametrize(
    ("writes", "shown"),
    [
        ("words", 'Gauge: <span class="write write--wide"></span>'),
        ("tick", '<span class="tick"></span> Gauge'),
        ("date", 'Gauge: <span class="nowrap"><span class="write"></span> <span class="soft">(date)'),
        ("time", 'Gauge: <span class="nowrap"><span class="write"></span> <span class="soft">(time)'),
    ],
)
def test_what_is_no_number_has_the_room_it_needs_and_no_limits(writes, shown):
    reading = Reading(name="Gauge", unit="", low=None, high=None, limit_from="written", writes=writes)
    open_step = step(1, "test", "Do it.", readings=(reading,))
    html = document_html(checklist(sound(sound_kit(steps=(open_step,))), "x"))
    assert shown in html
    stopped = document_html(checklist(of(kit(steps=(open_step,))), "x"))
    assert "Gauge" in stopped and shown not in stopped


def test_a_caution_of_steps_in_a_row_is_said_once():
    cautions = ["Gas.", "Gas.", "Gas.", "", "Gas.", "Hot."]
    steps = tuple(replace(step(i, "test", "Do it."), caution=said) for i, said in enumerate(cautions, 1))
    told = [s.caution for s in checklist(sound(sound_kit(steps=steps)), "x").steps]
    assert told == ["Gas.", "Caution as in step 1.", "Caution as in step 1.", "", "Gas.", "Hot."]
    held = tuple(replace(step, hold_point=True) for step in steps)
    assert [s.caution for s in checklist(sound(sound_kit(steps=held)), "x").steps] == cautions


@pytest.mark.parametrize(
    ("kind", "second", "signs"), [("charge", False, True), ("wire", True, True), ("wire", False, False)]
)
def test_gas_and_what_its_pattern_says_is_signed_by_a_second_person(kind, second, signs):
    held = replace(step(1, kind, "Do it."), hold_point=True, second_person=second)
    assert second_person(held) is signs
    assert not second_person(replace(held, hold_point=False))


def test_what_nobody_does_alone_has_no_box_for_the_same_person():
    held = replace(step(1, "wire", "Do it."), hold_point=True, second_person=True, never_alone=True)
    page = document_html(checklist(sound(sound_kit(steps=(held,))), "x"))
    assert "Nobody does this alone" in page and "same person" not in page


def test_a_workshop_that_always_asks_for_a_second_person_has_no_box_for_the_same_one():
    (held,) = (step for step in STEPS if step.kind == "charge")
    source = sound(sound_kit(steps=(replace(held, hold_point=True),)))
    assert [step.same_person for step in checklist(source, "x").steps] == [True]
    always = checklist(replace(source, needs_second_person=True), "x")
    assert [(step.second_person, step.same_person) for step in always.steps] == [(True, False)]
    page = document_html(always)
    assert page.count("Second person: name, signature") == page.count("Two people sign here") == 1
    assert "same person" not in page and "Nobody does this alone" not in page
