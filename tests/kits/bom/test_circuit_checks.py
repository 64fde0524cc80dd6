"""The circuit: one closed loop in the right order, ports that mate, ports that lead nowhere."""

from dataclasses import replace

import pytest

from kits.bom.catalogue import JointSpec, PortSpec
from tests.kits.bom.sample import (
    JOINTS,
    KIT,
    PARTS,
    RIGHT,
    SETTINGS,
    asked,
    codes,
    entry,
    found,
    only,
    part,
    place,
    resolved,
    run,
    step,
    with_data,
    with_part,
    with_ports,
    with_position,
    with_step,
)


def without(*joints):
    """The kit without some joints, which its steps no longer make either."""
    steps = tuple(
        replace(s, joints=tuple(j for j in s.joints if j not in joints), text="Do it.") for s in KIT.steps
    )
    return replace(KIT, joints=tuple(j for j in JOINTS if j.code not in joints), steps=steps)


def rejoined(**changes):
    """The kit with the ends of joints changed."""
    return replace(KIT, joints=tuple(replace(j, **changes.get(j.code, {})) for j in JOINTS))


@pytest.mark.parametrize("code", ["J1", "J4", "J8", "P1"])
def test_a_joint_left_out_opens_the_circuit(code):
    open_circuit = found(resolved(without(code)), "circuit-open")
    assert [f.severity for f in open_circuit] == ["blocks"]
    assert "open" in open_circuit[0].sentence


def test_an_open_circuit_names_its_open_ports():
    (finding,) = found(resolved(without("J1")), "circuit-open")
    assert finding.where == "position:10"
    assert "10 Compressor (D open)" in finding.sentence
    assert "60 Discharge hose (A open)" in finding.sentence


def test_a_drier_before_the_condenser_is_found():
    # all ports of condenser and drier made alike, then their places in the loop changed
    out = next(p for p in PARTS if p.number == "COND").revisions[0].ports[1]
    alike = (out, replace(out, code="IN"))
    parts = with_part("DRIER", ports=alike, parts=with_part("COND", ports=alike))
    swapped = {
        "J2": {"position_b": 30},
        "J3": {"position_a": 30},
        "J4": {"position_b": 20},
        "J5": {"position_a": 20},
    }
    (finding,) = found(resolved(rejoined(**swapped), parts=parts), "circuit-order")
    assert finding.severity == "blocks"
    assert "compressor → receiver-drier → condenser → expansion valve → evaporator" in finding.sentence
    assert finding.where == "position:30"
    assert not found(resolved(), "circuit-order")


def test_a_circuit_without_a_drier_is_found():
    wider = {"J4": {"position_b": 40, "port_b": "LIQ"}}
    kit = rejoined(**wider)
    kit = replace(
        kit,
        joints=tuple(j for j in kit.joints if j.code not in ("J5", "J6")),
        positions=tuple(p for p in kit.positions if p.number not in (30, 62)),
    )
    (finding,) = found(resolved(kit), "circuit-order")
    assert "condenser → expansion valve" in finding.sentence


def test_a_circuit_without_a_compressor_is_found():
    kit = resolved(parts=with_part("COMP", kind="condenser fan"))
    assert [f.where for f in found(kit, "circuit-order")] == ["kit"]


def test_a_pressure_switch_on_the_drier_is_a_side_branch_not_a_break():
    drier = next(p for p in PARTS if p.number == "DRIER").revisions[0].ports
    parts = with_part(
        "DRIER", ports=(*drier, PortSpec("SW", "liquid", "O-ring thread", "10", "male", "steel"))
    )
    ring = part("R10MM", "O-ring", size="10", rubber="HNBR")
    kit = replace(
        KIT,
        positions=(
            *KIT.positions,
            place(31, "Switch", entry(1, "SWITCH")),
            place(74, "Ring", entry(1, "R10MM")),
        ),
        joints=(*JOINTS, JointSpec("J9", 30, "SW", 31, "P")),
        steps=(*KIT.steps, step("SW", 125, "connect", positions=(31, 74), joints=("J9",))),
    )
    made = resolved(kit, parts=(*parts, ring))
    assert made.findings == ()
    assert next(j for j in made.joints if j.code == "J9").torque_text() == "8 to 12 N·m (switch)"
    assert codes(resolved(kit, parts=(*PARTS, ring))) >= {"joint-port", "circuit-open"}


def test_an_end_of_the_wrong_size_does_not_mate():
    kit = resolved(parts=with_ports("E8", NUT={"size": "#6"}))
    (finding,) = found(kit, "joint-mismatch")
    assert (finding.severity, finding.where) == ("blocks", "joint:J2")


def test_brass_on_aluminium_is_noted():
    finding = only(resolved(parts=with_ports("COND", OUT={"material": "brass"})), "joint-material")
    assert (finding.severity, finding.where) == ("notes", "joint:J3")


def test_a_drier_that_lies_is_found():
    finding = only(resolved(parts=with_data("DRIER", upright=False)), "drier-lying")
    assert finding.where == "part:DRIER"


@pytest.mark.parametrize(("number", "code", "side"), [("E8S", "HIGH", "high"), ("E10S", "LOW", "low")])
def test_a_side_without_service_port_is_found(number, code, side):
    kit = resolved(parts=with_ports(number, **{code: None}))
    (finding,) = found(kit, "service-port-missing")
    assert finding.severity == "blocks"
    assert f"{side} side" in finding.sentence


