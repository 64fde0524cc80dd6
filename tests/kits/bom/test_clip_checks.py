"""A clip for each end of a water hose, and P-clips enough to hold the hoses on their way."""

from dataclasses import replace

import pytest

from kits.bom.clip_checks import holds
from kits.bom.mending import row
from tests.kits.bom.sample import (
    KIT,
    PARTS,
    RIGHT,
    codes,
    entry,
    found,
    only,
    part,
    place,
    resolved,
    step,
    with_data,
    with_position,
)


def water(kit):
    return next(j for j in kit.joints if j.code == "W1")


def without_clip(code):
    return replace(
        KIT, joints=tuple(replace(j, clip_position=None) if j.code == code else j for j in KIT.joints)
    )


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("worm drive", "2.5 to 3 N·m (worm-drive clip)"),
        ("ear", "ear clip, crimped with pliers: no torque"),
        ("spring", "spring clip: no torque"),
    ],
)
def test_only_a_worm_drive_has_a_torque(kind, told):
    kit = resolved(parts=with_data("CLIP", clip_kind=kind))
    assert (water(kit).torque_text(), water(kit).o_ring_text()) == (told, "no O-ring")
    assert kit.findings == ()


def test_a_water_joint_that_names_no_clip_is_found_and_has_no_torque():
    kit = resolved(without_clip("W1"))
    finding = only(kit, "joint-no-clip")
    assert (finding.severity, finding.where) == ("warns", "joint:W1")
    assert finding.mend == row("Joints", "clip_position", "W1")
    assert water(kit).torque_text() == "clip not stated"


def test_fewer_clips_than_joints_are_found():
    kit = resolved(with_position(98, entries=(entry(1, "CLIP", 1),)))
    finding = only(kit, "clip-missing")
    assert (finding.severity, finding.where, finding.mend) == (
        "blocks", "position:98", row("Entries", "quantity", 98, 1),
    )  # fmt: skip
    assert "2 joints (W1, W2) take a clip for 16 mm hose of position 98, which has 1." in finding.sentence


@pytest.mark.parametrize("change", [{"size": "13"}, {"clip_kind": "P-clip"}])
def test_a_clip_of_another_size_or_one_that_holds_closes_no_joint(change):
    assert codes(resolved(parts=with_data("CLIP", **change))) == {"clip-missing"}


@pytest.mark.parametrize(
    ("length_mm", "spacing_mm", "count"),
    [(1478, 250, 5), (396, 250, 1), (250, 250, 0), (251, 250, 1), (1000, 250, 3), (100, 300, 0)],
)
def test_a_hose_is_held_by_its_ends_and_by_clips_between_them(length_mm, spacing_mm, count):
    assert holds(length_mm, spacing_mm) == count


def held(*quantities, spacing_mm=250.0):
    """The kit with P-clips for its four hoses of 1,000 mm: two of #6, one each of #8 and #10."""
    sizes = ("#6", "#8", "#10")
    entries = tuple(
        entry(n, f"P{size}", q) for n, (size, q) in enumerate(zip(sizes, quantities, strict=True), 1)
    )
    where = place(99, "Hose clips", *entries, rule="any", hold_spacing_mm=spacing_mm)
    kit = replace(
        KIT, positions=(*KIT.positions, where), steps=(*KIT.steps, step("HOLD", 95, "route", positions=(99,)))
    )
    clips = (part(f"P{size}", "clip", clip_kind="P-clip", size=size) for size in sizes)
    return resolved(kit, parts=(*PARTS, *clips))


def test_hoses_held_often_enough_have_nothing_to_say():
    assert held(6, 3, 3).findings == ()
    assert held(4, 2, 2, spacing_mm=400.0).findings == ()


def test_too_few_p_clips_are_found_by_size():
    finding = only(held(5, 3, 3), "clip-count")
    assert (finding.severity, finding.where, finding.mend) == (
        "warns", "position:99", row("Entries", "quantity", 99, 1),
    )  # fmt: skip
    assert "held every 250 mm, take 6 P-clips; position 99 has 5 of that size" in finding.sentence
    assert len(found(held(5, 2, 2), "clip-count")) == 3


def test_a_size_without_any_clip_is_found_at_the_position():
    kit = held(6, 3, 3)
    assert kit.findings == ()
    bare = with_position(
        99, replace(KIT, positions=(*KIT.positions, place(99, "Clips", rule="any"))), hold_spacing_mm=600.0
    )
    findings = found(resolved(bare), "clip-count")
    assert [(f.where, f.mend) for f in findings] == [("position:99", None)] * 3


def test_a_position_that_is_empty_although_it_must_not_be_is_told_once():
    kit = with_position(98, entries=(entry(1, "CLIP", 2, RIGHT),))
    assert {f.where for f in resolved(kit).findings} == {"position:98"}
    assert codes(resolved(kit)) == {"position-gap"}
