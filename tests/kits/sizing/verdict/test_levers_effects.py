"""What each lever changes in a case, by hand: these inputs become these numbers, and no other input moves."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from kits.sizing.case.case import Case, Point
from kits.sizing.case.idle_blower import blower_volts, kits_a, supplies_read_v
from kits.sizing.case.levers import levers, pulled
from kits.sizing.case.rear_blower import recorded_rear_v
from kits.sizing.electrics.battery import ChargingCurve
from kits.sizing.electrics.idle_supply import idle_supply
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.cases import CAR, CRUISE, IDLE, electric_case, halves
from tests.kits.sizing.cases import case as made
from vehicles.heatload.films import resistance_inward_m2k_w
from vehicles.heatload.inputs import Opening, Surface

BY_CODE = {lever.code: lever for lever in levers()}
FOAM = (10, 0.04)
FLOWS = (0, 165, 330, 440, 572)


def leaves(before: Any, after: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every value that differs, by its path; surfaces by their code, other rows by their place."""
    if is_dataclass(before) and type(before) is type(after):
        for field in fields(before):
            yield from leaves(getattr(before, field.name), getattr(after, field.name), f"{path}.{field.name}")
    elif isinstance(before, tuple) and isinstance(after, tuple) and len(before) == len(after):
        for place, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from leaves(one, other, f"{path}[{getattr(one, 'code', place)}]")
    elif before != after:
        yield path.removeprefix("."), after


def changes(code: str, case: Case) -> dict[str, Any]:
    after = pulled(case, BY_CODE[code])
    assert after is not None, code
    return {path: value for path, value in leaves(case, after) if path != "supply_read_v"}


def surfaces(field: str, **values: Any) -> dict[str, Any]:
    return {f"car.cabin.surfaces[{code.replace('_', '-')}].{field}": value for code, value in values.items()}


def with_surfaces(*more: Surface, **cabin: Any) -> Case:
    return made(cabin=replace(CAR.cabin, surfaces=more or CAR.cabin.surfaces, **cabin))


# the coupé of the tests: fan 1,800 m³/h, kit 28 A, idle 800 rpm, pulley 120 mm, air-on rise 10 K and 4 K, flap 0.08,
# matrix 100 W, leakage 15, 50, 100 m³/h, suction 12.7 mm, blower 13.0 V of 13.5 V with 14 A
EFFECTS: dict[str, dict[str, Any]] = {
    "seal-condenser": {"mounting.air_on_rise_idle_k": 4.0, "mounting.air_on_rise_cruise_k": 1.6},
    "second-fan": {"unit.fan_free_m3_h": 2880.0, "unit.kit_current_a": 37.0},
    "idle-up": {"car.hot_idle_rpm": 1000.0},
    "pulley": {"unit.pulley_mm": 108.0},
    "seal-flap": {"car.cabin.flap_leak_share": 0.02},
    "water-valve": {"car.matrix_leak_w": 0.0},
    # 10 mm / 0.04 W/mK = 0.25 m²K/W: 1/(1/3 + 0.25) = 1.714, 1/(1/2.5 + 0.25) = 1.538
    "lag-engine-side": surfaces("u_w_m2k", bulkhead=12 / 7, tunnel=20 / 13, floor=20 / 13),
    "roof-liner": surfaces("u_w_m2k", roof=12 / 7),
    "film": surfaces("shade_factor", right=0.7, left=0.7, rear=0.7),
    "blinds": surfaces("shade_factor", right=0.75, left=0.75, rear=0.75),
    "close-openings": {f"car.cabin.leakage_m3_h[{i}][1]": flow for i, flow in enumerate((7.5, 25.0, 50.0))},
    "blower-relay": {"mounting.blower_voltage_v": 13.5, "unit.kit_current_a": 28.2},
    # fan laws at 1.1: flow 1.1, pressure 1.21, current 1.331, so 14 A become 18.634 A
    "faster-blower": {
        **{f"unit.air_path.blower.curve[{i}][0]": flow for i, flow in enumerate(FLOWS) if flow},
        **{f"unit.air_path.blower.curve[{i}][1]": pa for i, pa in enumerate((508.2, 471.9, 350.9, 217.8))},
        "unit.air_path.blower.current[0][1]": 18.634,
        "unit.air_path.blower.current[1][0]": 572.0,
        "unit.air_path.blower.current[1][1]": 18.634,
        "unit.kit_current_a": 32.634,
    },
    "suction-hose": {"unit.suction.bore_m": 0.015875},
}


