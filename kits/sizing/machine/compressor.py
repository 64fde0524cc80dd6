"""The compressor: efficiencies as fits over pressure ratio and speed."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, Refusal, floats, scalar_or_array

TERMS = ("1", "PR", "n", "n²")
SAME_FIT = 1e-9
"""A term is left out when the points do not determine it: relative size of the smallest singular value."""


@dataclass(frozen=True)
class EfficiencyFit:
    """eta = c0 + c1·PR + c2·n + c3·n², n in thousands of rev/min.

    coefficients          c0 to c3; 0 for a term that the points could not determine
    rms_error             root mean square of the residuals, in units of efficiency
    points                how many points were fitted
    pressure_ratio_range  smallest and largest pressure ratio among the points
    speed_range_rpm       smallest and largest speed
    left_out              terms that the points could not determine
    """

    coefficients: tuple[float, float, float, float]
    rms_error: float
    points: int
    pressure_ratio_range: tuple[float, float]
    speed_range_rpm: tuple[float, float]
    left_out: tuple[str, ...] = ()

    def __call__(self, pressure_ratio: ArrayLike, speed_rpm: ArrayLike) -> FloatArray:
        """Efficiency at a pressure ratio and a speed (rev/min), also outside the fitted range."""
        return efficiency(self.coefficients, pressure_ratio, speed_rpm)


@dataclass(frozen=True)
class CompressorModel:
    """One compressor. `electric` compressors may lower their speed to follow the load."""

    displacement_cc: float
    speed_min_rpm: float
    speed_max_rpm: float
    volumetric: EfficiencyFit
    isentropic: EfficiencyFit
    electric: bool

    def __post_init__(self) -> None:
        if not self.displacement_cc > 0:
            raise Refusal("A compressor's displacement must be above zero.")
        if not 0 < self.speed_min_rpm < self.speed_max_rpm:
            raise Refusal("A compressor's lowest speed must be above zero and below its highest.")


def efficiency(
    coefficients: tuple[ArrayLike, ArrayLike, ArrayLike, ArrayLike],
    pressure_ratio: ArrayLike,
    speed_rpm: ArrayLike,
) -> FloatArray:
    """An efficiency of a compressor over pressure ratio and speed.

    Formula: η = c0 + c1·π + c2·n + c3·n², n = speed/1000
    Parameters: coefficients c0 to c3, as fitted; pressure_ratio π, discharge over suction; speed_rpm
    Returns: a share
    Validity: no range is checked here; the fit tells that of its points
    Source: common practice, no source
    Check: by hand: 0.9 − 0.02·5 − 0.05·2

    >>> round(float(efficiency((0.9, -0.02, -0.05, 0.0), 5, 2000)), 9)
    0.7
    """
    c0, c1, c2, c3 = (floats(c) for c in coefficients)
    n = floats(speed_rpm) / 1000
    return scalar_or_array(c0 + c1 * floats(pressure_ratio) + n * (c2 + c3 * n))


def fit_efficiency(pressure_ratio: ArrayLike, speed_rpm: ArrayLike, value: ArrayLike) -> EfficiencyFit:
    """The efficiency over pressure ratio and speed that fits the rated points of a compressor.

    Formula: least squares of c0 + c1·π + c2·n + c3·n²; terms are taken in the order 1, π, n, n², and one that the
        points do not determine (too few, all at one speed) is left out and named
    Parameters: pressure_ratio, at least 1; speed_rpm, above 0; value, the efficiencies, above 0 and up to 1
    Returns: coefficients, root mean square of the errors, and the range of the points
    Validity: within the range of the points
    Source: method of least squares
    Check: a single point gives a constant

    >>> fit_efficiency([4.0], [2000.0], [0.7]).coefficients[1:]
    (0.0, 0.0, 0.0)
    """
    ratio, speed, goal = (np.atleast_1d(floats(v)) for v in (pressure_ratio, speed_rpm, value))
    if not ratio.shape == speed.shape == goal.shape or ratio.ndim != 1 or ratio.size == 0:
        raise ValueError(
            "An efficiency fit needs the same number of ratios, speeds and values, at least one."
        )
    if not (np.isfinite(ratio) & np.isfinite(speed) & np.isfinite(goal)).all():
        raise Refusal("An efficiency point has a value that is not a number.")
    if not ((ratio >= 1) & (speed > 0) & (goal > 0) & (goal <= 1)).all():
        raise Refusal("Efficiency points need a ratio of at least 1, a speed above 0, a value in 0 to 1.")
    n = speed / 1000
    columns = np.stack([np.ones_like(n), ratio, n, n**2], axis=1)
    used = _determined(columns)
    solution = np.linalg.lstsq(columns[:, used], goal, rcond=None)[0]
    coefficients = np.zeros(4)
    coefficients[used] = solution
    residual = columns @ coefficients - goal
    c = [float(x) for x in coefficients]
    return EfficiencyFit(
        (c[0], c[1], c[2], c[3]),
        float(np.sqrt(np.mean(residual**2))),
        int(ratio.size),
        (float(ratio.min()), float(ratio.max())),
        (float(speed.min()), float(speed.max())),
        tuple(TERMS[k] for k in range(4) if k not in used),
    )


def _determined(columns: FloatArray) -> list[int]:
    """The columns, from the left, that are independent of those before them."""
    used: list[int] = []
    scaled = columns / np.linalg.norm(columns, axis=0)
    for k in range(columns.shape[1]):
        if len(used) == columns.shape[0]:
            break
        singular = np.linalg.svd(scaled[:, [*used, k]], compute_uv=False)
        if singular[-1] > SAME_FIT * singular[0]:
            used.append(k)
    return used
