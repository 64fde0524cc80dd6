"""A kit resolved for one car: what goes in, how long the hoses are, what the steps say."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from kits.bom.catalogue import RevisionSpec, SupersessionSpec
from kits.bom.resolved import Original, consolidate, explode
from tests.kits.bom.sample import (
    ANY,
    KIT,
    LEFT,
    LENGTHS,
    PARTS,
    POSITIONS,
    RIGHT,
    RIGHT_CAR,
    codes,
    entry,
    found,
    only,
    part,
    resolved,
    step,
    with_data,
    with_part,
    with_position,
    with_step,
)

BRACKETS = next(p for p in POSITIONS if p.number == 50)


def test_a_complete_kit_has_no_findings():
    assert resolved().findings == ()
    assert resolved(car=RIGHT_CAR).findings == ()


def test_the_car_gets_its_own_entry():
    assert [i.part for i in resolved().items if i.position == 50] == ["BR-L"]
    assert [i.part for i in resolved(car=RIGHT_CAR).items if i.position == 50] == ["BR-R"]


def test_exploding_keeps_assemblies_and_multiplies_down():
    rows = [(r.level, r.item.part, r.quantity) for r in explode(resolved())]
    assert (0, "UNIT", 1) in rows
    assert (1, "SCREW", 6) in rows


def test_summing_adds_up_what_stands_in_several_places():
    rows = {r.part: r for r in consolidate(resolved())}
    assert rows["SCREW"].quantity == Decimal("8.5")
    assert rows["SCREW"].positions == (40, 73)
    assert "UNIT" not in rows
    # by hand: two hoses of 1,000 + 25 - 30 - 30 = 965 mm
    assert rows["HOSE6"].quantity == Decimal("1.930")
    assert rows["E6"].quantity == 4


def test_steps_speak_of_this_cars_parts_lengths_and_charge():
    texts = {s.key: s.text for s in resolved().steps}
    assert texts["BIG"] == "Open bag 1. Fit Part COMP (COMP) and Part BR-L (BR-L) from bag 1."
    assert texts["LAY"] == "Lay Liquid hose (tag H-LIQ), cut 965 mm."
    assert texts["JOIN"] == "joint J1 (Compressor D to Discharge hose A, #8) to 20 to 27 N·m."
    assert texts["WATER"] == "Cut Part WVALVE (WVALVE) into Heater hose of the car."
    assert texts["CH"] == "Fill 620 ± 25 g of R-134a, 135 ml PAG 46."


def test_steps_say_what_becomes_of_the_cars_own_things():
    steps = {s.key: s.originals for s in resolved().steps}
    assert steps["OUT"] == (Original("Grille", "removed"), Original("Liner", "removed"))
    assert steps["KEEP"] == (Original("Liner", "kept"),)


def test_a_wire_knows_its_branch_and_its_diode():
    first, second = resolved().wires
    assert (first.diode_band, first.branch, first.route) == ("from", None, "")
    assert (second.branch, second.route, second.covering) == (1, "DIS", "braid")


def test_a_circuit_for_other_cars_is_left_out_with_its_faults():
    circuits = POSITIONS[13].circuits
    kit = with_position(80, circuits=(*circuits, replace(circuits[0], number=3, fuse_a=90.0, terms=RIGHT)))
    assert [w.number for w in resolved(kit).wires] == [1, 2]
    assert resolved(kit).findings == ()
    assert [w.number for w in resolved(kit, car=RIGHT_CAR).wires] == [1, 2, 3]


def test_a_missing_length_blocks_and_cuts_nothing():
    kit = resolved(lengths={k: v for k, v in LENGTHS.items() if k != "LIQ"})
    assert only(kit, "length-missing").where == "length:LIQ"
    assert next(h for h in kit.hoses if h.route == "LIQ").cut_mm is None
    assert {r.part: r.quantity for r in consolidate(kit)}["HOSE6"] == Decimal("0.965")
    assert "not recorded: do not cut]" in {s.key: s.text for s in kit.steps}["LAY"]


def test_ends_longer_than_the_route_are_found():
    kit = resolved(parts=with_data("E8", adds_mm=2000.0))
    assert only(kit, "length-impossible").where == "length:DIS"


def test_a_missing_charge_blocks_and_is_not_guessed():
    kit = resolved(charge=None)
    assert only(kit, "charge-missing").severity == "blocks"
    assert "[charge not recorded: do not charge]" in {s.key: s.text for s in kit.steps}["CH"]


def test_a_car_that_no_entry_is_for_leaves_a_gap():
    kit = with_position(50, entries=BRACKETS.entries[1:])
    gap = only(resolved(kit), "position-gap")
    assert (gap.severity, gap.where) == ("blocks", "position:50")
    assert "Left car" in gap.sentence


def test_a_position_that_must_be_filled_and_has_no_entry_at_all_is_a_gap():
    assert {f.severity for f in found(resolved(with_position(50, entries=())), "position-gap")} == {"blocks"}


def test_a_gap_of_other_cars_is_only_noted():
    kit = with_position(50, entries=BRACKETS.entries[1:])
    gap = only(resolved(kit, car=RIGHT_CAR), "position-gap")
    assert gap.severity == "notes"
    assert "steering left" in gap.sentence


def test_two_entries_for_one_car_overlap():
    kit = with_position(50, entries=(*BRACKETS.entries, entry(3, "BR-R", 1, LEFT)))
    overlap = only(resolved(kit), "position-overlap")
    assert (overlap.severity, overlap.where) == ("blocks", "position:50")
    assert "2 entries" in overlap.sentence


def test_a_position_of_any_number_may_hold_two_or_none():
    two = with_position(73, entries=(entry(1, "SCREW"), entry(2, "BR-L")))
    none = with_position(73, entries=(entry(1, "SCREW", 1, RIGHT),))
    assert resolved(two).findings == ()
    assert resolved(none).findings == ()


def test_a_position_of_at_most_one_may_be_empty_but_not_double():
    empty = with_position(50, rule="at most one", entries=BRACKETS.entries[1:])
    double = with_position(50, rule="at most one", entries=(*BRACKETS.entries, entry(3, "BR-R")))
    assert resolved(with_step("BIG", empty, text="{open:1}. Fit it.")).findings == ()
    assert codes(resolved(double)) == {"position-overlap"}


def test_an_approved_alternate_neither_fills_nor_overlaps():
    kit = with_position(50, entries=(*BRACKETS.entries, entry(3, "BR-R", 1, LEFT, alternate=True)))
    assert resolved(kit).findings == ()


def test_our_dates_are_half_open():
    change = date(2026, 7, 1)
    kit = with_position(50, entries=(entry(1, "BR-L", end=change), entry(2, "BR-R", start=change)))
    before, after = (resolved(kit, on=day) for day in (date(2026, 6, 30), change))
    assert [i.part for i in before.items if i.position == 50] == ["BR-L"]
    assert [i.part for i in after.items if i.position == 50] == ["BR-R"]
    assert before.findings == after.findings == ()


def test_a_change_that_is_half_made_is_seen_before_its_day():
    ends, starts = date(2026, 7, 1), date(2026, 8, 1)
    gap = with_position(50, entries=(entry(1, "BR-L", end=ends), entry(2, "BR-R", start=starts)))
    ahead = only(resolved(gap), "position-gap")
    assert ahead.severity == "warns"
    assert "2026-07-01" in ahead.sentence
    both = with_position(50, entries=(entry(1, "BR-L"), entry(2, "BR-R", start=starts)))
    ahead = only(resolved(both), "position-overlap")
    assert ahead.severity == "warns"
    assert "2026-08-01" in ahead.sentence


def test_a_prototype_deep_in_an_assembly_is_found():
    found_one = only(resolved(parts=with_part("SCREW", maturity="prototype")), "part-prototype")
    assert (found_one.severity, found_one.where) == ("blocks", "part:SCREW")


def test_a_part_without_a_revision_in_force_blocks():
    parts = with_part("BR-L", start=date(2027, 1, 1))
    assert only(resolved(parts=parts), "part-no-revision").where == "part:BR-L"


def test_a_withdrawn_part_blocks_and_an_older_revision_does_not_stand_in_for_a_newer_in_force():
    withdrawn = only(resolved(parts=with_part("BR-L", maturity="withdrawn")), "part-withdrawn")
    assert withdrawn.severity == "blocks"
    assert "revision A is withdrawn" in withdrawn.sentence
    both = with_part("BR-L", revisions=(RevisionSpec("A", "withdrawn"), RevisionSpec("B", "released")))
    assert resolved(parts=both).findings == ()


@pytest.mark.parametrize(("both_ways", "severity"), [(False, "warns"), (True, "notes")])
def test_a_superseded_part_is_found_from_its_date_on(both_ways, severity):
    change = date(2026, 7, 1)
    parts = with_part("BR-L", superseded=(SupersessionSpec("BR-X", change, both_ways),))
    assert resolved(parts=parts, on=date(2026, 6, 30)).findings == ()
    late = only(resolved(parts=parts, on=change), "part-superseded")
    assert (late.severity, late.where) == (severity, "entry:50/1")
    assert "BR-X" in late.sentence


def test_a_superseded_part_in_an_assembly_is_mended_in_the_assembly():
    parts = with_part("SCREW", superseded=(SupersessionSpec("SCREW2", None),))
    assert {f.where for f in found(resolved(parts=parts), "part-superseded")} == {"part:UNIT", "entry:73/1"}


def test_a_step_for_other_cars_is_left_out_with_its_faults():
    kit = replace(KIT, steps=(*KIT.steps, step("R", 15, "prepare", "{whatever}", terms=RIGHT)))
    assert "R" not in {s.key for s in resolved(kit).steps}
    assert resolved(kit).findings == ()
    assert codes(resolved(kit, car=RIGHT_CAR)) == {"step-placeholder"}


def test_a_step_out_of_force_is_left_out():
    late = step("LATE", 15, "prepare", terms=ANY, start=date(2026, 7, 1))
    kit = replace(KIT, steps=(*KIT.steps, late))
    assert "LATE" not in {s.key for s in resolved(kit).steps}
    assert "LATE" in {s.key for s in resolved(kit, on=date(2026, 7, 1)).steps}


def test_an_assembly_with_data_is_told_as_a_whole_and_one_without_by_what_it_holds():
    fan = part("FAN", "condenser fan", free_airflow_m3_h=900.0)
    pair = part("PAIR", "condenser fan", structure=(("FAN", 2),), free_airflow_m3_h=1700.0)
    frame = part("FRAME", "bracket", structure=(("FAN", 2),))
    for fitted, told in ((pair, {"condenser fan": ("PAIR", 1)}), (frame, {"condenser fan": ("FAN", 2)})):
        kit = with_position(50, entries=(entry(1, fitted.number),))
        plant = resolved(kit, (*PARTS, fan, fitted)).plant
        found = {key: (held.part, held.quantity) for key, held in plant.items() if "fan" in key}
        assert found == told


def revised(number, *structure):
    """A part of the sample with another content."""
    return part(number, structure=structure)


def test_an_assembly_that_contains_itself_is_told_with_the_way_and_the_rest_stands():
    parts = {
        **{p.number: p for p in PARTS},
        "BR-L": revised("BR-L", ("RING", 1)),
        "RING": revised("RING", ("BR-L", 1)),
    }
    kit = resolved(parts=parts.values())
    finding = only(kit, "structure-loop")
    assert (finding.severity, finding.where) == ("blocks", "part:RING")
    assert finding.sentence == "Part BR-L contains itself: BR-L → RING → BR-L. It is left out there."
    assert [r.item.part for r in explode(kit) if r.item.position == 50] == ["BR-L", "RING"]
    assert len(explode(kit)) == len(explode(resolved())) + 1


def test_a_parts_list_that_would_grow_without_end_is_cut_and_says_where():
    # twenty levels, each with the next one twice: a million lines
    levels = {
        f"LEVEL{n}": revised(f"LEVEL{n}", (f"LEVEL{n + 1}", 1), (f"LEVEL{n + 1}", 1)) for n in range(20)
    }
    last = {"LEVEL20": revised("LEVEL20")}
    parts = {**{p.number: p for p in PARTS}, **levels, **last, "BR-L": revised("BR-L", ("LEVEL0", 1))}
    kit = resolved(parts=parts.values())
    finding = only(kit, "structure-too-large")
    assert (finding.severity, finding.sentence[:46]) == (
        "blocks",
        "The parts list would have more than 5,000 line",
    )
    assert len(explode(kit)) < 5_100


def test_a_chain_of_a_thousand_assemblies_is_cut_too():
    chain = {f"LINK{n}": revised(f"LINK{n}", (f"LINK{n + 1}", 1)) for n in range(1000)}
    parts = {
        **{p.number: p for p in PARTS},
        **chain,
        "LINK1000": revised("LINK1000"),
        "BR-L": revised("BR-L", ("LINK0", 1)),
    }
    kit = resolved(parts=parts.values())
    assert only(kit, "structure-too-large").where.startswith("part:LINK")
    assert max(row.level for row in explode(kit)) == 40