def test_every_lever_has_its_effect_by_hand() -> None:
    assert set(BY_CODE) == {*EFFECTS, "alternator"}


@pytest.mark.parametrize("code", EFFECTS)
def test_a_lever_changes_these_inputs_to_these_numbers_and_no_other(code: str) -> None:
    assert changes(code, made()) == pytest.approx(EFFECTS[code])


def test_an_alternator_changes_what_charges_and_the_supply_of_a_6_v_car() -> None:
    curve = ((600.0, 0.0), (1200.0, 10.0))
    six = made(charging_curve=curve, system_voltage_v=6.0, positive_earth=True, blower_voltage_v=6.4)
    assert changes("alternator", six) == {
        "car.charging_curve": ((600.0, 0.0), (800.0, 24.0), (1100.0, 40.0), (1600.0, 56.0), (6000.0, 65.0)),
        "car.system_voltage_v": 12.0,
        "car.positive_earth": False,
        # as much arrives as the 6 V supply had, so that no loss is known: what the alternator holds arrives as well
        "mounting.blower_voltage_v": 13.8,
    }
    enough = made(charging_curve=((600.0, 0.0), (1200.0, 50.0)))
    assert set(changes("alternator", enough)) == {"car.charging_curve"}
    short = made(charging_curve=curve)
    assert set(changes("alternator", short)) == {"car.charging_curve", "mounting.blower_voltage_v"}
    assert pulled(electric_case(is_electric=True), BY_CODE["alternator"]) is None


def test_idle_up_and_a_smaller_pulley_turn_the_compressor_by_the_belts_ratio() -> None:
    # 150 mm on the crank: 800 × 150/120 = 1,000 rpm; at 1,000 rpm idle 1,250; with 108 mm 1,111
    def turned(case: Case | None) -> float | None:
        return None if case is None else Point(case, IDLE).compressor_rpm()

    assert turned(made()) == pytest.approx(1000.0)
    assert turned(pulled(made(), BY_CODE["idle-up"])) == pytest.approx(1250.0)
    assert turned(pulled(made(), BY_CODE["pulley"])) == pytest.approx(1111.11, abs=0.01)
    assert pulled(electric_case(is_electric=True), BY_CODE["idle-up"]) is None
    assert pulled(electric_case(), BY_CODE["pulley"]) is None


def test_a_second_fan_takes_half_the_current_from_24_v() -> None:
    assert changes("second-fan", made(supply_voltage_v=24.0))["unit.kit_current_a"] == pytest.approx(32.5)


def test_the_battery_feels_the_second_fan() -> None:
    whole = made(IDLE)
    fanned = pulled(whole, BY_CODE["second-fan"])
    assert fanned is not None
    before, after = (record.duties[0].battery_v for record in size([whole, fanned]))
    # at 800 rpm 24 A come and 6 A go into the car; the blower takes 14 A at 13.5 V and is recorded at 13 V
    given, blower_a = ChargingCurve(CAR.charging_curve).current_a(800.0), 14 * (13 / 13.5) ** 2
    volts = [
        float(
            idle_supply(
                generator_a=given,
                base_load_a=6.0,
                kit_load_a=a,
                nominal_voltage_v=12.0,
                capacity_ah=60.0,
                supply_read_v=13.8,
                blower_v=13.0,
                blower_a=blower_a,
            ).battery.volts
        )
        for a in (28.0 - 14 + blower_a, 37.0 - 14 + blower_a)
    ]
    assert (before, after) == pytest.approx(tuple(volts))
    assert volts[0] - volts[1] > 0.05


