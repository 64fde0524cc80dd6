"""A step speaks of things the kit has, states its limits, and is no filler."""

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.catalogue import ReadingSpec
from kits.bom.step_text import PLACEHOLDER, PLACEHOLDERS_TOLD
from tests.kits.bom.sample import KIT, codes, found, only, resolved, step, with_position


def plus(*steps):
    return replace(KIT, steps=(*KIT.steps, *steps))


@pytest.mark.parametrize(
    "text",
    [
        "{position:99}",
        "{joint:J99}",
        "{torque:J99}",
        "{bag:9}",
        "{open:9}",
        "{spacing:10}",
        "{length:NOWHERE}",
        "{whatever}",
        "{position:10",
    ],
)
def test_a_placeholder_for_nothing_is_found(text):
    finding = found(resolved(plus(step("X", 45, "prepare", f"Look at {text}."))), "step-placeholder")[0]
    assert (finding.severity, finding.where) == ("blocks", "step:X")


def test_the_spacing_of_clips_is_named_by_their_position():
    kit = with_position(98, plus(step("X", 45, "prepare", "Every {spacing:98}.")), hold_spacing_mm=250.0)
    assert next(s.text for s in resolved(kit).steps if s.key == "X") == "Every 250 mm."


def test_who_writes_a_step_is_told_every_placeholder():
    assert not PLACEHOLDER.sub("", PLACEHOLDERS_TOLD).count("{")
    kinds = set(re.findall(r"\w+", PLACEHOLDER.pattern.replace("\\", " "))) - {"w"}
    assert {
        found.group(0).strip("{}").partition(":")[0] for found in PLACEHOLDER.finditer(PLACEHOLDERS_TOLD)
    } == kinds


def test_a_placeholder_for_something_is_none():
    text = "{position:10} {joint:J1} {torque:J1} {bag:1} {length:LIQ} {charge} {oil} {gas} {kit} {variant}"
    assert resolved(plus(step("X", 45, "prepare", text))).findings == ()


@pytest.mark.parametrize(
    ("low", "limit_from", "is_bad"),
    [
        (None, "fixed", True),
        (Decimal(9), "fixed", False),
        (None, "charge", False),
    ],
)
def test_a_reading_with_fixed_limits_states_one(low, limit_from, is_bad):
    reading = ReadingSpec(name="Pressure", unit="bar g", low=low, high=None, limit_from=limit_from, number=2)
    kit = resolved(plus(step("X", 145, "test", readings=(reading,))))
    assert [(f.code, f.severity, f.where) for f in kit.findings] == [
        ("reading-no-limits", "warns", "reading:X/2")
    ] * is_bad


@pytest.mark.parametrize(
    ("unit", "predicted", "words"),
    [
        ("bar g", "", "say which it reads"),
        ("psi", "high side", "read it in bar g"),
        ("°C", "low side", "read it in bar g"),
        ("bar g", "high side", None),
        ("°C", "coldest vent", None),
    ],
)
def test_a_predicted_reading_says_which_quantity_it_reads_in_its_unit(unit, predicted, words):
    reading = ReadingSpec(
        name="Pressure",
        unit=unit,
        low=None,
        high=None,
        limit_from="prediction",
        number=2,
        predicted=predicted,
    )
    kit = resolved(plus(step("X", 145, "test", readings=(reading,))))
    assert [(f.code, f.where, words in f.sentence) for f in kit.findings] == [
        ("reading-unpredicted", "reading:X/2", True)
    ] * (words is not None)
    (made,) = [s for s in kit.steps if s.key == "X"]
    assert made.readings[0].predicted == predicted


def test_a_step_that_fits_nothing_is_filler():
    assert only(resolved(plus(step("X", 45, "fit"))), "step-filler").where == "step:X"


@pytest.mark.parametrize("change", [{"text": "Look into {bag:1}."}, {"tool": "file"}, {"positions": (40,)}])
def test_a_step_that_names_part_bag_or_tool_is_none(change):
    assert codes(resolved(plus(replace(step("X", 65, "fit"), **change)))) == set()


def test_a_step_that_prepares_may_name_nothing():
    assert resolved(plus(step("X", 45, "prepare"))).findings == ()
