"""The condenser: conductances that give the rated points back, and the air it gets where it is installed."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.machine.condenser import RatedCondenserPoint, fit_condenser, heat_rejected_w, installed_air
from tests.by_name import by_name
from vehicles.physics.air import density_kg_m3

# common practice, no source: 0.18 m² parallel flow, 35 °C in, 60 °C condensing
POINTS = [RatedCondenserPoint(2500, 35, 60, 10000), RatedCondenserPoint(1100, 35, 60, 5400)]


def test_the_fit_gives_the_rated_points_back() -> None:
    model = fit_condenser(POINTS)
    m = np.array([2500, 1100]) / 3600 * density_kg_m3(35.0, 0.0)
    got = heat_rejected_w(model.ua_w_k, model.ref_air_kg_s, model.exponent, m, 35.0, 60.0)
    np.testing.assert_allclose(got, [10000, 5400], rtol=1e-9)
    assert 0.5 < model.exponent < 0.7
    assert model.rms_error_share < 1e-9
    assert model.assumed == ()


def test_a_third_point_that_disagrees_shows_as_an_error() -> None:
    model = fit_condenser([*POINTS, RatedCondenserPoint(1700, 35, 60, 8200)])
    assert 0.01 < model.rms_error_share < 0.1


def test_a_single_flow_uses_the_named_default_exponent() -> None:
    model = fit_condenser(POINTS[:1])
    assert "condenser_ua_exponent" in model.assumed[0]
    assert model.exponent == pytest.approx(0.6)


def test_heat_grows_in_proportion_to_the_temperature_difference() -> None:
    small, large = heat_rejected_w(500, 0.6, 0.6, 0.5, 35.0, np.array([45.0, 65.0]))
    assert large == pytest.approx(3 * small)
    assert heat_rejected_w(500, 0.6, 0.6, 0.5, 35.0, 35.0) == 0


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"airflow_m3_h": 0.0}, "air flow and heat above zero"),
        ({"heat_w": -5.0}, "air flow and heat above zero"),
        ({"condensing_c": 35.0}, "condense above its air inlet"),
        ({"heat_w": 25000.0}, "more heat than its air can carry"),
        ({"air_in_c": float("nan")}, "not a number"),
    ],
)
def test_impossible_rated_points_are_refused(change: dict[str, float], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        fit_condenser([replace(POINTS[0], **change)])


def test_points_that_contradict_each_other_are_refused() -> None:
    with pytest.raises(ValueError, match="contradict each other"):
        fit_condenser([POINTS[0], replace(POINTS[1], heat_w=7300)])
    with pytest.raises(ValueError, match="at least one rated point"):
        fit_condenser([])


def test_the_larger_of_fan_and_ram_counts() -> None:
    # 1,600 m³/h free at 55 % is 880; 0.2 of 100 km/h on 0.18 m² is 3,600
    got = installed_air(
        fan_free_m3_h=1600.0,
        installed_share=0.55,
        road_speed_km_h=np.array([0.0, 20.0, 100.0]),
        ram_share=0.2,
        face_area_m2=0.18,
        air_in_c=35.0,
    )
    np.testing.assert_allclose(got.m3_h, [880, 880, 3600])
    np.testing.assert_allclose(got.kg_s, got.m3_h / 3600 * density_kg_m3(35.0, 0.0))


def test_thin_air_carries_less_mass() -> None:
    low, high = (
        installed_air(
            fan_free_m3_h=1600.0,
            installed_share=0.5,
            road_speed_km_h=0.0,
            ram_share=0.2,
            face_area_m2=0.18,
            air_in_c=35.0,
            pressure_pa=p,
        ).kg_s
        for p in (101325.0, 80000.0)
    )
    assert high / low == pytest.approx(80000 / 101325)


@pytest.mark.parametrize(
    "bad",
    [
        (-1, 0.5, 0, 0.2, 0.18, 35.0),
        (1600, 1.1, 0, 0.2, 0.18, 35.0),
        (1600, 0.5, -1, 0.2, 0.18, 35.0),
        (1600, 0.5, 0, 1.2, 0.18, 35.0),
        (1600, 0.5, 0, 0.2, 0.0, 35.0),
    ],
)
def test_impossible_installations_are_refused(bad: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="Condenser air needs"):
        by_name(installed_air, *bad)


def test_a_rated_point_left_out_comes_back_within_the_stated_error() -> None:
    """Heats as a data sheet has them, rounded to 50 W; a lone point may miss by three such errors."""
    flow_m3_h = np.array([800.0, 1100, 1500, 1900, 2300, 2700, 3200, 2000])
    air_c = np.array([30.0, 35, 35, 40, 35, 30, 35, 45])
    m = flow_m3_h / 3600 * density_kg_m3(air_c, 0.0)
    rated = np.round(heat_rejected_w(420.0, 0.6, 0.6, m, air_c, 62.0) / 50) * 50
    points = [
        RatedCondenserPoint(float(f), float(t), 62.0, float(q))
        for f, t, q in zip(flow_m3_h, air_c, rated, strict=True)
    ]
    for k in range(1, len(points) - 2):
        model = fit_condenser(points[:k] + points[k + 1 :])
        assert 0 < model.rms_error_share < 0.01
        got = heat_rejected_w(model.ua_w_k, model.ref_air_kg_s, model.exponent, m[k], air_c[k], 62.0)
        assert abs(got / rated[k] - 1) <= 3 * model.rms_error_share
