"""What falls on a surface, against ASHRAE's examples, closed forms, the NREL example and pvlib."""

from typing import Any

import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reference import case, check
from tests.vehicles.physics.solar import PVLIB_CASES, hold, ids
from vehicles.physics import sun


def test_ashrae_example_6_incidence_on_a_tilted_surface() -> None:
    i = case("solar.json", "sol-ashrae-ex6")["inputs"]
    cosine = sun.cos_incidence(i["altitude_deg"], i["surf_azimuth_S"] - i["azimuth_S"], i["tilt"])
    hold("sol-ashrae-ex6", {"incidence_deg": np.degrees(np.arccos(cosine))})


def vertical_sky_ratio(cosine: Any) -> Any:
    """Sky diffuse on a wall over that on the level, ASHRAE ch. 14 eq. 28; on_surface has an isotropic sky instead."""
    return np.maximum(0.45, 0.55 + 0.437 * cosine + 0.313 * cosine**2)


def test_ashrae_example_7_parts_on_a_vertical_surface() -> None:
    i = case("solar.json", "sol-ashrae-ex7")["inputs"]
    cosine = np.cos(np.radians(i["incidence_deg"]))
    # the azimuth that gives the example's incidence at its altitude on a vertical surface
    azimuth = np.degrees(np.arccos(cosine / np.cos(np.radians(i["altitude_deg"]))))
    on = sun.on_surface(i["Eb"], i["Ed"], i["altitude_deg"], i["tilt"], azimuth, i["rho_g"])
    ratio = vertical_sky_ratio(on.cos_incidence)
    hold("sol-ashrae-ex7", {"Et_b": on.beam, "Y": ratio, "Et_d": ratio * i["Ed"], "Et_r": on.ground})


def test_isotropic_sky_parts() -> None:
    i = case("solar.json", "sol-isotropic")["inputs"]
    # the altitude and azimuth at which beam, diffuse and incidence give the case's global and incidence
    altitude = np.degrees(np.arcsin((i["ghi"] - i["dhi"]) / i["dni"]))
    tilt = np.radians(i["tilt"])
    flat = np.cos(np.radians(i["incidence_deg"])) - np.sin(np.radians(altitude)) * np.cos(tilt)
    azimuth = np.degrees(np.arccos(flat / (np.cos(np.radians(altitude)) * np.sin(tilt))))
    on = sun.on_surface(i["dni"], i["dhi"], altitude, i["tilt"], azimuth, i["albedo"])
    hold("sol-isotropic", {"beam": on.beam, "diffuse": on.sky, "ground": on.ground, "total": on.total})


def test_spa_example_incidence_from_its_sun_position() -> None:
    # NREL/TP-560-34302 Table A5.1
    one = case("solar.json", "sol-spa")
    i, o = one["inputs"], one["outputs"]
    surface_from_north = 180 + i["azm_rotation_deg"]
    cosine = sun.cos_incidence(
        90 - o["zenith_deg"], surface_from_north - o["azimuth_deg_from_N"], i["slope_deg"]
    )
    check(np.degrees(np.arccos(cosine)), o["incidence_deg"], one["tolerance"], "incidence_deg")


@pytest.mark.parametrize("one", PVLIB_CASES, ids=ids(PVLIB_CASES))
def test_surfaces_agree_with_pvlib_for_its_sky(one: dict[str, Any]) -> None:
    o, tolerance = one["outputs"], one["tolerance"]
    surfaces = {
        "poa_roof": (0, 180),
        "poa_windshield30_S": (30, 180),
        "poa_side_W": (90, 270),
        "poa_side_E": (90, 90),
        "poa_rear_N": (90, 0),
    }
    for name, (tilt, from_north) in surfaces.items():
        on = sun.on_surface(
            o["ineichen_TL3_dni"],
            o["ineichen_TL3_dhi"],
            90 - o["apparent_zenith_deg"],
            tilt,
            from_north - o["azimuth_deg_N"],
        )
        check(on.total, o[name], tolerance, name)
    ghi = sun.horizontal_w_m2(o["ineichen_TL3_dni"], o["ineichen_TL3_dhi"], 90 - o["apparent_zenith_deg"])
    check(ghi, o["ineichen_TL3_ghi"], tolerance, "ineichen_TL3_ghi")


