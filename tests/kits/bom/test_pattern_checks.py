"""A checklist has what safety asks of it: each step where it applies, in its order, with a place for what it asks."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.pattern_checks import pattern_findings
from kits.bom.step_patterns import patterns
from tests.kits.bom.asked_steps import answering, readings
from tests.kits.bom.sample import KIT, found, only, resolved, step, with_step, without_step

ELECTRIC = frozenset(
    {"refrigerant", "electric compressor", "high voltage", "drier", "wiring", "electric drive"}
)
BELT = frozenset({"refrigerant", "belt", "drier", "water", "wiring", "cycling", "engine"})


def asked_of(involves):
    """Every step that the patterns ask for, in an order that keeps all they say, each with all its blanks."""
    wanted = [code for code, pattern in patterns().items() if pattern.asked in involves]
    return [
        answering(step(code.upper(), i, ""), code, involves, minutes_min=patterns()[code].minutes_min)
        for i, code in enumerate(wanted)
    ]


def findings(steps, involves):
    return list(pattern_findings(steps, involves))


@pytest.mark.parametrize("involves", [ELECTRIC, BELT, frozenset({"wiring"}), frozenset()])
def test_steps_made_from_the_patterns_in_their_order_lack_nothing(involves):
    assert findings(asked_of(involves), involves) == []


@pytest.mark.parametrize("involves", [ELECTRIC, BELT])
def test_each_step_that_is_asked_for_is_missed(involves):
    every = asked_of(involves)
    for left_out in every:
        told = findings([s for s in every if s is not left_out], involves)
        assert [(f.code, f.severity, f.where) for f in told] == [
            ("pattern-missing", "blocks", f"pattern:{left_out.pattern}")
        ]
        assert dict(told[0].mend.given)["pattern"] == left_out.pattern


@pytest.mark.parametrize("involves", [ELECTRIC, BELT])
def test_each_blank_of_each_step_is_missed(involves):
    every = asked_of(involves)
    for i, whole in enumerate(every):
        for left_out in whole.readings:
            short = replace(whole, readings=tuple(r for r in whole.readings if r is not left_out))
            told = findings([*every[:i], short, *every[i + 1 :]], involves)
            assert [(f.code, f.where) for f in told] == [("blank-missing", f"step:{whole.key}")]
            assert left_out.name in told[0].sentence
            given = dict(told[0].mend.given)
            assert (given["answers"], given["writes"]) == (left_out.answers, left_out.writes)


def test_what_does_not_concern_the_installation_is_not_asked():
    codes = {s.pattern for s in asked_of(BELT)}
    assert not {code for code in codes if code.startswith("hv-")}
    blanks = {r.answers for r in readings("before-start", ELECTRIC)}
    assert "fan-bolts" not in blanks and "clear" in blanks


@pytest.mark.parametrize(
    ("involves", "early", "late"),
    [
        (ELECTRIC, "hv-connect", "hv-off"),
        (ELECTRIC, "hv-on", "hv-insulation"),
        (BELT, "before-start", "charge"),
        (BELT, "charge-running", "before-start"),
        (BELT, "leak-search", "charged"),
        (BELT, "leak-search-road", "road"),
        (BELT, "battery-on", "quiescent"),
        (BELT, "pressure-test", "circuit-closed"),
    ],
)
def test_a_step_before_the_one_that_makes_it_safe_is_found(involves, early, late):
    every = asked_of(involves)
    places = {s.pattern: i for i, s in enumerate(every)}
    moved = every.pop(places[early])
    every.insert(places[late] - (places[early] < places[late]), moved)
    told = [f for f in findings(every, involves) if f.code == "pattern-order"]
    assert f"step:{early.upper()}" in {f.where for f in told}
    assert {f.severity for f in told} == {"blocks"}


def changed(code, involves=BELT, **changes):
    """What is told of a complete list in which one step is otherwise."""
    every = [replace(s, **changes) if s.pattern == code else s for s in asked_of(involves)]
    return findings(every, involves)


def test_a_step_that_must_hold_the_work_is_a_hold_point():
    (finding,) = changed("pressure-test", hold_point=False)
    assert (finding.code, finding.mend.field) == ("pattern-no-hold", "hold_point")


def test_a_step_is_of_the_kind_its_pattern_is_of():
    (finding,) = changed("leak-search", kind="fit")
    assert (finding.code, finding.mend.field) == ("pattern-kind", "kind")


@pytest.mark.parametrize(
    ("code", "lost"), [("leak-search", "joints"), ("charge", "charge"), ("charge", "gas")]
)
def test_the_text_keeps_what_is_filled_in_for_the_car(code, lost):
    text = patterns()[code].text.replace(f"{{{lost}}}", "all of it")
    (finding,) = changed(code, text=text)
    assert (finding.code, finding.where) == ("pattern-text", f"step:{code.upper()}")
    assert f"{{{lost}}}" in finding.sentence


def with_blank(code, blank, involves=BELT, **changes):
    """What is told of a complete list in which one blank is otherwise."""
    given = tuple(replace(r, **changes) if r.answers == blank else r for r in readings(code, involves))
    return changed(code, involves, readings=given)


@pytest.mark.parametrize(
    ("code", "blank", "changes", "told"),
    [
        ("vacuum", "after", {"high": Decimal(131)}, "blank-looser"),
        ("vacuum", "after", {"high": None, "limit_from": "written"}, "blank-looser"),
        ("vacuum", "after", {"high": Decimal(130)}, ""),
        ("vacuum", "after", {"high": Decimal(100)}, ""),
        ("pressure-test", "start", {"low": Decimal("9.7")}, "blank-looser"),
        ("pressure-test", "start", {"low": Decimal(10)}, ""),
        ("pressure-test", "start", {"unit": "bar"}, "blank-other"),
        ("charge", "certificate", {"writes": "tick"}, "blank-other"),
        ("charged", "grams", {"limit_from": "fixed", "low": Decimal(1)}, "blank-other"),
        ("before-start", "fan-bolts", {"limit_from": "fixed", "low": Decimal(9), "high": Decimal(11)}, ""),
    ],
)
def test_a_blank_is_as_strict_as_its_pattern_and_may_be_stricter(code, blank, changes, told):
    found_here = with_blank(code, blank, **changes)
    assert [f.code for f in found_here] == [told] * bool(told)


def test_insulation_below_two_megohms_is_not_taken():
    (finding,) = with_blank("hv-insulation", "plus-to-frame", ELECTRIC, low=Decimal(1))
    assert finding.code == "blank-looser"
    assert "at least 2 MΩ" in finding.sentence


@pytest.mark.parametrize(("minutes", "is_bad"), [(12, False), (12.5, True)])
def test_the_steps_from_the_open_drier_to_the_closed_circuit_fit_into_the_minutes_that_are_asked(
    minutes, is_bad
):
    kit = with_step("BAG", minutes_min=minutes)
    told = found(resolved(kit), "drier-minutes")
    assert [(f.severity, f.where) for f in told] == [("blocks", "step:BAG")] * is_bad


def test_a_step_between_counts_too_and_one_without_a_time_counts_nothing():
    between = replace(KIT, steps=(*KIT.steps, replace(step("LOOK", 117, "test"), minutes_min=11)))
    assert only(resolved(between), "drier-minutes").where == "step:BAG"
    silent = with_step("LOOK", between, minutes_min=None)
    assert resolved(silent).findings == ()


def test_a_search_is_over_when_as_many_joints_were_searched_as_the_circuit_has():
    kit = resolved()
    searched = next(s for s in kit.steps if s.key == "SNIFF")
    count = sum(joint.family == "refrigerant" for joint in kit.joints)
    assert [r.low for r in searched.readings if r.name == "Joints searched"] == [count] and count > 5


def test_a_kit_is_told_by_resolving_it():
    finding = only(resolved(without_step("SNIFF-2")), "pattern-missing")
    assert "leaks are found that the road has opened" in finding.sentence
