"""The Morva 220: what one option changes, car by car, and what its verdicts and notes say."""

import math
import re

import pytest

from kits.fitment.bridge import case_of
from tests.kits.exchange.demonstration.world import differing, entries, parts_of

KIT, LINE = "M220-UNDER", "M220"
# The database is only set up for a run in which some test asks for it.

# Written by hand from the cars, not from the program. Position: what the first car alone has, what the second
# car alone has; a part with its quantity, a hose by its tag; "" is nothing.
CAB = {
    223: ("BM61-251 1", "BM61-252 1"),  # heat mat, longer with the second row
    304: ("", "BM61-104 1"),  # duct along the tunnel
    305: ("", "BM21-126 1"),  # the unit's fifth outlet is opened
    314: ("", "BM61-203 1"),  # vent for the second row
    315: ("BM60-210 8", "BM60-210 10"),  # two clamps more
    316: ("BM60-220 1.2", "BM60-220 2.5"),  # wrap for the long duct
    317: ("BM91-121 1", "BM91-122 1"),  # console that carries it
}
CAB_STEPS = (
    "CONSOLE-SC",
    "KNOCK-OUT REAR-DUCT RUN-REAR CONSOLE-CC HAND-OVER-CC",
)
STEERING_HEATED = {
    201: ("BM21-181 1", "BM21-182 1"),  # hanger past the handbrake pull, past the clutch cable
    212: ("BM11-625 1", "BM11-626 1"),  # the valve is on the passenger's side
    220: ("BM51-341 1", "BM51-342 1"),  # the other blind hole
    402: ("M220 LIQUID LHD", "M220 LIQUID RHD"),
    403: ("M220 SUCTION LHD", "M220 SUCTION RHD"),
    404: ("BM50-301 1.5", "BM50-301 1.1"),  # the suction hose goes round the bulkhead on the left
    405: ("BM50-310 5, BM50-312 6", "BM50-310 7, BM50-312 4"),
    600: ("BM91-111 1", "BM91-112 1"),  # knee panel
}
STEERING_STEPS = (
    "HANGER-L ROUTE-LIQ-L ROUTE-SUC-L",
    "HANGER-R ROUTE-LIQ-R ROUTE-SUC-R",
)
HEATER_RIGHT = {
    203: ("BM21-195 1", ""),  # drop plate below the car's heater
    204: ("BM21-125 1", ""),  # lid on the unit's heater slot
    208: ("BM80-101 10", "BM80-101 6"),  # four bolts for the drop plate
    209: ("BM10-620 1", ""),  # valve in the car's hose
    210: ("", "BM21-160 1"),  # heater cassette
    211: ("", "BM10-620 1"),  # valve between our hoses
    213: ("", "BM11-630 1"),  # take-offs of the engine
    214: ("", "BM51-016 0.7"),
    215: ("", "BM51-016 0.65"),
    216: ("", "BM51-016 1.3"),
    217: ("BM80-122 2", "BM80-122 6"),  # two ends of a valve, six of three hoses
    218: ("", "BM51-350 2"),  # grommets
    219: ("", "BM81-050 1500"),  # coolant
    222: ("BM80-130 1.5", "BM80-130 2"),  # cord round the grommets
}
HEATER_STEPS = (
    "FOUND-HEATER OUT-HEATER LID DROP WATER-HD FILL-HD RUN-WATER-HD",
    "FOUND-BOSSES OUT-PLUGS KEEP-PLUGS CASSETTE TAKE-OFFS HEATER-HOSES FILL-HN RUN-WATER-HN",
)
PAIRS = {
    "cab, left, heated": ("cab", "SLH", "CLH", CAB, CAB_STEPS),
    "cab, right, heated": ("cab", "SRH", "CRH", CAB, CAB_STEPS),
    "cab, left, no heater": ("cab", "SLN", "CLN", CAB, CAB_STEPS),
    "cab, right, no heater": ("cab", "SRN", "CRN", CAB, CAB_STEPS),
    "steering, single": ("steering", "SLH", "SRH", STEERING_HEATED, STEERING_STEPS),
    "steering, crew": ("steering", "CLH", "CRH", STEERING_HEATED, STEERING_STEPS),
    "heater, single": ("heater", "SRH", "SRN", HEATER_RIGHT, HEATER_STEPS),
    "heater, crew": ("heater", "CRH", "CRN", HEATER_RIGHT, HEATER_STEPS),
}
VERDICTS = {
    "SRH": "strong enough",  # as it came out of its trial
    "SLH": "strong enough",
    "SRN": "marginal",  # the same margin, without a trial
    "SLN": "marginal",
    "CLH": "not enough",  # seven panes and twice the roof
    "CRH": "not enough",
    "CLN": "not enough",
    "CRN": "not sized",  # no car has been measured
}
SIZED = [variant for variant, verdict in VERDICTS.items() if verdict != "not sized"]
GOVERNED = re.compile(r"Governed by: ([^.]*(?:\.\d[^.]*)*)\.")


