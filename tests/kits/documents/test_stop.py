"""The gate of production: what stops a kit in a car, each by itself, and what does not."""

from dataclasses import replace

import pytest

from kits.bom.resolved import Charge, Finding
from kits.documents.stop import stop_of
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.gap import Gap
from tests.kits.documents.sample import (
    HOSES,
    PROTOTYPE,
    WARNING,
    duty,
    sound,
    sound_kit,
    sound_record,
    unsized,
)

FORBIDDEN = Finding("market-forbids", "blocks", "kit", "The law forbids it.", market="far")


def reasons(source):
    """The reasons of the gate; it is stopped exactly where there is one."""
    stop = stop_of(source)
    assert stop.is_stopped is bool(stop.reasons)
    return list(stop.reasons)


def test_a_sound_fitment_that_is_marginal_or_strong_enough_may_be_made():
    assert reasons(sound()) == []
    assert reasons(sound(answer=sound_record(verdict="strong enough"))) == []


def test_what_blocks_stops_and_what_warns_does_not():
    assert reasons(sound(sound_kit(findings=(WARNING, PROTOTYPE)))) == [PROTOTYPE.sentence]


def test_what_a_market_forbids_stops_there_and_nowhere_else():
    kit = sound_kit(findings=(FORBIDDEN,))
    assert reasons(sound(kit.in_market("far"))) == ["The law forbids it."]
    assert reasons(sound(kit.in_market("home"))) == []
    assert reasons(sound(kit.in_market(""))) == []


def test_a_fitment_that_nobody_sized_stops():
    assert reasons(unsized(sound_kit())) == ["Nobody has sized this fitment yet: run the sizing."]


def test_a_verdict_not_sized_stops_and_names_what_is_missing():
    gaps = [Gap("x", "x", f"Input {n} is missing.") for n in range(5)]
    point = DutyAnswer(
        code="I", name="Idle", kind="idle", required=True, verdict="not sized", missing=tuple(gaps[1:])
    )
    spare = DutyAnswer(
        code="J",
        name="Other",
        kind="idle",
        required=False,
        verdict="not sized",
        missing=(Gap("y", "y", "Not asked."),),
    )
    answer = sound_record(verdict="not sized", missing=(gaps[0],), duties=(point, spare))
    (reason,) = reasons(sound(answer=answer))
    assert reason.startswith(
        "The fitment is not sized: Input 0 is missing. Input 1 is missing. Input 2 is missing."
    )
    assert reason.endswith("And 2 more: see the fitment's page.")
    (reason,) = reasons(sound(answer=sound_record(verdict="not sized", duties=())))
    assert "whether the kit is strong enough is not known" in reason


def test_an_answer_that_is_out_of_date_stops():
    (reason,) = reasons(sound(is_stale=True))
    assert "out of date" in reason and "size it again" in reason


def test_a_required_duty_point_that_fails_stops_and_one_for_information_does_not():
    failing = duty("T", "Town, 35 °C", "not enough", -0.192)
    answer = sound_record(verdict="not enough", duties=(failing,))
    assert reasons(sound(answer=answer)) == [
        "The kit is not enough at the required duty point Town, 35 °C. At 28 °C the kit gives 2.2 kW against 2.6 kW."
    ]
    for_information = replace(failing, required=False)
    assert reasons(sound(answer=sound_record(duties=(for_information,)))) == []
    (reason,) = reasons(sound(answer=sound_record(verdict="not enough", duties=())))
    assert "not enough for this car" in reason


@pytest.mark.parametrize("is_told", [False, True])
def test_a_hose_or_a_charge_that_nobody_knows_stops_and_is_told_once(is_told):
    told = (
        Finding("length-missing", "blocks", "length:SUC", "Route SUC has no length."),
        Finding("charge-missing", "blocks", "charge", "No charge."),
    )
    kit = sound_kit(
        hoses=HOSES, charge=Charge(None, None, None, "PAG 46", 120.0), findings=told if is_told else ()
    )
    own = ["The cut length of Hose suction on route SUC is not known.", "No refrigerant charge is recorded."]
    assert reasons(sound(kit)) == ([f.sentence for f in told] if is_told else own)
    assert reasons(sound(replace(kit, hoses=(), settings={"refrigerant": ""}, findings=()))) == []
