"""The Solenne S4: what one option changes, what its notes say, and what stands in its workbook."""

import re
from collections import Counter

import pytest

from kits.bom.joints import table
from tests.kits.exchange.demonstration.world import differing, entries

KIT, HEATER, LINE = "S4-DASH", "S4-WARM", "S4"
WETTED = (
    "compressor",
    "condenser",
    "evaporator",
    "expansion valve",
    "receiver-drier",
    "hose end",
    "water valve",
)
PLUGGED = ("condenser fan", "blower", "controller", "harness", "connector", "pressure switch")

# Written by hand from the cars, not from the program: what changes when the column goes to the other side, the
# roof goes, or the dynamo stays. Position: parts of the first car, parts of the second ("" is nothing).
STEERING = {
    101: ("BM30-200", "BM30-205"),  # bracket on the other side of the engine
    103: ("BM30-251", "BM30-252"),  # longer belt
    104: ("", "BM30-230"),  # idler that keeps it off the steering box
    201: ("BM20-181", "BM20-182"),  # hanger round the wiper link
    220: ("BM50-341", "BM50-342"),  # the other blind hole
    303: ("BM60-113", "BM60-114"),  # far duct over the screen frame's foot
    400: ("DISCHARGE LHD", "DISCHARGE RHD"),
    402: ("LIQUID LHD", "LIQUID RHD"),
    403: ("SUCTION LHD", "SUCTION RHD"),
    404: ("BM50-301 0.9", "BM50-301 1"),
    405: ("BM50-310 7, BM50-311 2", "BM50-310 5, BM50-311 3"),
}
STEERING_STEPS = (
    "BRACKET-L HANGER-L PASS-L ROUTE-DIS-L ROUTE-LIQ-L ROUTE-SUC-L",
    "BRACKET-R IDLER HANGER-R PASS-R ROUTE-DIS-R ROUTE-LIQ-R ROUTE-SUC-R",
)
BODY = {
    202: ("BM20-191", "BM20-192"),  # stay to the cowl, to the screen frame's foot
    206: ("BM80-105 2", "BM80-105 4"),  # rivet nuts
    221: ("BM60-231", "BM60-232"),  # bulkhead felt
    300: ("BM60-101", "BM60-111"),
    301: ("BM60-102", "BM60-112"),
    302: ("BM60-102", "BM60-112"),
    303: ("BM60-103", "BM60-113"),
    314: ("BM90-101", "BM90-102"),  # centre panel
    316: ("BM60-220 2.4", "BM60-220 2.2"),  # duct wrap
    503: ("BM70-021", "BM70-022"),  # control panel under the ash tray, on the tunnel
    600: ("BM90-111", "BM90-113"),  # glovebox liner, map pocket
}
BODY_STEPS = (
    "OUT-GLOVEBOX OUT-ASHTRAY KEEP-TRIM-CP STAY-CP DUCTS-CP CONTROL-CP RUN-CP BACK-DASH-CP",
    "FOUND-TOP OUT-POCKET KEEP-TRIM-TR STAY-TR DUCTS-TR CONTROL-TR RUN-TR BACK-DASH-TR HAND-OVER-TR",
)
ELECTRICS = {
    205: ("BM20-212", "BM20-213"),  # the battery's cable takes the small plug hole
    210: ("BM10-620", "BM10-615"),  # the small heater's hose
    211: ("BM80-122", "BM80-121"),
    501: ("BM70-010", ""),  # no supply is made for 6 V
    505: ("BM70-040", "BM70-041"),  # diode for positive earth
    509: ("BM70-031", "BM70-032"),  # the regulator stays
}
ELECTRICS_STEPS = (
    "FOUND-CHARGE-12 BATTERY-OFF-12 WIRE-CLUTCH-12 WIRE-SUPPLY TEST-SUPPLY TEST-DIODE-12 BATTERY-ON-12 "
    "CHARGE-RUN RUN-FUNCTIONS RUN-CP RUN-IDLE",
    "FOUND-CHARGE-6 BATTERY-OFF-6 WIRE-CLUTCH-6 TEST-DIODE-6 BATTERY-ON-6",
)
PAIRS = {
    "steering": ("TR12L", "TR12R", STEERING, STEERING_STEPS),
    "body": ("CP12L", "TR12L", BODY, BODY_STEPS),
    "electrics": ("CP12R", "CP6R", ELECTRICS, ELECTRICS_STEPS),
}


def fitment(variant):
    return KIT, LINE, variant


def said(text):
    """A part as written above: with the quantity where one is written."""
    return {part.strip() for part in text.split(",") if part.strip()}


def shown(parts, others, wanted):
    """The parts of one car alone, in the form in which they are wanted: bare, or with the quantity."""
    return {
        next((w for w in said(wanted) if w in (name, f"{name} {how}")), f"{name} {how}")
        for name, how in parts - others
    }


@pytest.mark.parametrize("option", PAIRS)
def test_one_option_changes_exactly_these_entries(world, option):
    first, second, expected, _ = PAIRS[option]
    a, b = world.kits[fitment(first)], world.kits[fitment(second)]
    assert differing(a, b) == set(expected)
    one, other = entries(a), entries(b)
    for position, (ours, theirs) in expected.items():
        have, has = one.get(position, frozenset()), other.get(position, frozenset())
        assert shown(have, has, ours) == said(ours), position
        assert shown(has, have, theirs) == said(theirs), position


@pytest.mark.parametrize("option", PAIRS)
def test_one_option_changes_exactly_these_steps(world, option):
    first, second, _, (only_first, only_second) = PAIRS[option]
    a, b = ({step.key for step in world.steps(fitment(v))} for v in (first, second))
    assert a - b == set(only_first.split())
    assert b - a == set(only_second.split())