def test_a_second_service_port_on_a_side_is_found():
    kit = with_position(60, hose_runs=(run("DIS", "HOSE8", "E8S", "E8S", "high side"),))
    finding = only(resolved(kit), "service-port-twice")
    assert (finding.severity, finding.where) == ("warns", "position:60")


def test_the_side_of_a_service_port_follows_from_its_part():
    # named neither high nor low: on the suction hose it is the low side
    assert resolved(parts=with_ports("E10S", LOW={"code": "S1"})).findings == ()
    assert resolved(parts=with_ports("E8S", HIGH={"code": "S1"})).findings == ()


@pytest.mark.parametrize(("joint", "position"), [("D1", 40), ("W1", 95)])
def test_a_port_of_water_or_drain_that_leads_nowhere_is_found(joint, position):
    kit = resolved(without(joint))
    assert f"position:{position}" in {f.where for f in found(kit, "port-unjoined")}


def test_an_air_port_that_leads_nowhere_is_found():
    kit = resolved(parts=(*with_part("BR-L", ports=(PortSpec("AIR", "air", "duct spigot", "63", "male"),)),))
    finding = only(kit, "port-unjoined")
    assert (finding.severity, finding.where) == ("warns", "position:50")


def test_a_joint_to_the_car_takes_what_our_end_asks_for():
    water = next(j for j in resolved().joints if j.code == "W1")
    assert water.b == "Heater hose of the car cut end"
    assert water.torque_text() == "ear clip, crimped with pliers: no torque"
    assert (water.family, water.o_ring_text()) == ("water", "no O-ring")


@pytest.mark.parametrize(
    ("number", "severity"), [("COMP", "blocks"), ("COIL", "blocks"), ("E6", "blocks"), ("WVALVE", "warns")]
)
def test_a_part_that_carries_something_needs_ports(number, severity):
    missing = found(resolved(parts=with_part(number, ports=())), "part-no-ports")
    assert {(f.severity, f.where) for f in missing} == {(severity, f"part:{number}")}


def test_an_electrical_part_without_a_plug_is_noted():
    kit = with_position(73, entries=(entry(1, "FAN"),))
    plug = PortSpec("EL", "electrical", "connector", "6.3", "male")
    bare, plugged = (resolved(kit, parts=(*PARTS, part("FAN", "blower", ports=p))) for p in ((), (plug,)))
    assert only(bare, "part-no-plug").severity == "notes"
    assert plugged.findings == ()


def test_two_ports_of_one_name_in_a_position_are_found():
    parts = with_ports("COIL", COILIN={"code": "LIQ"})
    kit = rejoined(P1={"port_b": "LIQ"})
    assert "port-twice" in codes(resolved(kit, parts=parts))
    assert "port-twice" not in codes(resolved())


def test_a_joint_for_a_port_that_is_not_there_is_found():
    (finding,) = found(resolved(rejoined(D1={"port_b": "BOTTOM"})), "joint-port")
    assert (finding.severity, finding.where) == ("blocks", "joint:D1")


def test_a_joint_to_an_empty_position_is_none_of_this_cars():
    kit = with_position(90, rule="at most one", entries=(entry(1, "DHOSE", 1, RIGHT),))
    made = resolved(with_step("DRAIN", kit, text="Do it."))
    assert "D1" not in {j.code for j in made.joints}
    assert "joint-port" not in codes(made)


def test_what_follows_from_a_gap_is_not_told_again():
    # without its compressor the circuit is open and two joints can't be made: one sentence, the gap
    kit = with_step("BIG", with_position(10, entries=(entry(1, "COMP", 1, RIGHT),)), text="{open:1}. Fit it.")
    assert {(f.code, f.where) for f in resolved(kit).findings} == {("position-gap", "position:10")}
    valve = with_step("WATER", with_position(95, entries=(entry(1, "WVALVE", 1, RIGHT),)), text="Fit it.")
    assert codes(resolved(valve)) == {"position-gap"}


def test_a_kit_that_only_heats_needs_no_circuit():
    heating = {40, 50, 73, 80, 90, 95, 96, 98}
    kit = replace(
        KIT,
        settings=SETTINGS,
        positions=tuple(p for p in KIT.positions if p.number in heating),
        joints=tuple(j for j in JOINTS if j.code in ("D1", "W1", "W2")),
        steps=(
            asked("BAT", 10, "battery-off"),
            step(
                "FIT",
                20,
                "fit",
                "{open:1}. {open:2}.",
                (40, 50, 73, 80, 90, 95, 98),
                joints=("D1", "W1", "W2"),
            ),
            step("WIRE", 30, "wire", circuits=((80, 1), (80, 2))),
            step("RING", 40, "test", circuits=((80, 1), (80, 2))),
            asked("REST", 42, "quiescent"),
            asked("BAT-ON", 44, "battery-on"),
            asked("ROAD", 46, "road"),
            step("OVER", 50, "hand over"),
        ),
    )
    parts = tuple(
        replace(p, revisions=(replace(p.revisions[0], structure=p.revisions[0].structure[2:3]),))
        if p.number == "UNIT"
        else p
        for p in PARTS
    )
    assert resolved(kit, parts=parts).findings == ()
