"""The Solenne S4: what one option changes, what its notes say, and what stands in its workbook."""

import math
import re
from collections import Counter

import pytest

from kits.bom.joints import table
from kits.bom.resolved import explode
from tests.kits.exchange.demonstration.world import ACCOUNTED, differing, entries, parts_of

pytestmark = pytest.mark.django_db

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
    405: ("BM50-310 5, BM50-311 2", "BM50-310 4, BM50-311 3"),
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
    "RUN-FUNCTIONS RUN-CP RUN-IDLE",
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
    """The part numbers that any variant gets, with their kind."""
    parts = world.catalogue.kits[KIT].parts
    numbers = {number for key in world.of_line(LINE) for number in parts_of(world.kits[key])}
    return {number: parts[number] for number in numbers}


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
        return str(row["part_number"]) in {*used(world), *heater_parts(world)}
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


HEATED = {
    # car: verdict, margin, heat lost and given at 60 km/h and −5 °C, W
    "CP6R": ("strong enough", 0.71, 2400, 4100),
    "CP6L": ("strong enough", 0.71, 2400, 4100),
    "TR6L": ("strong enough", 0.23, 3400, 4100),
}


def heated(world, variant):
    return world.heaters[HEATER, LINE, variant]


def heater_parts(world):
    """The part numbers that any car gets of the heater kit, with their part."""
    parts = world.catalogue.kits[HEATER].parts
    numbers = {row.item.part for variant in HEATED for row in explode(heated(world, variant).kit)}
    return {number: parts[number] for number in numbers}


@pytest.mark.parametrize("variant", HEATED)
def test_the_heater_kit_is_judged_by_its_required_winter_points(world, variant):
    record = heated(world, variant).record
    verdict, margin, lost_w, given_w = HEATED[variant]
    worst = next(d for d in record.duties if d.code == record.worst_duty_point)
    assert (record.verdict, worst.code) == (verdict, "winter-cruise")
    assert record.margin_share == pytest.approx(margin, abs=0.005)
    assert (worst.load_w, worst.capacity_w) == (
        pytest.approx(lost_w, abs=50),
        pytest.approx(given_w, abs=50),
    )
    assert record.missing == ()


def in_town(world, variant):
    """The winter point at 30 km/h, where the air outside takes what the U of a wall is given for."""
    return next(d for d in heated(world, variant).record.duties if d.code == "winter-town")


def dry_air_kg_s(airflow_m3_h, air_c):
    return airflow_m3_h / 3600 * 101325 / (287.05 * (273.15 + air_c))


# U·A of what looks outside, W/K, from the areas of the sheet: glass, canvas, walls
WALLS_W_K = {"CP6R": 11.54 + 16.62, "CP6L": 11.54 + 16.62, "TR6L": 9.38 + 10.64 + 9.48}


@pytest.mark.parametrize("variant", HEATED)
def test_what_the_cabin_loses_is_what_a_sum_by_hand_says(world, variant):
    town = in_town(world, variant)
    # fresh from −5 to 20 °C: the blower moves more than leaks in at 30 km/h
    fresh_w = dry_air_kg_s(town.airflow_m3_h, -5) * 1006 * 25
    assert town.sensible_w_by_term["fresh_air"] == pytest.approx(fresh_w, rel=0.01)
    # the driver gives 104 W back, tunnel and pipe floor some 20 W
    lost_w = 25 * WALLS_W_K[variant] + fresh_w - 104 - 20
    assert town.load_w == pytest.approx(lost_w, rel=0.01)


def test_at_speed_a_tourer_loses_more_by_its_curtains_than_the_blower_moves(world):
    tourer, coupe = (
        next(d for d in heated(world, variant).record.duties if d.code == "winter-cruise")
        for variant in ("TR6L", "CP6L")
    )
    leaks_m3_h = 245 * 60 / 50  # measured at 50 km/h, in proportion to speed
    assert tourer.sensible_w_by_term["fresh_air"] == pytest.approx(
        dry_air_kg_s(leaks_m3_h, -5) * 1006 * 25, rel=0.01
    )
    assert coupe.airflow_m3_h == tourer.airflow_m3_h < leaks_m3_h


@pytest.mark.parametrize("variant", HEATED)
def test_what_the_matrix_gives_follows_its_rated_points(world, variant):
    town = in_town(world, variant)
    # rated at 0 °C, 200 m³/h, 8 l/min and 90 K; half the water and three quarters of the air are rated too
    with_air = math.log(4050 / 3350) / math.log(200 / 150)
    with_water = math.log(4050 / 3550) / math.log(8 / 4)
    share = dry_air_kg_s(town.airflow_m3_h, -5) / dry_air_kg_s(200, 0)
    given_w_k = 4050 / 90 * share**with_air * (7 / 8) ** with_water
    assert town.coolant_c == (90 if variant == "TR6L" else 89)
    assert town.capacity_w == pytest.approx(given_w_k * (town.coolant_c + 5), rel=0.02)
    assert town.margin_share == pytest.approx(town.capacity_w / town.load_w - 1)


