"""The checklist: every step once, in order, with what its joints and readings ask for."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.resolved import Joint, Reading
from kits.documents.cautions import GENERAL
from kits.documents.checklist import checklist
from kits.documents.render import document_html
from tests.kits.documents.sample import STEPS, empty_kit, kit


def limits(low, high, limit_from="fixed", unit="bar g"):
    """The limits of one reading as the checklist words them."""
    values = [None if v is None else Decimal(v) for v in (low, high)]
    step = replace(STEPS[3], readings=(Reading("High side", unit, *values, limit_from),))
    return checklist(kit(steps=(step,)), "x").steps[0].readings[0].limits


def test_each_step_stands_once_in_the_order_of_the_kit():
    assert [s.key for s in checklist(kit(), "x").steps] == [s.key for s in STEPS]


def test_a_zone_that_is_come_back_to_has_a_second_block():
    zones = [(z.zone, len(z.steps)) for z in checklist(kit(), "x").zones]
    assert zones == [("car", 1), ("engine bay", 2), ("cabin", 1), ("engine bay", 5)]


def test_a_joint_says_torque_and_o_ring_or_that_they_are_not_stated():
    known, unknown = checklist(kit(), "x").steps[2].joints
    assert (known.torque, known.o_ring) == ("24.4 to 31.2 N·m", "O-ring #8 HNBR")
    assert (unknown.torque, unknown.o_ring) == ("torque not stated", "O-ring not stated")


def test_a_duct_or_drain_is_pushed_on_and_asks_for_neither_torque_nor_o_ring():
    drain = Joint("D1", "Pan DRAIN", "Drain hose A", 301, 302, "14", "", None, None, "", family="drain")
    assert (drain.torque_text(), drain.o_ring_text()) == ("no torque", "no O-ring")
    clipped = replace(drain, by="clip")
    assert clipped.torque_text() == "clip"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ("9.0", "11.50", "9 to 11.5 bar g"),
        ("0", "1", "0 to 1 bar g"),
        ("0", None, "at least 0 bar g"),
        (None, "0.05", "at most 0.05 bar g"),
        ("-5", "3", "−5 to 3 bar g"),
        (None, None, "no limit: write it down"),
    ],
)
def test_limits_are_said_with_their_unit(low, high, words):
    assert limits(low, high) == words


def test_a_limit_from_the_charge_is_the_charge_of_the_first_block():
    document = checklist(kit(), "x")
    assert document.steps[6].readings[0].limits == "as stated: 850 g ± 25 g (weighed)"
    assert document.charge.in_one_line in document.steps[6].readings[0].limits


def test_a_limit_that_is_not_predicted_yet_is_not_made_up():
    assert limits(None, None, "prediction") == "no predicted limit yet: write it down"


def test_time_and_hold_points_are_summed_up():
    document = checklist(kit(), "x")
    assert document.total_time == "1 h 40 min, and 1 step without a time"
    assert document.hold_points == "1, 5, 6, 7"


def test_the_cautions_cover_what_hurts():
    said = " ".join(GENERAL).lower()
    for word in (
        "pressure", "skin", "breathe", "burn", "recover", "licence", "nitrogen", "oxygen", "vacuum", "hot",
        "battery", "airbag", "belts", "high voltage", "ester", "estimates", "law", "makers",
    ):  # fmt: skip
        assert word in said, word
    assert checklist(kit(), "x").cautions == GENERAL


def test_an_empty_kit_has_no_step():
    document = checklist(empty_kit(), "x")
    assert (document.zones, document.steps, document.hold_points) == ((), (), "")


def test_what_the_text_names_is_not_said_twice():
    step = replace(STEPS[1], text="Bolt Bracket (KW-100) on.", fits=("Bracket (KW-100)", "Bolt (KW-900)"))
    assert checklist(kit(steps=(step,)), "x").steps[0].fits == ("Bolt (KW-900)",)


def test_a_kit_that_heats_only_is_not_charged_and_has_the_cautions_that_concern_it():
    document = checklist(kit(settings={"refrigerant": ""}), "x")
    assert document.charge is None
    said = " ".join(document.cautions).lower()
    assert "refrigerant" not in said
    for word in ("law", "battery", "hot", "belts", "estimates"):
        assert word in said, word
    page = document_html(document)
    assert "Refrigerant charge" not in page
    assert "Charged by" not in page
    assert "Charged by" in document_html(checklist(kit(), "x"))