def fitment(variant):
    return KIT, LINE, variant


def said(text):
    return {part.strip() for part in text.split(",") if part.strip()}


def alone(parts, others):
    """What one car alone has at a position: a part with its quantity, a hose by its tag."""
    return {name if name.startswith("M220 ") else f"{name} {how}" for name, how in parts - others}


@pytest.mark.parametrize("pair", PAIRS)
def test_the_pair_differs_by_that_one_option(world, pair):
    option, first, second, _, _ = PAIRS[pair]
    a, b = (world.fitments[fitment(v)].variant.options for v in (first, second))
    assert {feature for feature in a if a[feature] != b[feature]} == {option}


def test_every_pair_that_differs_by_one_option_is_written_down(world):
    keys = world.of_line(LINE)
    options = {key[2]: world.fitments[key].variant.options for key in keys}
    close = {
        frozenset((a, b))
        for a in options
        for b in options
        if sum(options[a][f] != options[b][f] for f in options[a]) == 1
    }
    assert close == {frozenset((first, second)) for _, first, second, _, _ in PAIRS.values()}


@pytest.mark.parametrize("pair", PAIRS)
def test_one_option_changes_exactly_these_entries(world, pair):
    _, first, second, expected, _ = PAIRS[pair]
    a, b = world.kits[fitment(first)], world.kits[fitment(second)]
    assert differing(a, b) == set(expected)
    one, other = entries(a), entries(b)
    for position, (ours, theirs) in expected.items():
        have, has = one.get(position, frozenset()), other.get(position, frozenset())
        assert (alone(have, has), alone(has, have)) == (said(ours), said(theirs)), position


@pytest.mark.parametrize("pair", PAIRS)
def test_one_option_changes_exactly_these_steps(world, pair):
    _, first, second, _, (only_first, only_second) = PAIRS[pair]
    a, b = ({step.key for step in world.steps(fitment(v))} for v in (first, second))
    assert a - b == set(only_first.split())
    assert b - a == set(only_second.split())


def test_the_filter_in_the_nose_moves_what_stands_before_the_core(world):
    # no pair of built cars differs by the filter alone: those with it in the nose never had a heater
    a, b = world.kits[fitment("SRN")], world.kits[fitment("SLN")]
    assert differing(a, b) - set(STEERING_HEATED) == {111, 112, 118, 120, 121, 214, 216, 400, 401}
    for variant in VERDICTS:
        in_nose = world.fitments[fitment(variant)].variant.options["air filter"] == "nose"
        keys = {step.key for step in world.steps(fitment(variant))}
        assert ({"FOUND-FILTER", "OUT-FILTER", "KEEP-FILTER", "FILTER-MOVE"} <= keys) == in_nose


