"""Jets against ASHRAE Fundamentals (Space Air Diffusion), the sun on a person against ASHRAE Standard 55."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.air.ducts import circle_area_m2
from kits.sizing.cabin import spot
from tests.by_name import by_name
from tests.reference import case, check, load

NAN = float("nan")
K = spot.spot_defaults()["jet_constant"].value
SHARE = spot.spot_defaults()["jet_temperature_share"].value
SUNS = [c["id"] for c in load("spot.json") if c["id"].startswith("spot-sun")]


def test_a_dash_vent_reaches_a_face_in_the_order_that_is_known() -> None:
    # common practice, from memory: 2.5 to 3.6 m/s and 27 to 30 °C
    one = case("spot.json", "spot-order")
    i = one["inputs"]
    area = circle_area_m2(i["diameter_mm"] / 1000)
    velocity = spot.jet_velocity_m_s(i["outlet_m_s"], area, i["distance_m"], K)
    temperature = spot.jet_temperature_c(i["vent_c"], i["ambient_c"], area, i["distance_m"], K, SHARE)
    check(velocity, one["outputs"]["velocity_m_s"], one["tolerance"], "velocity_m_s")
    check(temperature, one["outputs"]["temperature_c"], one["tolerance"], "temperature_c")


def test_the_throw_of_the_handbooks_example_is_met() -> None:
    # ASHRAE Handbook Fundamentals (SI), Space Air Diffusion, Example 1
    one = case("spot.json", "spot-ashrae-throw")
    i = one["inputs"]
    area = i["free_share"] * i["core_mm"][0] * i["core_mm"][1] * 1e-6
    outlet = i["flow_m3_s"] / area
    reach = spot.jet_reach_m(outlet, area, i["velocity_m_s"], i["constant"])
    check(reach, one["outputs"]["reach_m"], one["tolerance"], "reach_m")
    np.testing.assert_allclose(spot.jet_velocity_m_s(outlet, area, reach, i["constant"]), i["velocity_m_s"])


@pytest.mark.parametrize("name", SUNS)
def test_the_sun_on_a_seated_person_is_that_of_the_standards_table(name: str) -> None:
    # ASHRAE Standard 55 appendix C, validation table
    one = case("spot.json", name)
    i = one["inputs"]
    field = spot.sun_field_w_m2(
        beam_w_m2=i["beam_w_m2"],
        diffuse_w_m2=i["diffuse_w_m2"],
        sun_altitude_deg=i["altitude_deg"],
        sun_from_front_deg=i["sun_from_front_deg"],
        transmittance=i["transmittance"],
        exposed_share=i["exposed_share"],
        sky_share=i["sky_share"],
        absorptance=i["absorptance"],
        ground_reflectance=i["ground_reflectance"],
    )
    check(field, one["outputs"]["field_w_m2"], one["tolerance"], "field_w_m2")
    check(spot.sun_rise_k(field), one["outputs"]["radiant_rise_k"], one["tolerance"], "radiant_rise_k")


def test_near_the_vent_the_core_is_as_fast_and_as_cold_as_the_vent() -> None:
    assert spot.jet_velocity_m_s(8, 0.003, 0.05, K) == 8
    assert spot.jet_temperature_c(8, 35, 0.003, 0.05, K, SHARE) == 8


def test_far_from_the_vent_only_the_air_around_is_left() -> None:
    assert spot.jet_velocity_m_s(8, 0.003, 1e6, K) == pytest.approx(0, abs=1e-5)
    assert spot.jet_temperature_c(8, 35, 0.003, 1e6, K, SHARE) == pytest.approx(35, abs=1e-4)


def test_the_jet_has_no_step_where_the_core_ends() -> None:
    edge = K * np.sqrt(0.003)
    near, far = spot.jet_velocity_m_s(8, 0.003, np.array([edge - 1e-9, edge + 1e-9]), K)
    assert near == pytest.approx(far, rel=1e-7)


@given(st.floats(1, 12), st.floats(0.001, 0.01), st.floats(0.4, 2), st.floats(1.01, 2))
def test_farther_away_it_is_slower_and_warmer_and_a_larger_vent_carries_farther(
    v: float, area: float, x: float, more: float
) -> None:
    assert (
        spot.jet_velocity_m_s(v, area, x * more, K) < spot.jet_velocity_m_s(v, area, x, K)
        or x < K * area**0.5
    )
    warm = spot.jet_temperature_c(8, 35, area, x * more, K, SHARE)
    assert warm >= spot.jet_temperature_c(8, 35, area, x, K, SHARE)
    assert spot.jet_reach_m(v, area * more, v / 3, K) > spot.jet_reach_m(v, area, v / 3, K)


@given(st.floats(10, 40), st.floats(20, 70), st.floats(0, 4), st.floats(0.1, 3))
def test_what_is_felt_lies_between_air_and_surroundings_and_nearer_the_air_in_wind(
    air: float, radiant: float, v: float, more: float
) -> None:
    felt, windy = spot.operative_c(air, radiant, v), spot.operative_c(air, radiant, v + more)
    assert min(air, radiant) - 1e-9 <= felt <= max(air, radiant) + 1e-9
    assert abs(windy - air) <= abs(felt - air) + 1e-9


def test_in_still_air_the_film_of_still_air_holds() -> None:
    # ASHRAE Fundamentals ch. 9 Table 6: 3.1 W/m²K below 0.2 m/s; the two meet there within 3 %
    assert spot.operative_c(20, 40, 0) == pytest.approx((3.1 * 20 + 4.7 * 40) / 7.8)
    assert pytest.approx(8.3 * 0.2**0.6, rel=0.03) == spot.STILL_AIR_FILM_W_M2K


def test_no_sun_adds_nothing_and_twice_the_sun_twice() -> None:
    one = spot.sun_field_w_m2(
        beam_w_m2=400,
        diffuse_w_m2=80,
        sun_altitude_deg=50,
        sun_from_front_deg=0,
        transmittance=0.8,
        exposed_share=0.5,
        sky_share=0.3,
        absorptance=0.7,
        ground_reflectance=0.2,
    )
    assert (
        spot.sun_field_w_m2(
            beam_w_m2=0,
            diffuse_w_m2=0,
            sun_altitude_deg=50,
            sun_from_front_deg=0,
            transmittance=0.8,
            exposed_share=0.5,
            sky_share=0.3,
            absorptance=0.7,
            ground_reflectance=0.2,
        )
        == 0
    )
    assert spot.sun_field_w_m2(
        beam_w_m2=800,
        diffuse_w_m2=160,
        sun_altitude_deg=50,
        sun_from_front_deg=0,
        transmittance=0.8,
        exposed_share=0.5,
        sky_share=0.3,
        absorptance=0.7,
        ground_reflectance=0.2,
    ) == pytest.approx(2 * one)


def test_an_inner_face_lies_between_inside_and_beyond() -> None:
    assert spot.inner_surface_c(70, 30, 0, 7.7) == 30
    assert spot.inner_surface_c(70, 30, 7.7, 7.7) == 70
    assert 30 < spot.inner_surface_c(70, 30, 3, 7.7) < 70


def test_surfaces_of_one_temperature_radiate_as_that_and_a_hot_roof_counts_by_its_area() -> None:
    assert spot.mean_radiant_c([31, 31, 31], [1, 2, 0.3]) == pytest.approx(31)
    small, large = spot.mean_radiant_c([[30, 60], [30, 60]], [[3, 1], [3, 2]])
    assert 30 < small < large < 60
    # the fourth power lies above the plain mean
    assert small > 37.5


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (spot.jet_velocity_m_s, (8, 0, 0.7, 4.4)),
        (spot.jet_velocity_m_s, (8, 0.003, 0, 4.4)),
        (spot.jet_velocity_m_s, (-1, 0.003, 0.7, 4.4)),
        (spot.jet_velocity_m_s, (NAN, 0.003, 0.7, 4.4)),
        (spot.jet_temperature_c, (8, NAN, 0.003, 0.7, 4.4, 0.8)),
        (spot.jet_temperature_c, (8, 35, 0.003, 0.7, 4.4, 1.2)),
        (spot.jet_reach_m, (8, 0.003, 9, 4.4)),
        (spot.jet_reach_m, (8, 0.003, 0, 4.4)),
        (spot.projected_share, (91, 0)),
        (spot.projected_share, (30, 200)),
        (spot.sun_field_w_m2, (-1, 0, 50, 0, 0.8, 0.5, 0.3, 0.7, 0.2)),
        (spot.sun_field_w_m2, (400, 80, 50, 0, 1.2, 0.5, 0.3, 0.7, 0.2)),
        (spot.sun_rise_k, (-1,)),
        (spot.inner_surface_c, (70, 30, 9, 7.7)),
        (spot.operative_c, (20, 30, -1)),
        (spot.operative_c, (NAN, 30, 1)),
    ],
)
def test_a_scalar_out_of_range_is_refused_and_a_batch_marks_the_row(function: Any, arguments: Any) -> None:
    with pytest.raises(ValueError, match=r"[a-z ]{10,}"):
        by_name(function, *arguments)
    assert np.isnan(by_name(function, *(np.array([x]) for x in arguments))).all()


def test_a_surface_without_area_is_refused() -> None:
    with pytest.raises(ValueError, match="areas above zero"):
        spot.mean_radiant_c([30, 40], [1, 0])


def test_every_default_says_where_it_comes_from() -> None:
    for row in spot.spot_defaults().values():
        assert row.source, row.key
        assert row.meaning, row.key
