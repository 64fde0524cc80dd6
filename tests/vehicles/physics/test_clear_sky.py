"""A clear sky against ASHRAE's examples, closed forms and pvlib."""

import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reference import case
from tests.vehicles.physics.solar import hold
from vehicles.physics import clear_sky as sky


@pytest.mark.parametrize("case_id", ["sol-ashrae-ex3", "sol-ashrae-ex4"])
def test_ashrae_examples_3_and_4_clear_sky(case_id: str) -> None:
    one = case("solar.json", case_id)
    i = one["inputs"]
    beam, diffuse = sky.clear_sky_w_m2(i["altitude_deg"], i["E0"], i["tau_b"], i["tau_d"])
    ab, ad = sky.tau_exponents(i["tau_b"], i["tau_d"])
    got = {"airmass": sky.air_mass(i["altitude_deg"]), "ab": ab, "ad": ad, "Eb": beam, "Ed": diffuse}
    hold(case_id, {name: got[name] for name in one["outputs"]})


def test_ashrae_example_3_extraterrestrial_irradiance() -> None:
    # the example's E0 for 21 July
    assert sky.extraterrestrial_w_m2(202) == pytest.approx(1324, abs=0.5)


def test_extraterrestrial_irradiance_agrees_with_pvlib_over_the_year() -> None:
    # pvlib's simple relation has 0.033·cos(2π·n/365) for the same solar constant; Spencer's is the finer one
    days = np.arange(1, 366)
    theirs = pvlib.irradiance.get_extra_radiation(days, solar_constant=1367.0, method="spencer")
    assert np.abs(sky.extraterrestrial_w_m2(days) / theirs - 1).max() < 0.005


def test_the_air_mass_is_that_of_pvlib() -> None:
    altitude = np.linspace(0, 90, 721)
    theirs = pvlib.atmosphere.get_relative_airmass(90 - altitude, model="kastenyoung1989")
    assert sky.air_mass(altitude) == pytest.approx(theirs, rel=1e-9)


@given(st.floats(0, 89), st.floats(0.2, 0.8), st.floats(1.5, 2.8))
def test_a_higher_sun_is_never_weaker_and_never_beyond_that_outside_the_air(
    altitude: float, beam_tau: float, diffuse_tau: float
) -> None:
    beam, diffuse = sky.clear_sky_w_m2([altitude, altitude + 1], 1367.0, beam_tau, diffuse_tau)
    assert 0 <= beam[0] <= beam[1] <= 1367
    assert (diffuse >= 0).all()


def test_what_cannot_be_is_refused_and_marked_in_a_batch() -> None:
    with pytest.raises(ValueError, match="horizon and overhead"):
        sky.clear_sky_w_m2(-3, 1324, 0.5, 2.0)
    for beam_tau, diffuse_tau in ((0, 2.0), (-0.4, 2.0), (0.4, 0), (float("nan"), 2.0), (3, 2.0)):
        with pytest.raises(ValueError, match="optical depths"):
            sky.clear_sky_w_m2(40, 1324, beam_tau, diffuse_tau)
    beam, diffuse = sky.clear_sky_w_m2([40, -1, 40], 1324, [0.4, 0.4, -1], 2.0)
    assert np.isnan(beam).tolist() == np.isnan(diffuse).tolist() == [False, True, True]
    with pytest.raises(ValueError, match="day of the year"):
        sky.extraterrestrial_w_m2(0)