@pytest.mark.parametrize("variant", VERDICTS)
def test_each_variant_has_the_verdict_its_note_explains(world, variant):
    verdict = VERDICTS[variant]
    assert world.records[fitment(variant)].verdict == verdict
    assert world.fitments[fitment(variant)].row.note.lower().startswith(verdict)


@pytest.mark.parametrize("variant", SIZED)
def test_the_three_numbers_of_a_note_are_those_of_the_sizing(world, variant):
    note, record = world.fitments[fitment(variant)].row.note, world.records[fitment(variant)]
    (governing,) = GOVERNED.findall(note)
    load, capacity, margin = (clause.strip() for clause in governing.split(";"))
    worst = next(duty for duty in record.duties if duty.code == record.worst_duty_point)
    assert load.startswith(f"load {worst.load_w / 1000:.1f} kW at 80 km/h")
    assert capacity.startswith(f"capacity {worst.capacity_w / 1000:.1f} kW, held by the freeze control")
    assert margin.startswith(f"margin {abs(100 * worst.margin_share):.0f} %")
    assert ("short" in margin) == (worst.margin_share < 0)
    assert (worst.kind, worst.limit) == ("cruise", "freeze")


def test_a_trial_lowers_the_reserve_and_hardly_moves_the_prediction(world):
    assert [world.fitments[fitment(v)].row.calibrated for v in ("SRH", "SLH", "SRN")] == [True, True, False]
    for variant in ("SRH", "SLH"):
        key = fitment(variant)
        case, _ = case_of(world.fitments[key], world.kits[key])
        found = case.plant.air_path.calibration
        assert found.system_factor == pytest.approx(1, abs=0.05)
        assert found.blower_factor == pytest.approx(1, abs=0.05)
        # strong enough by the smaller reserve alone
        assert 0.10 < world.records[key].margin_share < 0.20


def test_the_kits_own_heater_matrix_costs_air_and_margin(world):
    with_own, with_ours = (world.records[fitment(v)] for v in ("SRH", "SRN"))
    (one,), (other,) = ([d for d in r.duties if d.code == "cruise-35"] for r in (with_own, with_ours))
    assert 0.03 < 1 - other.airflow_m3_h / one.airflow_m3_h < 0.08
    assert other.margin_share < one.margin_share


WINTER = {
    # car: heat lost and given at 60 km/h and −5 °C, W, margin; U·A of glass and walls by hand, W/K
    "SRN": (2190, 4650, 1.13, 10.64 + 16.03),
    "SLN": (2190, 4650, 1.13, 10.64 + 16.03),
    "CLN": (2550, 4710, 0.85, 15.12 + 25.67),
}


def in_winter(world, variant):
    return {d.code: d for d in world.records[fitment(variant)].duties if d.is_heating}


def test_winter_is_judged_where_the_kit_brings_the_heater_and_nowhere_else(world):
    for variant in SIZED:
        asked = {"winter-cruise": True, "winter-idle": False} if variant in WINTER else {}
        assert {code: d.required for code, d in in_winter(world, variant).items()} == asked, variant


@pytest.mark.parametrize("variant", WINTER)
def test_the_heater_is_strong_enough_and_summer_governs_the_verdict(world, variant):
    lost_w, given_w, margin, _ = WINTER[variant]
    cruise = in_winter(world, variant)["winter-cruise"]
    assert cruise.verdict == "strong enough"
    assert (cruise.load_w, cruise.capacity_w) == (
        pytest.approx(lost_w, abs=10),
        pytest.approx(given_w, abs=10),
    )
    assert cruise.margin_share == pytest.approx(margin, abs=0.005)
    assert world.records[fitment(variant)].worst_duty_point == "cruise-35"


