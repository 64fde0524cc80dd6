"""Joints: what they need, what does not mate, and the closed loop."""

from dataclasses import replace

import pytest

from kits.bom.catalogue import PortSpec
from kits.bom.clip_checks import P_CLIP
from kits.bom.joints import eats, loop_break, mismatch, needs, rubbers, table
from kits.parts.works_models import CLIP_KINDS

MALE = PortSpec("A", "liquid", "O-ring thread", "#6", "male", "aluminium")
FEMALE = PortSpec("B", "liquid", "O-ring thread", "#6", "female", "aluminium")
LOOP = {10: ["in", "out"], 20: ["in", "out"], 30: ["in", "out"]}
JOINTS = [(10, "out", 20, "in"), (20, "out", 30, "in"), (30, "out", 10, "in")]


# bands written by hand from common practice (from memory, as the table says)
@pytest.mark.parametrize(
    ("form", "size", "low", "high", "ring", "by"),
    [
        ("O-ring thread", "#6", 14, 18, "#6 HNBR", "nut"),
        ("O-ring thread", "#12", 34, 41, "#12 HNBR", "nut"),
        ("O-ring thread", "10", 8, 12, "10 HNBR", "switch"),
        ("pad", "#6", 8, 10, "pad #6 HNBR", "M6 bolt"),
        ("pad", "#10", 18, 24, "pad #10 HNBR", "M8 bolt"),
        ("beaded", "16", None, None, "", ""),
        ("service port", "16", None, None, "", "cap, by hand"),
    ],
)
def test_a_joint_takes_the_ring_and_torque_of_its_form_and_size(form, size, low, high, ring, by):
    need = needs(replace(MALE, form=form, size=size), replace(FEMALE, form=form, size=size), "R-134a")
    assert (need.torque_low_nm, need.torque_high_nm, need.o_ring, need.by) == (low, high, ring, by)
    assert need.source


@pytest.mark.parametrize(
    ("clip", "low", "high", "by"),
    [
        ("worm drive", 2.5, 3, "worm-drive clip"),
        ("ear", None, None, "ear clip, crimped with pliers: no torque"),
        ("spring", None, None, "spring clip: no torque"),
    ],
)
def test_a_water_hose_on_a_stub_takes_what_its_clip_takes(clip, low, high, by):
    port = replace(MALE, form="beaded", size="16", role="water in")
    need = needs(port, replace(port, role="water out"), "R-134a", clip)
    assert (need.torque_low_nm, need.torque_high_nm, need.o_ring, need.by) == (low, high, "", by)
    assert need.source


def test_each_clip_that_closes_a_hose_is_in_the_table():
    assert {*table()["clip"]["kinds"], P_CLIP} == {kind for kind, _ in CLIP_KINDS}


def test_every_number_of_the_table_has_a_source():
    assert all(form["source"] for form in table()["form"].values())
    assert all(table()[part]["source"] for part in ("rubber", "apart", "clip"))
    assert table()["steel_factor_source"]


def test_steel_on_both_sides_takes_more_torque():
    steel = [replace(p, material="steel") for p in (MALE, FEMALE)]
    assert needs(*steel).torque_low_nm == pytest.approx(14 * 1.3)
    assert needs(steel[0], FEMALE).torque_low_nm == 14


@pytest.mark.parametrize("change", [{"form": "duct spigot"}, {"size": "#4"}])
def test_a_form_or_size_without_a_row_gives_no_torque(change):
    assert needs(replace(MALE, **change), replace(FEMALE, **change)).torque_low_nm is None


def test_a_gas_that_the_table_does_not_know_gets_no_rubber():
    assert rubbers("R-134a") == ("HNBR",)
    assert rubbers("R-0") == ()
    assert needs(MALE, FEMALE, "R-0").o_ring == "#6"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"size": "#8"}, "#6 does not mate with #8"),
        ({"gender": "male"}, "both ends are male"),
        ({"form": "pad"}, "does not mate with a pad"),
        ({"role": "suction"}, "the liquid side meets the suction side"),
        ({"role": "water in"}, "a refrigerant port meets a water port"),
        ({"role": "air"}, "a refrigerant port meets an air port"),
    ],
)
def test_what_does_not_mate_is_said(change, why):
    assert why in mismatch(MALE, replace(FEMALE, **change))


def test_mating_ports_have_nothing_to_say():
    assert mismatch(MALE, FEMALE) == ""
    water = [PortSpec("A", f"water {way}", "beaded", "16", "none") for way in ("in", "out")]
    assert mismatch(*water) == ""


@pytest.mark.parametrize(
    ("one", "other", "bad"),
    [
        ("aluminium", "brass", True),
        ("copper", "aluminium", True),
        ("aluminium", "steel", False),
        ("steel", "brass", False),
        ("aluminium", "aluminium", False),
    ],
)
def test_only_copper_and_brass_eat_aluminium(one, other, bad):
    assert bool(eats(replace(MALE, material=one), replace(FEMALE, material=other))) is bad


def test_a_closed_loop_has_no_break():
    assert loop_break(LOOP, JOINTS) == []
    assert loop_break({}, []) == []


def test_an_open_port_breaks_the_loop_on_both_sides():
    assert loop_break(LOOP, JOINTS[:2]) == [10, 30]


def test_two_separate_loops_are_not_one():
    wetted = {**LOOP, 40: ["in", "out"], 50: ["in", "out"]}
    joints = [*JOINTS, (40, "out", 50, "in"), (50, "out", 40, "in")]
    assert loop_break(wetted, joints) == [40, 50]


def test_a_port_joined_twice_breaks_the_loop():
    assert 10 in loop_break(LOOP, [*JOINTS, (10, "out", 30, "in")])