LAYERED = {"u_w_m2k": None, "layers": ((1.0, 50.0), (5.0, 0.25))}


@pytest.mark.parametrize(
    ("code", "surface"),
    [
        (
            "lag-engine-side",
            Surface(code="lid", name="Lid", kind="opaque", boundary="engine_lid", area_m2=1.0, **LAYERED),
        ),
        (
            "roof-liner",
            Surface(
                code="top",
                name="Roof",
                kind="opaque",
                boundary="outside",
                area_m2=1.0,
                tilt_deg=0.0,
                facing_deg=0.0,
                **LAYERED,
                absorptance=0.7,
            ),
        ),
    ],
)
def test_a_lining_is_one_layer_more_on_a_layered_surface_and_the_same_resistance_on_one_with_a_u_value(
    code: str, surface: Surface
) -> None:
    found = changes(code, with_surfaces(surface))
    assert found == {f"car.cabin.surfaces[{surface.code}].layers": (*surface.layers, FOAM)}
    inward = resistance_inward_m2k_w(None, surface.layers)
    u = 1 / (1 / 25.0 + inward)
    known = replace(surface, u_w_m2k=u, layers=())
    (lined_u,) = changes(code, with_surfaces(known)).values()
    lined = resistance_inward_m2k_w(None, (*surface.layers, FOAM))
    assert resistance_inward_m2k_w(lined_u) == pytest.approx(lined) == pytest.approx(inward + 0.25)


def test_a_lining_stops_the_light_of_a_canvas_roof_and_leaves_walls_and_what_is_not_known() -> None:
    canvas = Surface(
        code="top",
        name="Hood",
        kind="canvas",
        boundary="outside",
        area_m2=2.0,
        tilt_deg=10.0,
        facing_deg=0.0,
        u_w_m2k=5.0,
        transmittance=0.1,
    )
    wall = Surface(
        code="wall",
        name="Wall",
        kind="opaque",
        boundary="outside",
        area_m2=2.0,
        tilt_deg=90.0,
        facing_deg=90.0,
        **LAYERED,
    )
    unknown = Surface(
        code="other",
        name="Other",
        kind="opaque",
        boundary="outside",
        area_m2=2.0,
        tilt_deg=0.0,
        facing_deg=0.0,
    )
    found = changes("roof-liner", with_surfaces(canvas, wall, unknown))
    # 1/(1/5 + 0.25)
    assert found == pytest.approx(surfaces("u_w_m2k", top=20 / 9) | surfaces("transmittance", top=0.0))


@pytest.mark.parametrize("code", ["film", "blinds"])
def test_a_split_windscreen_is_windscreen_and_keeps_its_sun(code: str) -> None:
    def pane(name: str, facing_deg: float | None) -> Surface:
        return Surface(
            code=name,
            name=name,
            kind="glass",
            boundary="outside",
            area_m2=0.4,
            tilt_deg=60.0,
            facing_deg=facing_deg,
            u_w_m2k=5.7,
            transmittance=0.8,
        )

    ahead = [pane(f"ahead{i}", deg) for i, deg in enumerate((0.0, 10.0, 350.0, -10.0, 45.0, 315.0, None))]
    behind = [pane(f"behind{i}", deg) for i, deg in enumerate((46.0, 90.0, 180.0, 270.0, 314.0, -90.0))]
    share = {"film": 0.7, "blinds": 0.75}[code]
    found = changes(code, with_surfaces(*ahead, *behind))
    assert found == pytest.approx(surfaces("shade_factor", **{s.code: share for s in behind}))
    assert pulled(with_surfaces(*ahead), BY_CODE[code]) is None


