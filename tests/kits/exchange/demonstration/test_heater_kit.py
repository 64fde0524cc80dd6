"""The heater kit of the Solenne S4: its verdicts by hand, what it does without, and its steps."""

import math

import pytest

from kits.bom.resolved import explode
from tests.kits.exchange.demonstration.world import ACCOUNTED, parts_of

HEATER, LINE = "S4-WARM", "S4"
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
    return {number: parts[number] for number in world.parts_of_kit(HEATER)}


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
def test_the_heater_kit_is_warned_of_nothing(world, variant):
    held = heated(world, variant)
    told = {r.code: r.sentence for r in held.record.remarks if r.severity != "notes"}
    assert told == {}


@pytest.mark.parametrize("variant", HEATED)
def test_neither_six_volts_nor_positive_earth_keep_the_heater_kit_out(world, variant):
    held = heated(world, variant)
    assert held.fitment.row.variant.powertrain.positive_earth
    assert "supply" not in {c.code for d in held.record.duties for c in d.criteria}
    severity = {r.code: r.severity for r in held.record.remarks}
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
