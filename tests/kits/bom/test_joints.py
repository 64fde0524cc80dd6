"""Joints: what they need, what does not mate, and the closed loop."""

import pytest

from kits.bom.catalogue import PortSpec
from kits.bom.joints import loop_break, mismatch, needs

MALE = PortSpec("A", "liquid", "O-ring thread", "#6", "male", "aluminium")
FEMALE = PortSpec("B", "liquid", "O-ring thread", "#6", "female", "aluminium")
LOOP = {10: ["in", "out"], 20: ["in", "out"], 30: ["in", "out"]}
JOINTS = [(10, "out", 20, "in"), (20, "out", 30, "in"), (30, "out", 10, "in")]


def test_a_joint_has_the_torque_and_ring_of_its_size():
    ring, low, high, source = needs(MALE, FEMALE)
    assert (ring, low, high) == ("#6 HNBR", 14, 18)
    assert "memory" in source


def test_steel_on_both_sides_takes_more_torque():
    steel = [PortSpec(p.code, p.role, p.form, p.size, p.gender, "steel") for p in (MALE, FEMALE)]
    assert needs(*steel)[1] == pytest.approx(14 * 1.3)


def test_a_form_without_a_table_gives_no_torque():
    pad = PortSpec("A", "suction", "pad", "#10", "none")
    assert needs(pad, pad)[1] is None


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"size": "#8"}, "#6 does not mate with #8"),
        ({"gender": "male"}, "both ends are male"),
        ({"form": "pad"}, "does not mate with a pad"),
        ({"role": "suction"}, "the liquid side meets the suction side"),
    ],
)
def test_what_does_not_mate_is_said(change, why):
    values = {
        "code": "B",
        "role": "liquid",
        "form": "O-ring thread",
        "size": "#6",
        "gender": "female",
    } | change
    assert why in mismatch(MALE, PortSpec(**values))


def test_mating_ports_have_nothing_to_say():
    assert mismatch(MALE, FEMALE) == ""


def test_a_closed_loop_has_no_break():
    assert loop_break(LOOP, JOINTS) == []


def test_an_open_port_breaks_the_loop_on_both_sides():
    assert loop_break(LOOP, JOINTS[:2]) == [10, 30]


def test_two_separate_loops_are_not_one():
    wetted = {**LOOP, 40: ["in", "out"], 50: ["in", "out"]}
    joints = [*JOINTS, (40, "out", 50, "in"), (50, "out", 40, "in")]
    assert loop_break(wetted, joints) == [40, 50]


def test_a_port_joined_twice_breaks_the_loop():
    assert 10 in loop_break(LOOP, [*JOINTS, (10, "out", 30, "in")])