@pytest.mark.parametrize("option", PAIRS)
def test_the_pair_differs_by_that_one_option(world, option):
    first, second, _, _ = PAIRS[option]
    a, b = (world.fitments[fitment(v)].variant.options for v in (first, second))
    assert {feature for feature in a if a[feature] != b[feature]} == {option}


GOVERNED = re.compile(r"Governed by: ([^.]*(?:\.\d[^.]*)*)\.")


def worst(record):
    """The worst required duty point that was solved."""
    solved = [d for d in record.duties if d.load_w is not None and d.kind == "cruise" and d.required]
    return next((d for d in solved if d.code == record.worst_duty_point), solved[0])


@pytest.mark.parametrize("variant", ["CP12L", "CP12R", "CT12R", "CP6L", "CP6R", "TR12L", "TR12R", "TR6L"])
def test_the_three_numbers_of_a_note_are_those_of_the_sizing(world, variant):
    note, record = world.fitments[fitment(variant)].row.note, world.records[fitment(variant)]
    (governing,) = GOVERNED.findall(note)
    clauses = governing.split(";")
    assert len(clauses) == 3, governing
    duty = worst(record)
    idle = next(d for d in record.duties if d.kind == "idle")
    computed = {
        "load": lambda: f"{duty.load_w / 1000:.1f} kW",
        "capacity": lambda: f"{duty.capacity_w / 1000:.1f} kW",
        "margin": lambda: f"{abs(100 * duty.margin_share):.0f} %",
        "airflow": lambda: f"{duty.airflow_m3_h:.0f} m³/h",
        "battery": lambda: f"{idle.battery_v:.2f} V",
        "6": lambda: f"{world.fitments[fitment(variant)].row.variant.powertrain.system_voltage_v:g} V",
    }
    for clause in clauses:
        name = clause.split()[0]
        assert computed[name]() in clause, (clause, computed[name]())


def used(world):
    """The part numbers that any variant gets of the dash kit, with their part."""
    parts = world.catalogue.kits[KIT].parts
    return {number: parts[number] for number in world.parts_of_kit(KIT)}


def test_every_wetted_air_drain_and_electrical_part_has_its_ports(world):
    on = next(iter(world.kits.values())).on
    without = [
        number
        for number, part in used(world).items()
        if part.kind in (*WETTED, *PLUGGED, "duct", "vent")
        and number not in ("BM70-060", "BM30-240")
        and not part.revision_on(on).ports
    ]
    assert without == []


def test_each_part_kind_with_technical_data_has_them(world):
    on = next(iter(world.kits.values())).on
    kinds = {
        "compressor", "evaporator", "condenser", "condenser fan", "blower", "filter", "duct", "vent", "water valve",
        "expansion valve", "receiver-drier", "pressure switch", "hose", "hose end", "pulley", "bracket", "harness",
        "connector", "insulation", "controller", "O-ring",
    }  # fmt: skip
    found = {part.kind for part in used(world).values()}
    assert kinds <= found
    bare = [n for n, part in used(world).items() if part.kind in kinds and not part.revision_on(on).data]
    assert bare == []


def test_measured_values_say_with_which_instrument(world):
    silent = [
        (sheet, key)
        for sheet, rows in world.rows[LINE].items()
        for key, row in rows.items()
        if row.get("origin_kind") in ("measured", "weighed")
        and not (
            row["origin_instrument"] and row["origin_uncertainty"] and row["origin_by"] and row["origin_on"]
        )
        and _is_ours(world, sheet, row)
    ]
    assert silent == []


def _is_ours(world, sheet, row):
    """Shared rows of the other lines stand in the same tables."""
    if "kit" in row:
        return str(row["kit"]) in (KIT, HEATER)
    if "part_number" in row:
        return str(row["part_number"]) in {*world.parts_of_kit(KIT), *world.parts_of_kit(HEATER)}
    return sheet not in ("Duty points", "Bench points", "Kits")


def test_the_diode_stands_the_right_way_round_for_each_polarity(world):
    for key in world.of_line(LINE):
        bands = {wire.diode_band for wire in world.kits[key].wires} - {""}
        earth = world.fitments[key].row.variant.powertrain.positive_earth
        assert bands == {"to" if earth else "from"}, key


def test_each_refrigerant_joint_has_its_ring_and_its_torque(world):
    rings = {str(size) for form in table()["form"].values() for size in form["sizes"]}
    for key in world.of_line(LINE):
        joints = [j for j in world.kits[key].joints if j.family == "refrigerant"]
        assert len(joints) == 11, key
        assert all(j.o_ring and j.torque_low_nm for j in joints), key
        assert {j.size for j in joints} <= rings


def test_rules_of_its_markets_carry_their_source(world):
    rules = [row for row in world.rows[LINE]["Market rules"].values() if row["market"] in ("home", "US")]
    assert len(rules) >= 3
    assert all(row["source"] for row in rules)
    assert any("2006/40/EC" in row["source"] and row["above_gwp"] == 150 for row in rules)
    assert any("from memory" in row["source"] for row in rules)


def test_one_part_has_one_preferred_supplier_and_a_price(world):
    bought = {
        str(row["part_number"]): row
        for row in world.rows[LINE]["Supplier parts"].values()
        if row["preferred"] and str(row["part_number"]) in used(world)
    }
    priced = Counter(str(row["part_number"]) for row in world.rows[LINE]["Prices"].values())
    assert len(bought) >= 30
    assert all(priced[number] for number in bought)
