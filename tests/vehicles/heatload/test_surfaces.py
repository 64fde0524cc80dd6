"""Surfaces by hand: films, engine side, glass and canvas in the sun, headings."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.vehicles.heatload.cars import (
    CANVAS_VAN,
    COUPE,
    SUMMER,
    WINTER,
    glass,
    one_panel,
    point,
    with_surface,
)
from vehicles.heatload.inputs import EngineTemperatures, LoadPoint
from vehicles.heatload.load import heat_load, heating_load_w
from vehicles.heatload.prepare import prepare
from vehicles.physics.sun import HEADINGS_DEG

CABIN_W = 0.00988


def total_w(*points: LoadPoint, cabin_c: float = 25.0, cabin_w: float = CABIN_W) -> Any:
    return heat_load(prepare(points), cabin_c, cabin_w).total_w


def test_one_roof_by_hand() -> None:
    # film at 50 km/h 0.6 + 6.64·√13.889 + 5.75 = 31.096; R = 1/3 − 1/25; sol-air 35 + 0.7·950.4/31.096
    load = heat_load(prepare([point(one_panel())]), 25.0, CABIN_W)
    horizontal = 930 * np.sin(np.radians(60)) + 145
    u = 1 / (1 / 31.096 + 1 / 3 - 1 / 25)
    expected = u * 2.0 * (35 + 0.7 * horizontal / 31.096 - 25)
    assert load.sensible_w["opaque"][0] == pytest.approx(expected, rel=1e-4)


OVERHEAD = replace(SUMMER, beam_normal_w_m2=930, diffuse_horizontal_w_m2=0, sun_altitude_deg=90)


@pytest.mark.parametrize("shade", [1.0, 0.6])
def test_a_flat_pane_under_the_overhead_sun_by_hand(shade: float) -> None:
    # normal incidence: 930·2·(0.8 + 0.12·0.3)
    pane = glass("pane", 2.0, 0, 0, shade_factor=shade)
    p = prepare([point(replace(COUPE, surfaces=(pane,)), OVERHEAD)])
    assert p.solar_glass_w[0] == pytest.approx(shade * 930 * 2.0 * (0.8 + 0.12 * 0.3))


@pytest.mark.parametrize("shade", [1.0, 0.5])
def test_a_flat_canvas_under_the_overhead_sun_by_hand(shade: float) -> None:
    # scattered through: 930·4.8·0.05; through the skin at 50 km/h: U·A·0.7·930/31.096
    roof = next(s for s in CANVAS_VAN.surfaces if s.code == "roof")
    p = prepare([point(replace(COUPE, surfaces=(replace(roof, shade_factor=shade),)), OVERHEAD)])
    u = 1 / (1 / 31.096 + 1 / 5.5 - 1 / 25)
    expected = 4.8 * (930 * 0.05 * shade + u * 0.7 * 930 / 31.096)
    assert p.solar_canvas_w[0] == pytest.approx(expected, rel=1e-4)


def test_an_engine_side_panel_uses_its_u_value_as_given() -> None:
    engine = EngineTemperatures(by_state={"cruise": {"tunnel": 70.0}})
    load = heat_load(prepare([point(one_panel("tunnel"), engine=engine)]), 25.0, CABIN_W)
    assert load.sensible_w["engine_side"][0] == pytest.approx(3.0 * 2.0 * 45)


def test_no_heat_crosses_a_surface_to_a_space_at_cabin_temperature() -> None:
    load = heat_load(prepare([point(one_panel("none"))]), 25.0, CABIN_W)
    assert load.sensible_w["opaque"][0] == load.sensible_w["engine_side"][0] == 0


def test_film_on_glass_lets_through_its_share_of_the_sun() -> None:
    whole = prepare([point()])
    codes = ("screen", "right", "left", "rear")
    tinted = COUPE
    for code in codes:
        tinted = with_surface(tinted, code, shade_factor=0.6)
    assert prepare([point(tinted)]).solar_glass_w[0] == pytest.approx(0.6 * whole.solar_glass_w[0])


def test_the_worst_heading_is_the_worst_of_the_eight() -> None:
    at_heading = total_w(*(point(climate=replace(SUMMER, heading_deg=h)) for h in HEADINGS_DEG))
    worst = prepare([point()])
    assert total_w(point())[0] == pytest.approx(at_heading.max())
    assert at_heading.max() > at_heading.min() + 20
    assert at_heading[list(HEADINGS_DEG).index(worst.heading_deg[0])] == pytest.approx(at_heading.max())


def test_for_heating_the_worst_heading_has_the_least_sun() -> None:
    sunny = replace(WINTER, beam_normal_w_m2=500, diffuse_horizontal_w_m2=60, sun_altitude_deg=20)
    at_heading = [
        heating_load_w(prepare([point(climate=replace(sunny, heading_deg=h))]), 20.0)[0] for h in HEADINGS_DEG
    ]
    assert heating_load_w(prepare([point(climate=sunny)]), 20.0)[0] == pytest.approx(max(at_heading))


def test_the_sun_from_the_right_shines_through_the_right_window() -> None:
    # the nose 90° left of the sun's azimuth: the right side faces it
    only_right = replace(COUPE, surfaces=tuple(s for s in COUPE.surfaces if s.code == "right"))
    sun = [prepare([point(only_right, replace(SUMMER, heading_deg=h))]).solar_glass_w[0] for h in (-90, 90)]
    assert sun[0] > 2 * sun[1]
