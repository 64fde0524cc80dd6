"""A missing input never gives a number, and is named."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.vehicles.heatload.cars import CANVAS_VAN, COUPE, DASH_AIR, SUMMER, WINDOW, point, with_surface
from vehicles.heatload.inputs import EngineTemperatures, LoadPoint
from vehicles.heatload.load import coil_inlet, heat_load, moisture_in_kg_s
from vehicles.heatload.prepare import prepare


def climate(**changes: Any) -> LoadPoint:
    return point(climate=replace(SUMMER, **changes))


def cabin(**changes: Any) -> LoadPoint:
    return point(replace(COUPE, **changes))


def surface(code: str, **changes: Any) -> LoadPoint:
    return point(with_surface(COUPE, code, **changes))


ABSENT = [
    ("cabin.volume_m3", cabin(volume_m3=None)),
    ("cabin.surfaces", cabin(surfaces=())),
    ("cabin.leakage_m3_h", cabin(leakage_m3_h=())),
    ("cabin.intake_rise_k", cabin(intake_rise_k=None)),
    ("cabin.flap_leak_share", cabin(flap_leak_share=None)),
    ("cabin.screen.area_m2", surface("screen", area_m2=None)),
    ("cabin.screen.tilt_deg", surface("screen", tilt_deg=None)),
    ("cabin.screen.facing_deg", surface("screen", facing_deg=None)),
    ("cabin.screen.u_w_m2k", surface("screen", u_w_m2k=None)),
    ("cabin.screen.absorptance", surface("screen", absorptance=None)),
    ("cabin.screen.transmittance", surface("screen", transmittance=None)),
    ("cabin.screen.inward_share", surface("screen", inward_share=None)),
    ("cabin.screen.kind", surface("screen", kind="")),
    ("cabin.roof.boundary", surface("roof", boundary="")),
    ("cabin.roof.absorptance", surface("roof", absorptance=None)),
    ("cabin.tunnel.u_w_m2k", surface("tunnel", u_w_m2k=None)),
    ("cabin.roof.transmittance", point(with_surface(CANVAS_VAN, "roof", transmittance=None))),
    ("cabin.window.area_m2", cabin(openings=(replace(WINDOW, area_m2=None),))),
    ("cabin.window.height_m", cabin(openings=(replace(WINDOW, height_m=None),))),
    ("climate.outside_c", climate(outside_c=None)),
    ("climate.rh", climate(rh=None)),
    ("climate.altitude_m", climate(altitude_m=None)),
    ("climate.beam_normal_w_m2", climate(beam_normal_w_m2=None)),
    ("climate.diffuse_horizontal_w_m2", climate(diffuse_horizontal_w_m2=None)),
    ("climate.sun_altitude_deg", climate(sun_altitude_deg=None)),
    ("climate.road_speed_km_h", climate(road_speed_km_h=None)),
    ("climate.engine_state", climate(engine_state="")),
    ("climate.occupants", climate(occupants=None)),
    ("climate.air_mode", climate(air_mode="")),
    ("climate.fresh_share", climate(air_mode="mixed")),
    ("climate.target_c", climate(target_c=None)),
    ("air.coil_air_m3_h", point(air_side=replace(DASH_AIR, coil_air_m3_h=None))),
    ("air.blower_w", point(air_side=replace(DASH_AIR, blower_w=None))),
    ("air.duct_gain_w", point(air_side=replace(DASH_AIR, duct_gain_w=None))),
    ("air.matrix_leak_w", point(air_side=replace(DASH_AIR, matrix_leak_w=None))),
]
IMPOSSIBLE = [
    ("climate.rh", climate(rh=40), "40"),
    ("climate.outside_c", climate(outside_c=float("nan")), "missing"),
    ("climate.sun_altitude_deg", climate(sun_altitude_deg=-5), "below the horizon"),
    ("climate.engine_state", climate(engine_state="warm"), "“warm”"),
    ("cabin.seats", climate(occupants=9), "3 seats"),
    ("cabin.leakage_m3_h", climate(road_speed_km_h=130), "0 km/h to 100 km/h only, not at 130 km/h"),
    ("cabin.roof.area_m2", surface("roof", area_m2=-1), "must lie within"),
    ("cabin.roof.u_w_m2k", surface("roof", u_w_m2k=20.0), "must lie within"),
    ("cabin.roof.shade_factor", surface("roof", shade_factor=0.5), "opaque"),
    ("cabin.screen.absorptance", surface("screen", absorptance=0.5), "more than all the sun"),
    ("cabin.screen.transmittance", surface("screen", transmittance=0.95, absorptance=0.0), "must lie"),
    ("cabin.roof.layers.1.conductivity_w_mk", surface("roof", u_w_m2k=None, layers=((5, 0),)), "layer 1"),
    (
        "cabin.fresh_air_m3_h",
        point(replace(COUPE, fresh_air_m3_h=-1), climate(air_mode="fresh").climate),
        "−1",
    ),
    ("engine.drive", point(engine=EngineTemperatures(drive="steam")), "“steam”"),
    (
        "engine.idle.bulkhead_c",
        point(engine=EngineTemperatures(by_state={"idle": {"bulkhead": 900}})),
        "bulkhead is 900",
    ),
]


@pytest.mark.parametrize(("path", "lacking"), ABSENT, ids=[path for path, _ in ABSENT])
def test_an_absent_value_masks_its_row_only_and_is_named(path: str, lacking: LoadPoint) -> None:
    p = prepare([point(), lacking, point()])
    assert p.is_complete.tolist() == [True, False, True]
    assert [m.path for m in p.missing[1]] == [path]
    assert "missing" in p.missing[1][0].sentence or "no surfaces" in p.missing[1][0].sentence
    load = heat_load(p, 25.0, 0.009)
    results = [
        load.total_w,
        load.total_sensible_w,
        load.fresh_dry_air_kg_s,
        moisture_in_kg_s(p, 25.0, 0.009),
        *coil_inlet(p, 25.0, 0.009),
    ]
    for result in results:
        assert np.isnan(result).tolist() == [False, True, False]
        assert result[0] == result[2]


@pytest.mark.parametrize(("path", "lacking", "words"), IMPOSSIBLE, ids=[row[0] for row in IMPOSSIBLE])
def test_an_impossible_value_masks_its_row_and_is_named(path: str, lacking: LoadPoint, words: str) -> None:
    p = prepare([lacking])
    assert not p.is_complete[0]
    found = {m.path: m.sentence for m in p.missing[0]}
    assert words in found[path]
    assert np.isnan(heat_load(p, 25.0, 0.009).total_w[0])


def test_everything_that_is_missing_is_named_at_once() -> None:
    p = prepare([climate(outside_c=None, rh=None, target_c=None)])
    assert {m.path for m in p.missing[0]} == {"climate.outside_c", "climate.rh", "climate.target_c"}


def test_what_a_surface_does_not_use_is_not_asked_for() -> None:
    roof = surface("roof", facing_deg=None)
    adiabatic = surface("shelf", u_w_m2k=None)
    assert prepare([roof, adiabatic]).is_complete.all()


def test_a_batch_in_which_nothing_is_complete_gives_no_number() -> None:
    p = prepare([climate(rh=None), climate(target_c=None)])
    assert np.isnan(heat_load(p, 25.0, 0.009).total_w).all()


def test_an_empty_batch_is_an_empty_answer() -> None:
    assert heat_load(prepare([]), 25.0, 0.009).total_w.shape == (0,)