@pytest.mark.parametrize("variant", HEATED)
def test_the_air_of_the_heater_kit_is_as_warm_as_its_last_step_asks(world, variant):
    held = heated(world, variant)
    run = next(step for step in held.kit.steps if step.key == "RUN-HEAT")
    outlets = [r for r in run.readings if r.name.endswith("outlet")]
    assert len(outlets) == 3
    for duty in held.record.duties:
        assert all(r.low < duty.vent_c < r.high for r in outlets), duty.code


@pytest.mark.parametrize("variant", HEATED)
def test_the_numbers_of_a_heaters_note_are_those_of_the_sizing(world, variant):
    held = heated(world, variant)
    note, duties = held.fitment.row.note, {d.code: d for d in held.record.duties}
    worst, idle = duties["winter-cruise"], duties["winter-idle"]
    assert note.lower().startswith(held.record.verdict)
    assert f"{worst.load_w / 1000:.1f} kW" in note
    assert f"{worst.capacity_w / 1000:.1f} kW" in note
    assert f"margin {100 * worst.margin_share:.0f} %" in note
    if variant == "CP6R":
        assert f"it would hold {worst.holds_c:.0f} °C" in note
        assert f"At idle {idle.capacity_w / 1000:.1f} kW against {idle.load_w / 1000:.1f} kW" in note
        assert 0.7 < worst.sensible_w_by_term["fresh_air"] / worst.load_w < 0.8, "three quarters"


@pytest.mark.parametrize("variant", HEATED)
def test_a_dynamo_that_idles_at_night_is_all_that_the_heater_kit_is_warned_of(world, variant):
    held = heated(world, variant)
    told = {r.code: r.sentence for t in held.record.topics for r in t.remarks if r.severity != "notes"}
    # nobody has read the hot idle of the twin carburettors, so that nothing can be said of its battery
    assert set(told) == (set() if variant == "TR6L" else {"battery-idle"})
    if variant == "CP6R":
        assert "at night 6.04 V" in told["battery-idle"]
        assert "the battery is at 6.04 V" in held.fitment.row.note


@pytest.mark.parametrize("variant", HEATED)
def test_neither_six_volts_nor_positive_earth_keep_the_heater_kit_out(world, variant):
    held = heated(world, variant)
    assert held.fitment.row.variant.powertrain.positive_earth
    assert "supply" not in {c.code for d in held.record.duties for c in d.criteria}
    severity = {r.code: r.severity for t in held.record.topics for r in t.remarks}
    assert severity["convert-electrics"] == "notes"


@pytest.mark.parametrize("variant", HEATED)
def test_the_heater_kit_brings_no_refrigerant_and_lacks_nothing(world, variant):
    kit = heated(world, variant).kit
    assert kit.heats_only
    assert (kit.charge.charge_g, kit.charge.oil, kit.hoses) == (None, "", ())
    assert kit.findings == ()
    assert not [row.item.part for row in explode(kit) if row.item.part.startswith("BM80-0")]


def test_the_steps_of_the_heater_kit_put_back_or_keep_whatever_they_take(world):
    kit = heated(world, "CP6R").kit
    made = {code for step in kit.steps for code in step.joints}
    assert made == {joint.code for joint in kit.joints}
    things = [thing for step in kit.steps for thing in step.originals]
    taken = {thing.name for thing in things if thing.fate == "removed"}
    assert taken == {thing.name for thing in things if thing.fate in ACCOUNTED}


def test_the_heater_kit_opens_the_water_cold_and_wires_with_the_battery_off(world):
    order = (
        "BATTERY-OFF", "OUT-COOLANT", "OUT-HEATER", "UNIT", "WATER", "HARNESS", "FILL", "BATTERY-ON", "RUN-HEAT",
        "HAND-OVER",
    )  # fmt: skip
    for variant in HEATED:
        steps = {step.key: step for step in heated(world, variant).kit.steps}
        assert [key for key in steps if key in order] == list(order)
        for key in ("OUT-COOLANT", "OUT-HEATER", "FILL"):
            assert "let the engine cool" in steps[key].caution, key


def test_each_part_of_the_heater_kit_has_the_data_of_its_kind(world):
    on = heated(world, "CP6R").kit.on
    kinds = {
        "blower", "heater matrix", "water valve", "duct", "vent", "hose", "bracket", "harness", "controller",
    }  # fmt: skip
    parts = heater_parts(world)
    assert kinds <= {part.kind for part in parts.values()}
    assert [n for n, part in parts.items() if part.kind in kinds and not part.revision_on(on).data] == []
    wet_or_wired = ("heater matrix", "water valve", "hose", "duct", "vent", "blower", "harness", "controller")
    assert [n for n, p in parts.items() if p.kind in wet_or_wired and not p.revision_on(on).ports] == []


def test_what_is_bought_for_the_heater_kit_alone_has_a_supplier_and_a_price(world):
    others = {part for key in world.kits for part in parts_of(world.kits[key])}
    suppliers, prices = (
        {str(row["part_number"]) for row in world.rows[LINE][sheet].values()}
        for sheet in ("Supplier parts", "Prices")
    )
    bought = {n for n, part in heater_parts(world).items() if part.supply == "buy" and n not in others}
    assert len(bought) == 7
    assert bought <= suppliers & prices