def test_a_blower_keeps_what_a_trial_found_and_its_measured_currents_rise_with_it() -> None:
    found = changes("faster-blower", made(blower_currents=((1, 5.0), (2, 10.0))))
    steps = {path: value for path, value in found.items() if "blower_currents" in path}
    assert steps == pytest.approx({"unit.blower_currents[0][1]": 6.655, "unit.blower_currents[1][1]": 13.31})


def test_a_relay_brings_nothing_at_rated_voltage_or_from_another_supply() -> None:
    assert pulled(made(blower_voltage_v=13.5), BY_CODE["blower-relay"]) is None
    assert pulled(made(system_voltage_v=6.0, blower_voltage_v=6.0), BY_CODE["blower-relay"]) is None


def test_closing_openings_takes_them_all_away() -> None:
    door = Opening("door", 0.8, 1.2)
    found = changes("close-openings", with_surfaces(openings=(door,)))
    assert found["car.cabin.openings"] == ()
    assert len(found) == 4


def test_a_flap_that_is_tight_already_is_no_lever() -> None:
    assert pulled(with_surfaces(flap_leak_share=0.02), BY_CODE["seal-flap"]) is None


def test_every_lever_says_where_its_numbers_come_from_and_no_cost_is_invented() -> None:
    for lever in levers():
        assert lever.source.startswith("effects and hours: estimate")
        assert lever.minutes_min > 0
        assert not any("cost" in name or "price" in name for name in (*vars(lever), *lever.rule))
    assert "7 to 11 A" in BY_CODE["second-fan"].source


def dynamo(**mounting: Any) -> Case:
    """A car whose generator is short of everything on: the battery stood lower while the plug was read."""
    short = made(charging_curve=((600.0, 0.0), (1200.0, 20.0)), base_load_a=5.0)
    return replace(short, mounting=replace(short.mounting, blower_voltage_v=11.8, **mounting))


def plug_at_idle(case: Case) -> float:
    return float(blower_volts([Point(case, IDLE)]).front[0])


def lost_v2(case: Case, plug_v: float) -> float:
    """What a blower's circuit loses by the square of the volts at its plug, as its current goes: 1/V."""
    return (float(supplies_read_v([case])[0]) - plug_v) / plug_v**2


def lost(case: Case) -> float:
    assert case.mounting.blower_voltage_v is not None
    return lost_v2(case, case.mounting.blower_voltage_v)


def alternator(case: Case) -> Case:
    after = pulled(case, BY_CODE["alternator"])
    assert after is not None
    return after


def test_no_change_alters_what_the_wires_lose() -> None:
    for case in (made(), dynamo()):
        (read,) = supplies_read_v([case])
        for lever in levers():
            after = pulled(case, lever)
            if after is not None and lever.code != "blower-relay":
                assert lost(after) == pytest.approx(lost(case), abs=1e-12), lever.code
                if lever.code != "alternator":
                    assert after.supply_read_v == pytest.approx(read, abs=1e-12), lever.code
                again = pulled(after, BY_CODE["second-fan"])
                assert again is None or again.supply_read_v == after.supply_read_v


def test_on_the_road_the_plug_gets_what_a_better_generators_volts_leave_of_themselves() -> None:
    # 5 A and 28 A of which the blower's 14 A fall to 10.7 at 11.8 V, of 20 A: the battery has 12.5 V less 0.017 Ω·9.7 A
    case = dynamo()
    after = alternator(case)
    plug = after.mounting.blower_voltage_v
    assert plug is not None and after.supply_read_v == pytest.approx(13.8)
    # U + loss·U² = 13.8
    assert plug + lost(case) * plug**2 == pytest.approx(13.8)
    assert 12.9 < plug < 13.8
    assert float(blower_volts([Point(after, CRUISE)]).front[0]) == plug
    # the kit's current is carried to them too
    assert kits_a([after])[0] == pytest.approx(28 - 14 * (1 - (plug / 13.5) ** 2))


