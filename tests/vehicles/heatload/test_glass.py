"""Glass at an angle."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from vehicles.heatload.glass import HIGHEST_TRANSMITTANCE, diffuse_cosines, pane_transmittance


@given(st.floats(0, HIGHEST_TRANSMITTANCE))
def test_normal_incidence_gives_the_given_transmittance(tau: float) -> None:
    assert pane_transmittance(1.0, tau) == pytest.approx(tau, abs=1e-12)


def test_a_pane_that_absorbs_nothing_at_60_degrees() -> None:
    # Duffie and Beckman ch. 5: at 60° and n = 1.526 the two reflectances are 0.185 and 0.001
    expected = 0.5 * ((1 - 0.185) / (1 + 0.185) + (1 - 0.001) / (1 + 0.001))
    assert pane_transmittance(0.5, HIGHEST_TRANSMITTANCE) == pytest.approx(expected, abs=0.001)


@pytest.mark.parametrize("tau", [0.45, 0.80])
@pytest.mark.parametrize("angle_deg", [20, 50, 70, 85])
def test_an_absorbing_pane_by_ray_tracing(angle_deg: float, tau: float) -> None:
    # every pass through the pane and every reflection summed up, the extinction found by scipy
    def traced(angle: float, extinction: float) -> float:
        inside = np.arcsin(np.sin(angle) / 1.526)
        across = np.sin(inside - angle) ** 2 / np.sin(inside + angle) ** 2
        along = np.tan(inside - angle) ** 2 / np.tan(inside + angle) ** 2
        a = np.exp(-extinction / np.cos(inside))
        return float(
            np.mean([sum((1 - r) ** 2 * a * (r * a) ** (2 * k) for k in range(80)) for r in (across, along)])
        )

    extinction = brentq(lambda e: traced(1e-4, e) - tau, 0, 5)
    angle = np.radians(angle_deg)
    assert pane_transmittance(np.cos(angle), tau) == pytest.approx(traced(angle, extinction), rel=1e-5)


@given(st.floats(0.02, 0.98), st.floats(0.05, 0.9))
def test_more_slanting_light_never_passes_better_by_more_than_rounding(cosine: float, tau: float) -> None:
    # single glazing is flat up to about 40° and then falls
    assert pane_transmittance(cosine, tau) <= pane_transmittance(min(1.0, cosine + 0.02), tau) + 1e-9


def test_light_from_behind_and_grazing_light_do_not_pass() -> None:
    np.testing.assert_allclose(pane_transmittance(np.array([-0.3, 0.0, 1e-6]), 0.8), 0, atol=1e-4)


def test_more_than_a_single_pane_can_pass_is_refused() -> None:
    with pytest.raises(ValueError, match=r"91\.7"):
        pane_transmittance(1.0, 0.95)


def test_diffuse_light_acts_at_about_60_degrees_and_mirrors_when_looking_down() -> None:
    # Duffie and Beckman ch. 5: sky and ground diffuse on a vertical pane act at about 59° to 60°
    sky, ground = diffuse_cosines(90)
    assert np.degrees(np.arccos([sky, ground])) == pytest.approx([59.3, 59.7], abs=0.3)
    # by hand at 30°: 59.7 − 4.164 + 1.347 and 90 − 17.364 + 2.424
    sky, ground = diffuse_cosines(30)
    assert np.degrees(np.arccos([sky, ground])) == pytest.approx([56.88, 75.06], abs=0.01)
    np.testing.assert_allclose(diffuse_cosines(150), (ground, sky))
