"""The heat load as a whole: bands, limits, identities, directions, batches."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.reference import case, check
from tests.vehicles.heatload.cars import (
    CANVAS_VAN,
    COUPE,
    DASH_AIR,
    NO_AIR,
    SUMMER,
    VAN,
    VAN_AIR,
    WINDOW,
    WINTER,
    one_panel,
    point,
    with_surface,
)
from vehicles.heatload.inputs import EngineTemperatures, LoadPoint
from vehicles.heatload.load import (
    TERMS,
    coil_inlet,
    crossing_air,
    heat_load,
    heating_load_w,
    moisture_in_kg_s,
)
from vehicles.heatload.prepare import Prepared, prepare
from vehicles.physics import air

CABIN_W = float(air.humidity_ratio(25, 0.5))
MODES = ("recirculated", "fresh")


def total_w(*points: LoadPoint, cabin_c: float = 25.0, cabin_w: float = CABIN_W) -> Any:
    return heat_load(prepare(points), cabin_c, cabin_w).total_w


def fleet() -> list[LoadPoint]:
    """Points with different cars, surfaces, openings, modes, speeds and headings."""
    windows = replace(COUPE, openings=(WINDOW, replace(WINDOW, code="roof-hatch", area_m2=0.1)))
    mixed = replace(SUMMER, air_mode="mixed", fresh_share=0.3, heading_deg=200, altitude_m=1200)
    return [
        point(),
        point(VAN, replace(SUMMER, road_speed_km_h=0, engine_state="idle", occupants=3), VAN_AIR),
        point(windows, replace(SUMMER, road_speed_km_h=30)),
        point(CANVAS_VAN, mixed, VAN_AIR),
        point(COUPE, WINTER),
        point(VAN, replace(SUMMER, air_mode="fresh"), VAN_AIR, EngineTemperatures(drive="electric")),
    ]


# --- bands ---


@pytest.mark.parametrize("speed", [0, 50, 100])
def test_a_coupe_recirculating_on_a_hot_day_takes_2_3_to_3_2_kilowatts(speed: float) -> None:
    # 35 °C, 40 %, 950 W/m² on the horizontal, 25 °C inside; band from a simple model
    state = "cruise" if speed else "idle"
    hot = replace(SUMMER, road_speed_km_h=speed, engine_state=state)
    assert 2300 <= total_w(point(COUPE, hot))[0] <= 3200


def test_a_coupe_on_fresh_air_takes_3_8_to_4_5_kilowatts() -> None:
    # the same day, the dash unit at the lower end of its installed flow
    fresh = point(COUPE, replace(SUMMER, air_mode="fresh"), replace(DASH_AIR, coil_air_m3_h=280))
    assert 3800 <= total_w(fresh)[0] <= 4500


@pytest.mark.parametrize("speed", [0, 50, 100])
def test_a_van_recirculating_on_a_hot_day_takes_4_5_to_6_kilowatts(speed: float) -> None:
    hot = replace(SUMMER, road_speed_km_h=speed, engine_state="cruise" if speed else "idle", occupants=3)
    assert 4500 <= total_w(point(VAN, hot, VAN_AIR))[0] <= 6000


def test_a_canvas_van_takes_more_than_a_steel_one_and_5_5_to_7_kilowatts_when_driving() -> None:
    town = replace(SUMMER, occupants=3)
    steel, canvas = total_w(point(VAN, town, VAN_AIR), point(CANVAS_VAN, town, VAN_AIR))
    assert steel < canvas
    assert 5500 <= canvas <= 7000


def test_a_small_car_at_peak_on_fresh_air_takes_the_published_magnitude() -> None:
    # SAE 2013-01-1507, introduction: a sedan's load can reach 6 kW (±30 %)
    one = case("cabin_load.json", "cab-ac-peak-load")
    peak = replace(SUMMER, outside_c=40, air_mode="fresh", occupants=3)
    got = total_w(point(COUPE, peak))[0] / 1000
    check(got, one["outputs"]["ac_power_kW"], one["tolerance"], "ac_power_kW")


def test_ventilation_heat_of_moist_air() -> None:
    one = case("cabin_load.json", "cab-vent-a")
    i, o, tolerance = one["inputs"], one["outputs"], one["tolerance"]
    p = prepare(
        [point(climate=replace(SUMMER, outside_c=i["T_out"], rh=i["RH_out_pct"] / 100), air_side=NO_AIR)]
    )
    w_in = air.humidity_ratio(i["T_in"], i["RH_in_pct"] / 100, i["P_Pa"])
    load = heat_load(p, i["T_in"], w_in)
    per_kg = (load.sensible_w["fresh_air"] + load.latent_w["fresh_air"]) / load.fresh_dry_air_kg_s
    check(p.outside_w[0], o["X_out"], tolerance, "X_out")
    check(w_in, o["X_in"], tolerance, "X_in")
    check(per_kg[0] * i["m_da_kg_s"], o["Q_vent_paper_W"], tolerance, "Q_vent_paper_W")
    check(per_kg[0] * i["m_da_kg_s"], o["Q_vent_psychrolib_W"], tolerance, "Q_vent_psychrolib_W")


# --- air ---


def test_intake_air_keeps_leakage_out_so_that_the_larger_of_the_two_crosses() -> None:
    shares = [0.0, 0.05, 0.1, 0.3, 0.6]
    p = prepare([point(replace(COUPE, flap_leak_share=share)) for share in shares])
    crossing = crossing_air(p, 25.0)
    np.testing.assert_allclose(crossing.total_kg_s, np.maximum(p.leakage_kg_s, crossing.intake_kg_s))
    assert crossing.gaps_kg_s[0] > 0
    assert crossing.gaps_kg_s[-1] == 0


@pytest.mark.parametrize(
    ("mode", "more", "share"),
    [
        ("recirculated", {}, 0.08),
        ("fresh", {}, 1.0),
        ("mixed", {"fresh_share": 0.35}, 0.35),
    ],
)
def test_the_air_mode_sets_the_share_from_outside(mode: str, more: dict[str, Any], share: float) -> None:
    assert prepare([point(climate=replace(SUMMER, air_mode=mode, **more))]).intake_share[0] == share


@pytest.mark.parametrize(("passes", "share"), [(160.0, 0.5), (500.0, 1.0)])
def test_a_narrow_intake_lets_the_blower_draw_the_rest_from_the_cabin(passes: float, share: float) -> None:
    narrow = replace(COUPE, fresh_air_m3_h=passes)
    assert prepare([point(narrow, replace(SUMMER, air_mode="fresh"))]).intake_share[0] == share


def test_coil_inlet_is_the_mix_and_nothing_is_counted_twice() -> None:
    p = prepare(fleet())
    t, w = coil_inlet(p, 26.0, 0.010)
    before_coil = p.coil_air_kg_s * (air.enthalpy_j_kg(t, w) - air.enthalpy_j_kg(26.0, 0.010))
    intake = crossing_air(p, 26.0).intake_kg_s
    in_load = intake * (air.enthalpy_j_kg(p.intake_c, p.outside_w) - air.enthalpy_j_kg(26.0, 0.010))
    np.testing.assert_allclose(before_coil, in_load, rtol=1e-9, atol=1e-9)
    t_mixed, w_mixed = air.mixed(intake, p.intake_c, p.outside_w, p.coil_air_kg_s - intake, 26.0, 0.010)
    np.testing.assert_allclose(t, t_mixed)
    np.testing.assert_allclose(w, w_mixed)


def test_coil_inlet_on_fresh_air_is_the_intake_and_with_a_tight_flap_the_cabin() -> None:
    tight = replace(COUPE, flap_leak_share=0.0)
    t, w = coil_inlet(prepare([point(climate=replace(SUMMER, air_mode="fresh")), point(tight)]), 25.0, 0.009)
    assert t == pytest.approx([39.0, 25.0])
    assert w[1] == pytest.approx(0.009)


def test_the_coils_air_is_weighed_where_the_blower_takes_it() -> None:
    # 8 % at 39 °C and 92 % at 25 °C
    p = prepare([point()])
    volume = air.specific_volume_m3_kg(0.08 * 39 + 0.92 * 25, p.outside_w[0], 101325)
    assert p.coil_air_kg_s[0] == pytest.approx(320 / 3600 / volume)


def test_another_coil_flow_moves_the_intake_air_with_it() -> None:
    p = prepare([point(climate=replace(SUMMER, air_mode="fresh"))])
    half = heat_load(p, 25.0, CABIN_W, coil_air_kg_s=p.coil_air_kg_s / 2)
    whole = heat_load(p, 25.0, CABIN_W)
    assert half.sensible_w["fresh_air"][0] == pytest.approx(whole.sensible_w["fresh_air"][0] / 2)


# --- limits and identities ---


def test_with_no_sun_no_difference_nobody_and_no_blower_there_is_no_load() -> None:
    calm = replace(
        SUMMER,
        outside_c=25,
        rh=0.5,
        beam_normal_w_m2=0,
        diffuse_horizontal_w_m2=0,
        engine_state="off",
        occupants=0,
    )
    load = heat_load(prepare([point(replace(COUPE, openings=(WINDOW,)), calm, NO_AIR)]), 25.0, CABIN_W)
    assert load.total_w[0] == pytest.approx(0, abs=1e-6)
    assert all(abs(load.sensible_w[term][0]) < 1e-6 for term in TERMS)


def test_terms_add_up_and_fresh_air_is_the_enthalpy_difference() -> None:
    p = prepare(fleet())
    load = heat_load(p, 27.0, 0.011)
    np.testing.assert_allclose(
        load.total_w, sum(load.sensible_w[term] + load.latent_w[term] for term in TERMS), rtol=1e-12
    )
    cabin_h = air.enthalpy_j_kg(27.0, 0.011)
    crossing = load.crossing
    expected = crossing.intake_kg_s * (air.enthalpy_j_kg(p.intake_c, p.outside_w) - cabin_h)
    expected = expected + crossing.gaps_kg_s * (air.enthalpy_j_kg(p.outside_c, p.outside_w) - cabin_h)
    got = load.sensible_w["fresh_air"] + load.latent_w["fresh_air"]
    # the intake's rise is warmed outside air, so its moisture is outside's
    np.testing.assert_allclose(got, expected, rtol=1e-9)
    openings = load.sensible_w["openings"] + load.latent_w["openings"]
    out_h = air.enthalpy_j_kg(p.outside_c, p.outside_w)
    np.testing.assert_allclose(openings, crossing.openings_kg_s * (out_h - cabin_h), rtol=1e-9, atol=1e-9)


def test_latent_load_is_the_moisture_to_take_out() -> None:
    p = prepare(fleet())
    for cabin_c, cabin_w in ((22.0, 0.008), (31.0, 0.016)):
        water = moisture_in_kg_s(p, cabin_c, cabin_w)
        latent = heat_load(p, cabin_c, cabin_w).total_latent_w
        np.testing.assert_allclose(latent, water * (2501000 + 1860 * cabin_c), rtol=1e-9)


def test_blower_duct_and_matrix_count_watt_for_watt() -> None:
    hot = replace(DASH_AIR, blower_w=230, duct_gain_w=50, matrix_leak_w=300)
    assert np.diff(total_w(point(), point(air_side=hot)))[0] == pytest.approx(100 + 30 + 300)


# --- directions ---

SUNSHINE = st.tuples(st.floats(0, 1000), st.floats(0, 300), st.floats(1, 90))


@settings(max_examples=60, deadline=None)
@given(SUNSHINE, st.floats(0, 200), st.floats(0, 100), st.one_of(st.none(), st.floats(0, 360)))
def test_more_sun_never_lowers_the_load(
    sun: tuple[float, float, float], more: float, more_diffuse: float, heading: float | None
) -> None:
    less = replace(
        SUMMER,
        beam_normal_w_m2=sun[0],
        diffuse_horizontal_w_m2=sun[1],
        sun_altitude_deg=sun[2],
        heading_deg=heading,
    )
    brighter = replace(less, beam_normal_w_m2=sun[0] + more, diffuse_horizontal_w_m2=sun[1] + more_diffuse)
    low, high = total_w(point(CANVAS_VAN, less, VAN_AIR), point(CANVAS_VAN, brighter, VAN_AIR))
    assert high >= low - 1e-9


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([s.code for s in CANVAS_VAN.surfaces]), st.floats(1, 2), st.sampled_from([0, 40, 100]))
def test_more_area_never_lowers_the_load_on_a_hot_day(code: str, factor: float, speed: float) -> None:
    hot = replace(SUMMER, road_speed_km_h=speed)
    area = next(s.area_m2 for s in CANVAS_VAN.surfaces if s.code == code) or 0.0
    larger = with_surface(CANVAS_VAN, code, area_m2=area * factor)
    low, high = total_w(point(CANVAS_VAN, hot, VAN_AIR), point(larger, hot, VAN_AIR))
    assert high >= low - 1e-9


@settings(max_examples=40, deadline=None)
@given(st.floats(15, 34), st.floats(0.1, 8), st.floats(0.004, 0.012), st.floats(0.0001, 0.006))
def test_a_warmer_or_moister_cabin_never_takes_more_sensible_or_latent_heat(
    cabin_c: float, warmer: float, cabin_w: float, moister: float
) -> None:
    p = prepare(fleet()[:4])
    at, warm = heat_load(p, cabin_c, cabin_w), heat_load(p, cabin_c + warmer, cabin_w)
    moist = heat_load(p, cabin_c, cabin_w + moister)
    # openings exchange more air the further the temperatures are apart, on both sides of 35 °C
    assert (warm.total_sensible_w < at.total_sensible_w).all()
    assert (moist.total_latent_w < at.total_latent_w).all()
    np.testing.assert_allclose(moist.total_sensible_w, at.total_sensible_w)


def test_a_larger_opening_lets_in_more_heat_on_a_hot_day() -> None:
    small, large = (replace(COUPE, openings=(replace(WINDOW, area_m2=a),)) for a in (0.05, 0.5))
    none, little, much = total_w(point(), point(small), point(large))
    assert none < little < much


# --- winter ---


def test_heating_load_is_the_same_sum_with_the_sign_turned() -> None:
    p = prepare([point(COUPE, WINTER), point(VAN, WINTER, VAN_AIR)])
    np.testing.assert_allclose(heating_load_w(p, 20.0), -heat_load(p, 20.0, 0.004).total_sensible_w)
    assert (heating_load_w(p, 20.0) > 2000).all()


def test_heating_load_of_one_panel_by_hand() -> None:
    cold = replace(WINTER, occupants=0, air_mode="recirculated", road_speed_km_h=0)
    tight = replace(one_panel(), leakage_m3_h=((0, 0), (100, 0)), flap_leak_share=0.0)
    # film 7 + 5.75; R = 1/3 − 1/25; 30 K
    expected = 2.0 * 30 / (1 / 12.75 + 1 / 3 - 1 / 25)
    assert heating_load_w(prepare([point(tight, cold, NO_AIR)]), 20.0)[0] == pytest.approx(expected)


def test_the_colder_it_is_outside_the_more_heat_is_needed() -> None:
    p = prepare([point(COUPE, replace(WINTER, outside_c=t)) for t in (10, 0, -10, -20)])
    assert (np.diff(heating_load_w(p, 20.0)) > 0).all()


# --- batches ---


def flat(p: Prepared) -> list[Any]:
    load = heat_load(p, 26.0, 0.0105)
    rows = [load.sensible_w[term] for term in TERMS] + [load.latent_w[term] for term in TERMS]
    return [*rows, load.fresh_dry_air_kg_s, *coil_inlet(p, 26.0, 0.0105), moisture_in_kg_s(p, 26.0, 0.0105)]


def test_a_batch_gives_each_point_what_it_gets_alone() -> None:
    points = fleet()
    points.insert(2, point(climate=replace(SUMMER, rh=None)))
    together = flat(prepare(points))
    for k, one in enumerate(points):
        for batch, alone in zip(together, flat(prepare([one])), strict=True):
            np.testing.assert_allclose(batch[k], alone[0], rtol=1e-12)


def test_taking_some_points_keeps_all_that_belongs_to_them() -> None:
    points = [*fleet(), point(climate=replace(SUMMER, rh=None))]
    p = prepare(points)
    some = p.take([6, 3, 0])
    for whole, part in zip(flat(p), flat(some), strict=True):
        np.testing.assert_array_equal(part, whole[[6, 3, 0]])
    assert some.missing == (p.missing[6], p.missing[3], p.missing[0])
    assert some.assumed[1] == p.assumed[3]


def test_many_cabin_states_at_once() -> None:
    p = prepare(fleet())
    states = np.array([20.0, 25.0, 30.0])[:, None]
    grid = heat_load(p, states, 0.010).total_w
    assert grid.shape == (3, len(fleet()))
    np.testing.assert_allclose(grid[1], heat_load(p, 25.0, 0.010).total_w)
    per_point = np.linspace(20, 30, len(fleet()))
    np.testing.assert_allclose(
        heat_load(p, per_point, 0.010).total_w[2], heat_load(p.take([2]), per_point[2], 0.010).total_w[0]
    )


def test_a_thinner_air_at_altitude_carries_less_heat_in() -> None:
    low, high = (replace(SUMMER, air_mode="fresh", altitude_m=z) for z in (0, 2000))
    p = prepare([point(climate=low), point(climate=high)])
    assert p.coil_air_kg_s[1] < 0.82 * p.coil_air_kg_s[0]
