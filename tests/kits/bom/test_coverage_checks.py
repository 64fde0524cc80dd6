"""What is wrong with a kit's option terms is told once, with an example, line by line."""

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from kits.bom.catalogue import LineSpec, VariantSpec
from kits.bom.compile import compile_kit
from kits.bom.coverage_checks import TOLD
from tests.kits.bom.sample import (
    CIRCUITS,
    KIT,
    LINE,
    PARTS,
    RIGHT,
    entry,
    place,
    step,
)
from vehicles.records.terms import Terms

FEATURES = {"steering": ("left", "right"), "body": ("coupe", "tourer", "van"), "volts": ("6", "12")}


def only(**terms):
    """Terms from option names, such as body="coupe tourer"."""
    return Terms(only=tuple((f, frozenset(options.split())) for f, options in sorted(terms.items())))


def car(name, **options):
    return VariantSpec("W", name, name, options)


def compiled(*entries, rule="exactly one", excluded=(), built=(), features=FEATURES, lines=None, **more):
    line = LineSpec("W", "Wide", features, excluded, built)
    kit = replace(
        KIT,
        positions=(place(5, "Plate", *entries, rule=rule),),
        joints=(),
        steps=(),
        lines=lines or (line,),
        **more,
    )
    return compile_kit(kit, {p.number: p for p in PARTS}).findings


def sentences(findings):
    return [f.sentence for f in findings]


def test_each_gap_is_one_sentence_with_an_example():
    found = compiled(entry(1, "BR-L", 1, only(body="coupe", volts="12")))
    assert {(f.code, f.severity, f.where) for f in found} == {("position-gap", "notes", "position:5")}
    assert sentences(found) == [
        "Position 5 Plate has no entry for a car with body tourer or van,"
        " such as steering left, body tourer, volts 6.",
        "Position 5 Plate has no entry for a car with volts 6,"
        " such as steering left, body coupe, volts 6.",
    ]  # fmt: skip


def test_a_gap_that_a_built_car_falls_into_blocks_and_names_it():
    built = (car("Tourer of 1961", steering="right", body="tourer", volts="6"),)
    found = compiled(entry(1, "BR-L", 1, only(body="coupe van")), built=built)
    assert [(f.severity, f.code) for f in found] == [("blocks", "position-gap")]
    assert found[0].sentence.endswith("a car with body tourer, such as Tourer of 1961.")


def test_a_position_with_many_gaps_does_not_fill_the_page():
    features = {f"f{i}": tuple("abc") for i in range(9)}
    terms = Terms(only=tuple((f, frozenset("a")) for f in features))
    found = compiled(entry(1, "BR-L", 1, terms), features=features)
    assert len(found) == TOLD + 1
    assert "more gaps" in found[-1].sentence


def test_a_position_without_gap_or_overlap_has_nothing_to_say():
    assert (
        compiled(entry(1, "BR-L", 1, only(body="coupe")), entry(2, "BR-R", 1, only(body="tourer van"))) == ()
    )


def test_a_gap_begins_with_the_first_entry_not_with_the_calendar():
    start, change = date(2025, 9, 1), date(2026, 3, 1)
    whole = compiled(entry(1, "BR-L", start=start))
    assert whole == ()
    found = compiled(
        entry(1, "BR-L", 1, only(body="coupe"), start=start),
        entry(2, "BR-R", 1, only(body="tourer van"), start=change),
    )
    assert len(found) == 1
    assert "body tourer or van from 2025-09-01 until 2026-03-01" in found[0].sentence


def test_the_rule_says_whether_gap_and_overlap_are_wrong():
    gap = (entry(1, "BR-L", 1, only(body="coupe")),)
    overlap = (entry(1, "BR-L"), entry(2, "BR-R", 1, only(body="van")))
    codes = {
        (rule, name): {f.code for f in compiled(*entries, rule=rule)}
        for rule in ("exactly one", "at most one", "any")
        for name, entries in (("gap", gap), ("overlap", overlap))
    }
    assert codes == {
        ("exactly one", "gap"): {"position-gap"},
        ("exactly one", "overlap"): {"position-overlap"},
        ("at most one", "gap"): set(),
        ("at most one", "overlap"): {"position-overlap"},
        ("any", "gap"): set(),
        ("any", "overlap"): set(),
    }


def test_one_wrong_entry_is_one_sentence_however_many_it_meets():
    entries = [entry(i, "BR-L", 1, only(body=b)) for i, b in enumerate(FEATURES["body"], 1)]
    (found,) = compiled(*entries, entry(4, "BR-R"))
    assert "entry 4 as well as entry 1 and entry 2 and entry 3" in found.sentence


