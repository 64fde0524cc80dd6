"""Compressor efficiencies: fits recover what made the points, and say what they could not know."""

import numpy as np
import pytest

from kits.sizing.machine.compressor import CompressorModel, efficiency, fit_efficiency

TRUE = (0.95, -0.05, 0.06, -0.012)


def test_a_fit_recovers_the_coefficients_behind_its_points() -> None:
    ratio, speed = (a.ravel() for a in np.meshgrid([2.0, 4.0, 7.0], [800.0, 2000.0, 4500.0]))
    fit = fit_efficiency(ratio, speed, efficiency(TRUE, ratio, speed))
    np.testing.assert_allclose(fit.coefficients, TRUE, atol=1e-12)
    assert fit.rms_error < 1e-12
    assert (fit.points, fit.pressure_ratio_range, fit.speed_range_rpm) == (9, (2.0, 7.0), (800.0, 4500.0))
    assert fit.left_out == ()


def test_the_error_of_a_fit_is_shown() -> None:
    ratio, speed = np.repeat([2.0, 4.0, 7.0], 2), np.tile([800.0, 3000.0], 3)
    scatter = 0.02 * np.array([1, 1, -1, -1, 1, 1])
    fit = fit_efficiency(ratio, speed, efficiency(TRUE, ratio, speed) + scatter)
    assert 0.005 < fit.rms_error < 0.02


@pytest.mark.parametrize(
    ("ratio", "speed", "left_out"),
    [
        ([4.0], [2000.0], ("PR", "n", "n²")),
        ([3.0, 5.0], [2000.0, 2000.0], ("n", "n²")),
        ([3.0, 3.0, 3.0], [800.0, 2000.0, 4500.0], ("PR",)),
        ([3.0, 5.0, 3.0, 5.0], [800.0, 800.0, 2000.0, 2000.0], ("n²",)),
        ([4.0, 4.0, 4.0], [2000.0, 2000.0, 2000.0], ("PR", "n", "n²")),
    ],
)
def test_terms_the_points_do_not_determine_are_left_out_and_named(
    ratio: list[float], speed: list[float], left_out: tuple[str, ...]
) -> None:
    values = efficiency(TRUE, ratio, speed)
    fit = fit_efficiency(ratio, speed, values)
    assert fit.left_out == left_out
    np.testing.assert_allclose(fit(ratio, speed), values, atol=1e-12)


def test_rated_points_of_a_belt_compressor_fit_within_a_hundredth() -> None:
    # common practice, no source: 0.75/0.65/0.55 at ratio 3/5/6.5 and 2,000 rpm, -0.05 at 800, -0.08 at 4,500
    ratio = [3, 5, 6.5, 3, 5, 6.5, 3, 5, 6.5]
    speed = [2000] * 3 + [800] * 3 + [4500] * 3
    value = [0.75, 0.65, 0.55, 0.70, 0.60, 0.50, 0.67, 0.57, 0.47]
    assert fit_efficiency(ratio, speed, value).rms_error < 0.01


@pytest.mark.parametrize(
    ("ratio", "speed", "value", "sentence"),
    [
        ([], [], [], "at least one"),
        ([3.0], [2000.0, 800.0], [0.7, 0.6], "same number"),
        ([0.5], [2000.0], [0.7], "ratio of at least 1"),
        ([3.0], [0.0], [0.7], "speed above 0"),
        ([3.0], [2000.0], [1.2], "value in 0 to 1"),
        ([3.0], [2000.0], [float("nan")], "not a number"),
    ],
)
def test_bad_points_are_refused(
    ratio: list[float], speed: list[float], value: list[float], sentence: str
) -> None:
    with pytest.raises(ValueError, match=sentence):
        fit_efficiency(ratio, speed, value)


def test_a_rated_efficiency_may_be_one_and_no_more() -> None:
    assert fit_efficiency([4.0], [2000.0], [1.0])(4.0, 2000.0) == pytest.approx(1.0)
    for value in (1.000001, 0.0):
        with pytest.raises(ValueError, match="value in 0 to 1"):
            fit_efficiency([4.0], [2000.0], [value])


def test_a_compressor_needs_displacement_and_a_range_of_speeds() -> None:
    fit = fit_efficiency([4.0], [2000.0], [0.7])
    with pytest.raises(ValueError, match="displacement must be above zero"):
        CompressorModel(0.0, 500, 6500, fit, fit, electric=False)
    with pytest.raises(ValueError, match="lowest speed"):
        CompressorModel(120.0, 6500, 500, fit, fit, electric=False)


def test_a_rated_point_left_out_comes_back_within_the_stated_error() -> None:
    """Rated values as a data sheet has them, rounded to a hundredth; a lone point may miss by three such errors."""
    ratio, speed = (a.ravel() for a in np.meshgrid([2.0, 3.5, 5.0, 6.5], [800.0, 1500.0, 3000.0, 4500.0]))
    rated = np.round(efficiency(TRUE, ratio, speed), 2)
    missed = []
    for k in range(rated.size):
        others = np.arange(rated.size) != k
        fit = fit_efficiency(ratio[others], speed[others], rated[others])
        assert 0 < fit.rms_error < 0.005
        missed.append((fit(ratio[k], speed[k]) - rated[k]) / fit.rms_error)
    assert np.abs(missed).max() <= 3
    assert np.sqrt(np.mean(np.square(missed))) <= 1.5