@pytest.mark.parametrize("variant", WINTER)
def test_what_the_cab_loses_and_the_matrix_gives_is_what_a_sum_by_hand_says(world, variant):
    cruise = in_winter(world, variant)["winter-cruise"]
    # the open flap lets in 180 m³/h of what the blower moves; the rest is the cab's own 20 °C
    mixed_c = 20 - 25 * 180 / cruise.airflow_m3_h
    assert cruise.air_in_c == pytest.approx(mixed_c, abs=0.1)
    kg_m3 = 101325 / (287.05 * (273.15 + mixed_c))
    fresh_w = 180 / 3600 * kg_m3 * 1006 * 25
    # the driver gives 104 W back; at 60 km/h the walls lose a little more than their U says
    assert cruise.load_w == pytest.approx(25 * WINTER[variant][3] + fresh_w - 104, rel=0.02)
    # rated at 0 °C, 300 m³/h, 90 K and the 8 l/min that this engine gives; two thirds of the air are rated too
    with_air = math.log(5200 / 3900) / math.log(300 / 200)
    share = cruise.airflow_m3_h / (273.15 + mixed_c) / (300 / 273.15)
    assert cruise.coolant_c == 86
    assert cruise.capacity_w == pytest.approx(5200 / 90 * share**with_air * (86 - mixed_c), rel=0.03)


def test_every_duty_point_of_a_measured_car_is_solved(world):
    for variant in SIZED:
        for duty in world.records[fitment(variant)].duties:
            solved = ("heating",) if duty.is_heating else ("full", "freeze-limited")
            assert duty.status in solved, (variant, duty.code)


def test_the_car_that_is_not_surveyed_names_what_is_missing(world):
    key = fitment("CRN")
    assert world.fitments[key].row.variant.to_be_surveyed
    assert {f.where for f in world.kits[key].blocking} == {"length:LIQ-R", "length:SUC-R", "charge"}
    assert any(gap.where == "length:SUC-R" for gap in world.records[key].missing)


def test_nothing_else_of_the_line_is_left_to_mend(world):
    for key in world.of_line(LINE):
        if key != fitment("CRN"):
            found = [f.sentence for f in world.kits[key].findings if f.severity != "notes"]
            assert found == [], key


def test_the_hours_are_those_of_a_unit_under_the_dash(world):
    for key in world.of_line(LINE):
        assert 12 <= sum(step.minutes_min for step in world.steps(key)) / 60 <= 18, key


def test_water_flows_through_one_circuit_of_joints(world):
    with_own, with_ours = ("SLH", "SRH", "CLH", "CRH"), ("SLN", "SRN", "CLN", "CRN")
    for variants, codes in ((with_own, {"H7", "H8"}), (with_ours, {f"H{n}" for n in range(1, 7)})):
        for variant in variants:
            joints = world.kits[fitment(variant)].joints
            assert {joint.code for joint in joints if joint.family == "water"} == codes, variant


def test_a_flammable_gas_is_named_wherever_it_can_come_out(world):
    for key in world.of_line(LINE):
        kit = world.kits[key]
        assert kit.settings["refrigerant"] == "R-1234yf"
        assert "BM91-205" in parts_of(kit), "the label with the flame"
        steps = {step.key: step for step in kit.steps}
        for name in ("CHARGE", "RUN", "CAPS"):
            assert "R-1234yf burns: no flame" in steps[name].caution, (key, name)
        made = [s for s in kit.steps if any(code.startswith("J") for code in s.joints)]
        assert len(made) == 9
        assert all("one that burns will be" in step.caution for step in made)
        assert all("fire risk" in step.caution for step in made)


def test_what_r134a_would_ruin_is_not_shared_with_the_other_kits(world):
    own = {"BM11-146", "BM11-016", "BM51-085", "BM51-105", "BM51-330", "BM81-047", "BM91-201"}
    others = {part for key in world.kits if key[0] != KIT for part in parts_of(world.kits[key])}
    used = {part for key in world.of_line(LINE) for part in parts_of(world.kits[key])}
    assert own <= used
    assert not own & others
    assert not {"BM10-146", "BM10-015", "BM80-046", "BM50-085", "BM50-105", "BM50-330", "BM90-201"} & used