def test_an_overlap_in_an_excluded_combination_only_is_none():
    excluded = ({"body": frozenset({"van"}), "volts": frozenset({"6"})},)
    entries = (entry(1, "BR-L", 1, only(body="van")), entry(2, "BR-R", 1, only(volts="6")))
    assert {f.code for f in compiled(*entries, rule="at most one")} == {"position-overlap"}
    assert compiled(*entries, rule="at most one", excluded=excluded) == ()


def test_what_one_line_excludes_says_nothing_about_another():
    closed = LineSpec("A", "Ash", {"steering": ("left", "right")}, ({"steering": frozenset({"right"})},))
    open_line = LineSpec("B", "Birch", {"steering": ("left", "right")})
    left = entry(1, "BR-L", 1, only(steering="left"))
    assert compiled(left, lines=(closed,)) == ()
    (found,) = compiled(left, lines=(closed, open_line))
    assert "a Birch with steering right" in found.sentence


def test_a_line_is_judged_by_the_features_it_has():
    doors = LineSpec("A", "Ash", {"doors": ("2", "4")})
    (found,) = compiled(entry(1, "BR-L", 1, only(body="coupe tourer van")), lines=(doors, LINE_WIDE))
    assert found.sentence == "Position 5 Plate has no entry for any Ash."


LINE_WIDE = LineSpec("W", "Wide", FEATURES)


def test_terms_that_apply_to_no_car_are_found_wherever_they_stand():
    never = only(steering="middle")
    hose = next(p for p in KIT.positions if p.number == 62)
    runs = (*hose.hose_runs, replace(hose.hose_runs[0], number=2, terms=never))
    circuits = (*CIRCUITS, replace(CIRCUITS[0], number=3, terms=never))
    kit = replace(
        KIT,
        positions=(
            *(p for p in KIT.positions if p.number not in (62, 80)),
            place(5, "Plate", entry(1, "BR-L", 1, never), rule="any"),
            replace(hose, hose_runs=runs),
            place(80, "Harness", entry(1, "HARN"), circuits=circuits),
        ),
        steps=(*KIT.steps, step("X", 5, "prepare", terms=never)),
    )
    found = compile_kit(kit, {p.number: p for p in PARTS}).findings
    assert {(f.code, f.severity, f.where) for f in found} == {
        ("terms-dead", "warns", where) for where in ("entry:5/1", "hose:62/2", "circuit:80/3", "step:X")
    }


def test_terms_that_only_an_excluded_combination_meets_are_dead():
    excluded = ({"steering": frozenset({"right"})},)
    kit = replace(
        KIT, lines=(replace(LINE, excluded=excluded),), steps=(step("X", 5, "prepare", terms=RIGHT),)
    )
    found = compile_kit(kit, {p.number: p for p in PARTS}).findings
    assert {"entry:50/2", "step:X"} <= {f.where for f in found if f.code == "terms-dead"}


def test_a_kit_that_is_offered_nowhere_has_no_universe_to_judge():
    assert compile_kit(replace(KIT, lines=()), {p.number: p for p in PARTS}).findings == ()


def test_a_past_gap_is_not_told_to_a_car_of_today():
    early = date(2025, 1, 1), date(2026, 1, 1)
    entries = (
        entry(1, "BR-L", 1, only(body="coupe"), start=early[0]),
        entry(2, "BR-R", 1, only(body="tourer van"), start=early[1]),
    )
    kit = replace(KIT, positions=(place(5, "Plate", *entries),), joints=(), steps=(), lines=(LINE_WIDE,))
    made = compile_kit(kit, {p.number: p for p in PARTS})
    mine = car("mine", steering="left", body="coupe", volts="6")
    assert len(made.findings) == 1
    assert made.findings_for(mine, (), date(2025, 6, 1)) == made.findings
    assert made.findings_for(mine, (), date(2026, 1, 1)) == ()


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(*(st.sets(st.sampled_from(o), min_size=1) for o in FEATURES.values())), max_size=5))
def test_built_cars_block_exactly_when_they_get_nothing(chosen):
    terms = [Terms(only=tuple(zip(FEATURES, map(frozenset, sets), strict=True))) for sets in chosen]
    entries = [entry(i, "BR-L", 1, t) for i, t in enumerate(terms, 1)]
    mine = car("mine", steering="left", body="van", volts="12")
    found = [f for f in compiled(*entries, built=(mine,)) if f.code == "position-gap"]
    told_all = len(found) <= TOLD
    served = any(t.applies(mine.options) for t in terms)
    assert served is not any(f.severity == "blocks" for f in found) or not told_all