def test_a_6_v_car_gets_at_the_plug_what_its_wires_leave_of_12_v() -> None:
    # 35 A carry 6 A and the kit's 17: the plug's 6.4 V were read at 6.9; 0.5/6.4² per volt, so U + 0.0122 U² = 13.8
    six = made(charging_curve=((600.0, 0.0), (1200.0, 35.0)), system_voltage_v=6.0, blower_voltage_v=6.4)
    assert alternator(six).mounting.blower_voltage_v == pytest.approx(12.0326, abs=0.0001)


def test_a_24_v_car_keeps_nothing_of_its_own_supply() -> None:
    after = alternator(
        made(charging_curve=((600.0, 0.0), (1200.0, 100.0)), system_voltage_v=24.0, blower_voltage_v=26.0)
    )
    plug = after.mounting.blower_voltage_v
    assert plug is not None and plug + 1.6 / 26.0**2 * plug**2 == pytest.approx(13.8)


def recharged_with(base_load_a: float) -> Case:
    short = ((600.0, 0.0), (1200.0, 20.0))
    return alternator(made(charging_curve=short, base_load_a=base_load_a, blower_voltage_v=11.0))


@pytest.mark.parametrize("base_load_a", [5.0, 39.0, 45.0, 60.0])
def test_read_again_after_the_change_the_supply_is_the_one_that_was_reckoned(base_load_a: float) -> None:
    """Also where the alternator is still short: the battery's own volts before any charge was taken."""
    after = recharged_with(base_load_a)
    assert supplies_read_v([replace(after, supply_read_v=None)]) == pytest.approx(
        supplies_read_v([after]), abs=1e-6
    )


def test_an_alternator_that_just_carries_everything_holds_volts_between_the_batterys_and_its_own() -> None:
    # of 65 A the car takes 40: at 13.8 V the kit takes 25.2, at the battery's own 12.7 V less than 25
    after = recharged_with(40.0)
    assert after.supply_read_v is not None
    assert 12.8 < after.supply_read_v < 13.7
    assert kits_a([after])[0] == pytest.approx(25.0)


def test_each_of_two_blowers_keeps_its_own_wires() -> None:
    whole = halves(dynamo())
    rear = replace(whole.plant.rear, circuit_loses_more_v=0.4)
    case = replace(whole, unit=replace(whole.plant, rear=rear))
    after = alternator(case)
    assert lost(after) == pytest.approx(lost(case))
    before_v, after_v = recorded_rear_v(case), recorded_rear_v(after)
    assert before_v == pytest.approx(11.4) and after_v is not None and after_v > before_v
    assert lost_v2(after, after_v) == pytest.approx(lost_v2(case, before_v))


def test_where_the_supply_of_the_reading_is_not_known_no_volts_of_another_system_are_told() -> None:
    curve = ((600.0, 0.0), (1200.0, 20.0))
    unknown = made(charging_curve=curve, battery_ah=None)
    assert changes("alternator", unknown) == {"car.charging_curve": alternator(unknown).car.charging_curve}
    assert (
        pulled(replace(unknown, car=replace(unknown.car, system_voltage_v=6.0)), BY_CODE["alternator"])
        is None
    )


def test_a_stronger_generator_brings_the_blower_more_at_idle_and_a_load_more_brings_it_less() -> None:
    case = dynamo()
    stronger, loaded = pulled(case, BY_CODE["alternator"]), pulled(case, BY_CODE["second-fan"])
    assert stronger is not None and loaded is not None
    assert plug_at_idle(stronger) > plug_at_idle(case) > plug_at_idle(loaded)


def test_a_relay_brings_no_more_than_the_supply_had() -> None:
    case = dynamo()
    (read,) = supplies_read_v([case])
    assert 11.8 < read < 13.5
    assert changes("blower-relay", case)["mounting.blower_voltage_v"] == pytest.approx(float(read))
    all_there = replace(case, mounting=replace(case.mounting, blower_voltage_v=float(read)))
    assert pulled(all_there, BY_CODE["blower-relay"]) is None
