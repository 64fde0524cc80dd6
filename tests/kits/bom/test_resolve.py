"""A kit resolved for one car: what goes in, what is missing, what the steps say."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from kits.bom.catalogue import (
    EntrySpec,
    HoseRunSpec,
    JointSpec,
    KitSpec,
    Measured,
    PartSpec,
    PortSpec,
    PositionSpec,
    RevisionSpec,
    StepSpec,
    StructureSpec,
    VariantSpec,
)
from kits.bom.compile import compile_kit
from kits.bom.resolve import resolve
from kits.bom.resolved import consolidate, explode
from vehicles.physics.origin import Kind, Origin
from vehicles.records.terms import Terms

ON = date(2026, 6, 1)
LEFT = Terms(only=(("steering", frozenset({"left"})),))
RIGHT = Terms(only=(("steering", frozenset({"right"})),))
ANY = Terms()
CAR = VariantSpec("L", "lhd", "Left car", {"steering": "left"})
TAPED = Origin(Kind.MEASURED, "tape", "AB", date(2026, 5, 1))
CHARGE = Measured(620, Origin(Kind.WEIGHED), "", 25)


def part(number, kind="bracket", *, unit="pc", maturity="released", structure=(), ports=(), **data):
    edges = tuple(StructureSpec(i, child, Decimal(q)) for i, (child, q) in enumerate(structure, 1))
    return PartSpec(
        number,
        f"Part {number}",
        kind,
        unit,
        "buy",
        (RevisionSpec("A", maturity, structure=edges, ports=ports, data=data),),
    )


def step(key, order, kind, text="Do it.", positions=(), joints=(), terms=ANY):
    return StepSpec(key, order, "front", kind, text, 10, "", "", False, False, terms, positions, joints)


def ring(code, role, gender):
    return PortSpec(code, role, "O-ring thread", "#6", gender, "aluminium")


PARTS = [
    part("UNIT", "assembly", structure=(("COIL", 1), ("SCREW", 6))),
    part("COIL", ports=(ring("in", "liquid", "male"), ring("out", "liquid", "male"))),
    part("SCREW"),
    part("BR-L"),
    part("BR-R"),
    part("HOSE", "hose", unit="m", size="#6", bore_mm=8.0, wall_family="thin"),
    part("END", "hose end", adds_mm=30.0, ferrule_family="thin", ports=(ring("x", "liquid", "female"),)),
]
RUN = HoseRunSpec(1, "LIQ", 0, "HOSE", "END", "END", 90, 0.025, 25, "", "", "works", "H1", Terms())
POSITIONS = (
    PositionSpec(10, "Unit", "dash", "1", "", "exactly one", (EntrySpec(1, "UNIT", Decimal(1), Terms()),)),
    PositionSpec(
        20,
        "Bracket",
        "front",
        "2",
        "",
        "exactly one",
        (EntrySpec(1, "BR-L", Decimal(2), LEFT), EntrySpec(2, "BR-R", Decimal(2), RIGHT)),
    ),
    PositionSpec(30, "Loop hose", "front", "3", "", "exactly one", (), (RUN,)),
    PositionSpec(
        40, "Spare screws", "front", "3", "", "any", (EntrySpec(1, "SCREW", Decimal("2.5"), Terms()),)
    ),
)
JOINTS = (JointSpec("J1", 10, "in", 30, "A"), JointSpec("J2", 10, "out", 30, "B"))
STEPS = (
    step("U", 10, "fit", "Fit {position:10} from {bag:1}.", (10, 40)),
    step("B", 20, "fit", "Bolt {position:20}.", (20,)),
    step(
        "H",
        30,
        "connect",
        "Lay {position:30}, cut {length:LIQ}; {joint:J1} to {torque:J1}.",
        (30,),
        ("J1", "J2"),
    ),
    step("P", 40, "pressure test"),
    step("E", 50, "evacuate"),
    step("C", 60, "charge", "Fill {charge} of {gas}, {oil}."),
    step("O", 70, "hand over"),
)
SETTINGS = {"refrigerant": "R-134a", "oil": "PAG", "oil_ml": 135}
KIT = KitSpec("K", "Kit", SETTINGS, POSITIONS, JOINTS, STEPS, {"steering": ("left", "right")})
LENGTHS = {"LIQ": Measured(1000, TAPED)}


def resolved(kit=KIT, parts=PARTS, lengths=LENGTHS, charge=CHARGE, car=CAR, on=ON):
    return resolve(compile_kit(kit, {p.number: p for p in parts}), car, lengths, charge, on)


def swapped(number, **changes):
    return [replace(p, **changes) if p.number == number else p for p in PARTS]


def codes(kit):
    return {finding.code for finding in kit.findings}


def test_a_complete_kit_has_no_findings():
    assert resolved().findings == ()


def test_the_car_gets_its_own_entry():
    assert [i.part for i in resolved().items if i.position == 20] == ["BR-L"]
    right = VariantSpec("L", "rhd", "Right car", {"steering": "right"})
    assert [i.part for i in resolved(car=right).items if i.position == 20] == ["BR-R"]


def test_exploding_keeps_assemblies_and_multiplies_down():
    rows = [(r.level, r.item.part, r.quantity) for r in explode(resolved())]
    assert (0, "UNIT", 1) in rows
    assert (1, "SCREW", 6) in rows


def test_summing_adds_up_what_stands_in_several_places():
    rows = {r.part: r for r in consolidate(resolved())}
    assert rows["SCREW"].quantity == Decimal("8.5")
    assert rows["SCREW"].positions == (10, 40)
    assert "UNIT" not in rows
    # by hand: 1,000 + 25 - 30 - 30 = 965 mm
    assert rows["HOSE"].quantity == Decimal("0.965")
    assert rows["END"].quantity == 2


def test_steps_speak_of_this_cars_parts_lengths_and_charge():
    texts = {s.key: s.text for s in resolved().steps}
    assert texts["B"] == "Bolt Part BR-L (BR-L)."
    assert texts["H"] == (
        "Lay Loop hose (tag H1), cut 965 mm; joint J1 (Unit in to Loop hose A, #6) to 14 to 18 N·m."
    )
    assert texts["C"] == "Fill 620 ± 25 g of R-134a, 135 ml PAG."


def test_a_missing_length_blocks_and_cuts_nothing():
    kit = resolved(lengths={})
    assert codes(kit) == {"length-missing"}
    assert kit.hoses[0].cut_mm is None
    assert "HOSE" not in {r.part for r in consolidate(kit)}
    assert "not recorded" in {s.key: s.text for s in kit.steps}["H"]


def test_a_missing_charge_blocks_and_is_not_guessed():
    kit = resolved(charge=None)
    assert codes(kit) == {"charge-missing"}
    assert "not recorded" in {s.key: s.text for s in kit.steps}["C"]


def test_a_car_that_no_entry_is_for_leaves_a_gap():
    entries = POSITIONS[1].entries[1:]
    kit = resolved(
        replace(KIT, positions=(POSITIONS[0], replace(POSITIONS[1], entries=entries), *POSITIONS[2:]))
    )
    gap = [f for f in kit.findings if f.code == "position-gap"]
    assert {f.severity for f in gap} == {"blocks", "notes"}
    assert "steering left" in next(f.sentence for f in gap if f.severity == "notes")


def test_two_entries_for_one_car_overlap():
    entries = (*POSITIONS[1].entries, EntrySpec(3, "BR-R", Decimal(1), LEFT))
    kit = resolved(
        replace(KIT, positions=(POSITIONS[0], replace(POSITIONS[1], entries=entries), *POSITIONS[2:]))
    )
    assert "position-overlap" in codes(kit)


def test_an_approved_alternate_neither_fills_nor_overlaps():
    entries = (*POSITIONS[1].entries, EntrySpec(3, "BR-R", Decimal(1), LEFT, alternate=True))
    kit = resolved(
        replace(KIT, positions=(POSITIONS[0], replace(POSITIONS[1], entries=entries), *POSITIONS[2:]))
    )
    assert kit.findings == ()


def test_our_dates_are_half_open():
    entries = (
        EntrySpec(1, "BR-L", Decimal(2), Terms(), end=date(2026, 7, 1)),
        EntrySpec(2, "BR-R", Decimal(2), Terms(), start=date(2026, 7, 1)),
    )
    spec = replace(KIT, positions=(POSITIONS[0], replace(POSITIONS[1], entries=entries), *POSITIONS[2:]))
    before, after = (resolved(spec, on=day) for day in (date(2026, 6, 30), date(2026, 7, 1)))
    assert [i.part for i in before.items if i.position == 20] == ["BR-L"]
    assert [i.part for i in after.items if i.position == 20] == ["BR-R"]
    assert before.findings == after.findings == ()


def test_a_prototype_deep_in_an_assembly_is_found():
    parts = swapped("SCREW", revisions=(RevisionSpec("B", "prototype"),))
    found = [f for f in resolved(parts=parts).findings if f.code == "part-prototype"]
    assert [f.where for f in found] == ["part:SCREW"]
    assert found[0].severity == "blocks"


def test_a_part_without_a_revision_in_force_blocks():
    parts = swapped("BR-L", revisions=(RevisionSpec("A", "released", start=date(2027, 1, 1)),))
    assert "part-no-revision" in codes(resolved(parts=parts))


def test_an_end_of_the_wrong_size_does_not_mate():
    wrong = replace(ring("x", "liquid", "female"), size="#8")
    parts = swapped(
        "END",
        revisions=(
            RevisionSpec("A", "released", ports=(wrong,), data={"adds_mm": 30.0, "ferrule_family": "thin"}),
        ),
    )
    assert "joint-mismatch" in codes(resolved(parts=parts))


def test_a_ferrule_for_another_wall_is_found():
    ports = (ring("x", "liquid", "female"),)
    data = {"adds_mm": 30.0, "ferrule_family": "thick"}
    parts = swapped("END", revisions=(RevisionSpec("A", "released", ports=ports, data=data),))
    assert "hose-ferrule" in codes(resolved(parts=parts))


def test_a_joint_left_out_opens_the_circuit():
    kit = resolved(replace(KIT, joints=JOINTS[:1]))
    assert "circuit-open" in codes(kit)


def test_a_joint_no_step_connects_is_found():
    steps = tuple(replace(s, joints=("J1",)) if s.key == "H" else s for s in STEPS)
    found = [f for f in resolved(replace(KIT, steps=steps)).findings if f.code == "joint-no-step"]
    assert [f.where for f in found] == ["joint:J2"]


def test_a_filled_position_no_step_fits_is_found():
    steps = tuple(s for s in STEPS if s.key != "B")
    found = [f for f in resolved(replace(KIT, steps=steps)).findings if f.code == "position-no-step"]
    assert [f.where for f in found] == ["position:20"]


@pytest.mark.parametrize(("late", "order"), [("P", 65), ("E", 66), ("C", 75)])
def test_charging_before_test_and_vacuum_is_found(late, order):
    steps = tuple(replace(s, order=order) if s.key == late else s for s in STEPS)
    assert "step-order" in codes(resolved(replace(KIT, steps=steps)))


def test_a_placeholder_for_nothing_is_found():
    steps = (*STEPS, step("X", 5, "prepare", "Look at {position:99} and {whatever}."))
    found = [f for f in resolved(replace(KIT, steps=steps)).findings if f.code == "step-placeholder"]
    assert len(found) == 2


def test_a_step_for_other_cars_is_left_out():
    steps = (*STEPS, step("R", 15, "prepare", terms=RIGHT))
    assert "R" not in {s.key for s in resolved(replace(KIT, steps=steps)).steps}
