"""A small kit without a fault, in an invented car, and ways to put one fault into it."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from kits.bom.catalogue import (
    BranchSpec,
    CircuitSpec,
    EntrySpec,
    HoseRunSpec,
    JointSpec,
    KitSpec,
    LineSpec,
    Measured,
    OriginalSpec,
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
from tests.kits.bom.asked_steps import answering
from vehicles.physics.origin import Kind, Origin
from vehicles.records.terms import Terms

ON = date(2026, 6, 1)
ANY = Terms()
LEFT = Terms(only=(("steering", frozenset({"left"})),))
RIGHT = Terms(only=(("steering", frozenset({"right"})),))
CAR = VariantSpec("L", "lhd", "Left car", {"steering": "left"}, positive_earth=False)
RIGHT_CAR = VariantSpec("L", "rhd", "Right car", {"steering": "right"}, positive_earth=False)
TAPED = Origin(Kind.MEASURED, source="tape", by="AB", on=date(2026, 5, 1))
CHARGE = Measured(620, Origin(Kind.WEIGHED), "", 25)


def part(number, kind="bracket", *, name="", unit="pc", maturity="released", structure=(), ports=(), **data):
    """A part with one revision."""
    edges = tuple(StructureSpec(i, child, Decimal(q)) for i, (child, q) in enumerate(structure, 1))
    revision = RevisionSpec("A", maturity, structure=edges, ports=tuple(ports), data=data)
    return PartSpec(
        number=number,
        name=name or f"Part {number}",
        kind=kind,
        unit=unit,
        supply="buy",
        revisions=(revision,),
    )


def thread(code, role, size, gender, material="aluminium"):
    """A port with an O-ring thread."""
    return PortSpec(code, role, "O-ring thread", size, gender, material)


def pad(code, role, size, gender):
    """A port with a pad."""
    return PortSpec(code, role, "pad", size, gender, "aluminium")


def end(number, role, size, *more):
    """A hose end with its nut and tail."""
    ports = (thread("NUT", role, size, "female"), PortSpec("TAIL", role, "hose tail", size, "male"), *more)
    return part(number, "hose end", ports=ports, size=size, adds_mm=30.0, ferrule_family="thin")


def hose(number, size):
    """Hose by the metre."""
    return part(
        number,
        "hose",
        unit="m",
        size=size,
        bore_mm=8.0,
        wall_family="thin",
        bend_radius_mm=60.0,
        barrier=True,
    )


PARTS = (
    part(
        "COMP",
        "compressor",
        ports=(thread("D", "discharge", "#8", "male"), thread("S", "suction", "#10", "male")),
        electric=False,
        supply_voltage_v=12.0,
        oil="PAG 46",
        oil_family="pag",
        oil_grade=46,
    ),
    part(
        "COND",
        "condenser",
        ports=(thread("IN", "discharge", "#8", "male"), thread("OUT", "liquid", "#6", "male")),
    ),
    part(
        "DRIER",
        "receiver-drier",
        ports=(thread("IN", "liquid", "#6", "male", "steel"), thread("OUT", "liquid", "#6", "male", "steel")),
        upright=True,
    ),
    part(
        "VALVE",
        "expansion valve",
        ports=(
            thread("LIQ", "liquid", "#6", "male"),
            thread("SUC", "suction", "#10", "male"),
            pad("TOCOIL", "liquid", "#6", "female"),
            pad("FROMCOIL", "suction", "#10", "female"),
        ),
    ),
    part(
        "COIL",
        "evaporator",
        ports=(pad("COILIN", "liquid", "#6", "male"), pad("COILOUT", "suction", "#10", "male")),
    ),
    part("PAN", "trim", ports=(PortSpec("DRAIN", "drain", "hose tail", "14", "male"),)),
    part(
        "UNIT",
        "assembly",
        structure=(("VALVE", 1), ("COIL", 1), ("PAN", 1), ("PR6", 1), ("PR10", 1), ("SCREW", 6)),
    ),
    part("SCREW", "fastener"),
    part("BR-L"),
    part("BR-R"),
    *(hose(f"HOSE{n}", f"#{n}") for n in (6, 8, 10)),
    end("E6", "liquid", "#6"),
    end("E8", "discharge", "#8"),
    end("E8S", "discharge", "#8", PortSpec("HIGH", "service high", "service port", "16", "male", "aluminium")),
    end("E10", "suction", "#10"),
    end("E10S", "suction", "#10", PortSpec("LOW", "service low", "service port", "13", "male", "aluminium")),
    *(part(f"R{n}", "O-ring", size=f"#{n}", rubber="HNBR") for n in (6, 8, 10)),
    *(part(f"PR{n}", "O-ring", size=f"pad #{n}", rubber="HNBR") for n in (6, 10)),
    part("HARN", "harness"),
    part("DHOSE", "consumable", ports=(PortSpec("TOP", "drain", "hose tail", "14", "female"),)),
    part(
        "WVALVE",
        "water valve",
        ports=(
            PortSpec("WIN", "water in", "beaded", "16", "none", "brass"),
            PortSpec("WOUT", "water out", "beaded", "16", "none", "brass"),
        ),
    ),
    part("CLIP", "clip", clip_kind="ear", size="16"),
    part("OIL", "oil", name="Oil by the tin", unit="ml", oil_family="pag", oil_grade=46),
    part(
        "SWITCH",
        "pressure switch",
        ports=(
            thread("P", "liquid", "10", "female", "brass"),
            PortSpec("EL", "electrical", "connector", "6.3", "male"),
        ),
        low_cut_out_bar_g=2.0,
        fan_on_bar_g=15.0,
        high_cut_out_bar_g=28.0,
        high_reset_bar_g=22.0,
    ),
)  # fmt: skip


def entry(number, name, quantity=1, terms=ANY, **more):
    """An entry of a position."""
    return EntrySpec(number=number, part=name, quantity=Decimal(quantity), terms=terms, **more)


def run(route, hose_number, end_a, end_b, service_port=""):
    """A hose run for all cars."""
    return HoseRunSpec(
        number=1, route=route, rock_mm=0, hose=hose_number, end_a=end_a, end_b=end_b, clocking_deg=90,
        slack_share=0.025, slack_min_mm=25, sleeve="", service_port=service_port, crimp_place="works",
        tag=f"H-{route}", terms=ANY, tightest_bend_mm=80.0,
    )  # fmt: skip


def place(number, name, *entries, zone="front", bag="1", role="", rule="exactly one", runs=(), **more):
    """A position."""
    return PositionSpec(
        number=number, name=name, zone=zone, bag=bag, role=role, rule=rule, entries=tuple(entries),
        hose_runs=tuple(runs), **more,
    )  # fmt: skip


def circuit(number, start, end, **more):
    """A black wire from (connector, cavity) to (connector, cavity)."""
    return CircuitSpec(
        number=number, from_connector=start[0], from_cavity=start[1], to_connector=end[0], to_cavity=end[1],
        colour="black", section_mm2=1.0, seal="", current_a=3.6, **more,
    )  # fmt: skip


CIRCUITS = (
    circuit(
        1, ("relay", "87"), ("clutch", "1"), length_mm=900, terminal="6.3", fuse_a=10.0, diode_band="from",
        leads_to="other",
    ),
    circuit(2, ("clutch", "2"), ("stud", "1"), length_mm=300, terminal="ring", fuse_a=None, branch=1, leads_to="earth"),
)  # fmt: skip
POSITIONS = (
    place(10, "Compressor", entry(1, "COMP"), role="compressor"),
    place(20, "Condenser", entry(1, "COND")),
    place(30, "Receiver-drier", entry(1, "DRIER")),
    place(40, "Dash unit", entry(1, "UNIT"), bag="2"),
    place(50, "Bracket", entry(1, "BR-L", 2, LEFT), entry(2, "BR-R", 2, RIGHT)),
    place(60, "Discharge hose", runs=(run("DIS", "HOSE8", "E8S", "E8", "high side"),)),
    place(61, "Condenser hose", runs=(run("CON", "HOSE6", "E6", "E6"),)),
    place(62, "Liquid hose", runs=(run("LIQ", "HOSE6", "E6", "E6"),)),
    place(63, "Suction hose", runs=(run("SUC", "HOSE10", "E10", "E10S", "low side"),)),
    place(70, "O-rings #6", entry(1, "R6", 4)),
    place(71, "O-rings #8", entry(1, "R8", 2)),
    place(72, "O-rings #10", entry(1, "R10", 2)),
    place(73, "Spare screws", entry(1, "SCREW", "2.5"), rule="any"),
    place(80, "Harness", entry(1, "HARN"), circuits=CIRCUITS, branches=(BranchSpec(1, "DIS", "braid"),)),
    place(90, "Drain hose", entry(1, "DHOSE")),
    place(95, "Water valve", entry(1, "WVALVE")),
    place(96, "Heater hose of the car", rule="any"),
    place(98, "Water hose clips", entry(1, "CLIP", 2)),
    place(97, "Oil to add", entry(1, "OIL", 40), role="oil"),
)
REFRIGERANT_JOINTS = (
    JointSpec("J1", 10, "D", 60, "A"),
    JointSpec("J2", 60, "B", 20, "IN"),
    JointSpec("J3", 20, "OUT", 61, "A"),
    JointSpec("J4", 61, "B", 30, "IN"),
    JointSpec("J5", 30, "OUT", 62, "A"),
    JointSpec("J6", 62, "B", 40, "LIQ"),
    JointSpec("J7", 40, "SUC", 63, "A"),
    JointSpec("J8", 63, "B", 10, "S"),
    JointSpec("P1", 40, "TOCOIL", 40, "COILIN"),
    JointSpec("P2", 40, "COILOUT", 40, "FROMCOIL"),
)
JOINTS = (
    *REFRIGERANT_JOINTS,
    JointSpec("D1", 40, "DRAIN", 90, "TOP"),
    JointSpec("W1", 95, "WIN", 96, "cut end", 98),
    JointSpec("W2", 95, "WOUT", 96, "cut end to the heater", 98),
)


def step(key, order, kind, text="Do it.", positions=(), joints=(), circuits=(), terms=ANY, **more):
    """A step."""
    return StepSpec(
        key=key, order=order, zone="front", kind=kind, text=text, minutes_min=10, tool="", caution="",
        hold_point=False, photo=False, terms=terms, positions=tuple(positions), joints=tuple(joints),
        circuits=tuple(circuits), **more,
    )  # fmt: skip


def originals(*pairs):
    """What a step does with things of the car."""
    return tuple(OriginalSpec(i, name, fate) for i, (name, fate) in enumerate(pairs, 1))


INVOLVES = frozenset({"refrigerant", "belt", "drier", "water", "wiring"})


def asked(key, order, code, **changes):
    """A step that answers a pattern in full."""
    return answering(step(key, order, ""), code, INVOLVES, **changes)


STEPS = (
    step("FOUND", 10, "as-found"),
    asked("BAT-OFF", 20, "battery-off"),
    step("OUT", 30, "remove", originals=originals(("Grille", "removed"), ("Liner", "removed"))),
    step("KEEP", 40, "keep", originals=originals(("Liner", "kept"))),
    step("BIG", 50, "fit", "{open:1}. Fit {position:10} and {position:50} from {bag:1}.", (10, 20, 50)),
    step(
        "UNIT",
        60,
        "fit",
        "{open:2}. Fit {position:40}; {joint:P1} was made at works.",
        (40, 73),
        ("P1", "P2"),
    ),
    step("WATER", 70, "fit", "Cut {position:95} into {position:96}.", (95, 98), ("W1", "W2")),
    step("DRAIN", 80, "fit", "Push {position:90} on.", (90,), ("D1",)),
    step("LAY", 90, "route", "Lay {position:62}, cut {length:LIQ}.", (60, 61, 62, 63)),
    step("RINGS", 100, "prepare", "Oil the rings.", (70, 71, 72, 97)),
    step("JOIN", 110, "connect", "{joint:J1} to {torque:J1}.", (), ("J1", "J2", "J3", "J6", "J7", "J8")),
    asked("BAG", 115, "drier-open", positions=(30,), minutes_min=2),
    asked("DRIER", 120, "circuit-closed", text="Open the drier.", joints=("J4", "J5"), minutes_min=3),
    step("WIRE", 130, "wire", "Lay and wire.", (80,), (), ((80, 1), (80, 2))),
    step("RING", 140, "test", "Ring it out.", (), (), ((80, 1), (80, 2))),
    asked("PT", 150, "pressure-test"),
    asked("EV", 160, "vacuum"),
    asked("REST", 165, "quiescent"),
    asked("BAT-ON", 170, "battery-on"),
    asked("CH", 180, "charge", text="Fill {charge} of {gas}, {oil}."),
    asked("PRE", 182, "before-start"),
    asked("CR", 184, "charge-running"),
    asked("CD", 186, "charged"),
    asked("SNIFF", 187, "leak-search"),
    asked("RUN", 188, "run"),
    step("BACK", 190, "refit", originals=originals(("grille", "refitted"))),
    asked("ROAD", 195, "road"),
    asked("SNIFF-2", 197, "leak-search-road"),
    step("OVER", 200, "hand over"),
)
SETTINGS = {
    "refrigerant": "R-134a",
    "oil": "PAG 46",
    "oil_family": "pag",
    "oil_grade": 46,
    "oil_ml": 135,
    "low_cut_out_bar_g": 2.0,
    "fan_on_bar_g": 15.0,
    "high_reset_bar_g": 22.0,
    "high_cut_out_bar_g": 28.0,
}
LINE = LineSpec("L", "Line", {"steering": ("left", "right")}, built=(CAR,))
KIT = KitSpec(
    code="K", name="Kit", settings=SETTINGS, positions=POSITIONS, joints=JOINTS, steps=STEPS, lines=(LINE,)
)
LENGTHS = {route: Measured(1000, TAPED) for route in ("DIS", "CON", "LIQ", "SUC")}


def resolved(kit=KIT, parts=PARTS, lengths=LENGTHS, charge=CHARGE, car=CAR, on=ON):
    """The kit resolved for the left car, or with something changed."""
    return resolve(compile_kit(kit, {p.number: p for p in parts}), car, lengths, charge, on)


def with_part(number, parts=PARTS, **changes):
    """The parts with fields of one changed; fields of its revision too."""
    own = {k: v for k, v in changes.items() if k in ("name", "kind", "revisions", "superseded")}
    rest = {k: v for k, v in changes.items() if k not in own}

    def change(p):
        revision = replace(p.revisions[0], **rest)
        return replace(p, **({"revisions": (revision,)} | own))

    return tuple(change(p) if p.number == number else p for p in parts)


def with_data(number, **data):
    """The parts with technical data of one changed."""
    old = next(p for p in PARTS if p.number == number).revisions[0].data
    return with_part(number, data={**old, **data})


def with_ports(number, **changes_by_code):
    """The parts with ports of one changed by code; None takes a port away."""
    ports = next(p for p in PARTS if p.number == number).revisions[0].ports
    changed = [
        replace(port, **(changes_by_code.get(port.code) or {}))
        for port in ports
        if changes_by_code.get(port.code, {}) is not None
    ]
    return with_part(number, ports=tuple(changed))


def with_position(number, kit=KIT, **changes):
    """The kit with a position changed."""
    return replace(
        kit, positions=tuple(replace(p, **changes) if p.number == number else p for p in kit.positions)
    )


def with_step(key, kit=KIT, **changes):
    """The kit with a step changed."""
    return replace(kit, steps=tuple(replace(s, **changes) if s.key == key else s for s in kit.steps))


def without_step(key, kit=KIT):
    """The kit without a step."""
    return replace(kit, steps=tuple(s for s in kit.steps if s.key != key))


def with_setting(**changes):
    """The kit with settings changed."""
    return replace(KIT, settings={**SETTINGS, **changes})


def codes(kit):
    """The codes of all findings."""
    return {finding.code for finding in kit.findings}


def found(kit, code):
    """The findings of one code."""
    return [finding for finding in kit.findings if finding.code == code]


def only(kit, code):
    """The one finding of a kit that has no other: its severity, place and sentence."""
    assert codes(kit) == {code}
    (finding,) = found(kit, code)
    return finding