def test_random_surfaces_agree_with_pvlib_part_by_part() -> None:
    # the same relations in another program: closed forms, so to the last digits
    rng = np.random.default_rng(52)
    n = 4000
    altitude, azimuth = rng.uniform(0.1, 90, n), rng.uniform(0, 360, n)
    tilt, facing = rng.uniform(0, 180, n), rng.uniform(0, 360, n)
    beam, diffuse, albedo = rng.uniform(0, 1050, n), rng.uniform(0, 300, n), rng.uniform(0, 0.9, n)
    on = sun.on_surface(beam, diffuse, altitude, tilt, facing - azimuth, albedo)
    level = sun.horizontal_w_m2(beam, diffuse, altitude)
    theirs = pvlib.irradiance.get_total_irradiance(
        tilt, facing, 90 - altitude, azimuth, beam, level, diffuse, albedo=albedo, model="isotropic"
    )
    incidence = pvlib.irradiance.aoi(tilt, facing, 90 - altitude, azimuth)
    assert np.degrees(np.arccos(on.cos_incidence)) == pytest.approx(incidence, abs=1e-5)
    assert on.beam == pytest.approx(theirs["poa_direct"], abs=1e-9)
    assert on.sky == pytest.approx(theirs["poa_sky_diffuse"], abs=1e-9)
    assert on.ground == pytest.approx(theirs["poa_ground_diffuse"], abs=1e-9)
    assert on.total == pytest.approx(theirs["poa_global"], abs=1e-9)


@given(st.floats(0, 90), st.floats(-180, 180), st.floats(0, 180))
def test_no_surface_receives_more_beam_than_the_beam_itself(
    altitude: float, azimuth: float, tilt: float
) -> None:
    on = sun.on_surface(900, 120, altitude, tilt, azimuth)
    assert 0 <= on.beam <= 900
    assert 0 <= on.sky <= 120
    assert on.ground >= 0


def test_limits_a_roof_sees_the_sky_only_and_a_floor_the_ground_only() -> None:
    roof, floor = (sun.on_surface(800, 100, 50, tilt, 0) for tilt in (0, 180))
    assert roof.ground == 0
    assert roof.sky == 100
    assert roof.beam == pytest.approx(800 * np.sin(np.radians(50)))
    assert floor.beam == 0
    assert floor.sky == pytest.approx(0)
    assert floor.ground == pytest.approx(0.2 * sun.horizontal_w_m2(800, 100, 50))


def test_one_of_eight_headings_turns_any_pane_to_within_half_an_eighth_of_the_low_sun() -> None:
    facing = np.arange(0.0, 360.0, 22.5)
    on = sun.on_surface(800, 0, 0, 90, facing[:, np.newaxis] + sun.HEADINGS_DEG)
    # by hand: panes that face as a heading get the whole beam, those halfway between two 800·cos 22.5°
    assert on.beam.max(axis=1) == pytest.approx(np.tile([800.0, 739.104], 8), abs=1e-3)


def test_no_sun_gives_nothing() -> None:
    assert sun.on_surface(0, 0, -20, 45, 30).total == 0


def test_a_beam_from_below_the_horizon_is_refused_and_marked_in_a_batch() -> None:
    with pytest.raises(ValueError, match="below the horizon"):
        sun.on_surface(500, 50, -5, 0, 0)
    got = sun.on_surface(500, 50, np.array([-5.0, 30.0]), 0, 0).total
    assert np.isnan(got).tolist() == [True, False]
