"""A blower by its curve, and the fan laws that carry the curve to another speed, size or density."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, Refusal, answer, floats, scalar_or_array

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

STANDARD_AIR_KG_M3 = 1.2
"""Density to which blower curves and rated pressure losses of air are given (ISO 5801)."""


def air_density_kg_m3(air_c: ArrayLike) -> FloatArray:
    """Density of air at sea level by its temperature, from standard air.

    Formula: ρ = 1.2·293.15/(273.15 + t).
    Parameters: air_c, °C, −100 to 200.
    Returns: kg/m³.
    Validity: sea level; humidity changes it by 1 to 2 % and is left out.
    Source: ideal gas; ISO 5801 for standard air at 20 °C.
    Check: 1.2 kg/m³ at 20 °C; within 2 % of psychrolib's humid air from 0 to 50 °C.
    """
    t = floats(air_c)
    valid = (t >= -100) & (t <= 200)
    density = STANDARD_AIR_KG_M3 * 293.15 / (np.where(valid, t, 20.0) + 273.15)
    return answer(density, valid, "The density of air is given from −100 to 200 °C only.")


def fan_laws(
    speed_ratio: ArrayLike, diameter_ratio: ArrayLike = 1.0, density_ratio: ArrayLike = 1.0
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """How flow, pressure and shaft power change between similar points of similar fans.

    Formula: flow n·d³, pressure ρ·n²·d², power ρ·n³·d⁵, all ratios of new over old
    Parameters: speed_ratio n, diameter_ratio d, density_ratio ρ
    Returns: ratios of flow, pressure and power
    Validity: ratios above 0; the same point of the curve
    Source: fan laws, ISO 5801
    Check: by hand at double speed

    >>> [float(ratio) for ratio in fan_laws(2)]
    [2.0, 4.0, 8.0]
    """
    n, d, rho = np.broadcast_arrays(floats(speed_ratio), floats(diameter_ratio), floats(density_ratio))
    valid = np.isfinite(n * d * rho) & (n > 0) & (d > 0) & (rho > 0)
    sentence = "The fan laws need ratios above zero."
    return (
        answer(n * d**3, valid, sentence),
        answer(rho * n**2 * d**2, valid, sentence),
        answer(rho * n**3 * d**5, valid, sentence),
    )


@dataclass(frozen=True)
class BlowerData:
    """A blower as its maker gives it, at rated voltage and standard air (1.2 kg/m³).

    curve           (airflow m³/h, static pressure Pa): flows rise, pressures never rise; two rows or more.
                    Between the rows a monotone cubic (PCHIP); outside the rows nothing is known.
    current         (airflow m³/h, current A) from the first to the last flow of the curve, or one row whose
                    current holds at every flow
    step_by_resistor  True: the steps are series resistors in the air stream, so what they burn warms the air
                    too; False: an electronic controller, whose own loss is left out
    """

    curve: tuple[tuple[float, float], ...]
    rated_voltage_v: float
    current: tuple[tuple[float, float], ...]
    step_by_resistor: bool

    def __post_init__(self) -> None:
        if len(self.curve) < 2 or not self.current:
            raise Refusal("A blower needs a curve of two rows or more and its current.")
        numbers = np.array([*self.curve, *self.current, (self.rated_voltage_v, 0.0)], dtype=float)
        if not np.all(np.isfinite(numbers) & (numbers >= 0)) or self.rated_voltage_v == 0:
            raise Refusal("Blower data must be numbers, not negative, with a rated voltage above zero.")
        flow, static = np.array(self.curve).T
        if not (np.all(np.diff(flow) > 0) and np.all(np.diff(static) <= 0) and static[0] > 0):
            raise Refusal("Along a blower curve the flow must rise and the static pressure must not.")
        drawn_at, ampere = np.array(self.current).T
        if not (np.all(np.diff(drawn_at) > 0) and np.all(ampere > 0)):
            raise Refusal("The blower's current must be above zero, at rising flows.")
        if len(drawn_at) > 1 and (drawn_at[0] > flow[0] or drawn_at[-1] < flow[-1]):
            raise Refusal("The blower's current must cover the flows of its curve.")

    @property
    def least_m3_h(self) -> float:
        """First flow of the curve."""
        return self.curve[0][0]

    @property
    def most_m3_h(self) -> float:
        """Last flow of the curve."""
        return self.curve[-1][0]

    @cached_property
    def _spline(self) -> "PchipInterpolator":
        from scipy.interpolate import PchipInterpolator  # 0.2 s: not for those who only read a catalogue

        flow, static = np.array(self.curve).T
        return PchipInterpolator(flow, static, extrapolate=False)

    def static_pa(self, airflow_m3_h: ArrayLike) -> FloatArray:
        """Static pressure rise at rated voltage in standard air; flow within the curve."""
        flow = floats(airflow_m3_h)
        valid = (flow >= self.least_m3_h) & (flow <= self.most_m3_h)
        static = self._spline(np.where(valid, flow, self.least_m3_h))
        sentence = f"The blower's curve is known from {self.least_m3_h:g} to {self.most_m3_h:g} m³/h only."
        return answer(static, valid, sentence)

    def current_a(self, airflow_m3_h: ArrayLike) -> FloatArray:
        """Motor current at rated voltage in standard air, linear between its rows; flow within the curve."""
        flow = floats(airflow_m3_h)
        valid = (flow >= self.least_m3_h) & (flow <= self.most_m3_h)
        drawn_at, ampere = np.array(self.current).T
        ampere_there = np.interp(flow, drawn_at, ampere)
        return answer(ampere_there, valid, "The flow lies outside the blower's curve.")


def speed_share(voltage_v: ArrayLike, step_share: ArrayLike, rated_voltage_v: ArrayLike) -> FloatArray:
    """Speed of a blower over its rated speed.

    Formula: n/n_rated = V·share/V_rated.
    Parameters: voltage_v, at the blower's plug; step_share, motor voltage of this step over that of full speed,
    above 0 up to 1; rated_voltage_v, above 0.
    Returns: a ratio.
    Validity: brushed motors, whose speed follows their voltage nearly in proportion under a fan's load; a measured
    speed goes in as `step_share` with the rated voltage.
    Source: common practice, no source.
    Check: full voltage at the full step is rated speed, half of it half.
    """
    v, share, rated = np.broadcast_arrays(floats(voltage_v), floats(step_share), floats(rated_voltage_v))
    valid = (v > 0) & np.isfinite(v) & (share > 0) & (share <= 1) & (rated > 0)
    ratio = v * share / np.where(valid, rated, 1.0)
    return answer(ratio, valid, "The blower needs a voltage above zero and a step share above 0 up to 1.")


def flow_from_velocity_m3_h(
    velocity_m_s: ArrayLike, free_area_cm2: ArrayLike, mean_over_reading: ArrayLike = 1.0
) -> FloatArray:
    """Flow out of a vent from a velocity measured at it.

    Formula: q = V·share·A.
    Parameters: velocity_m_s, reading of a vane anemometer, not negative; free_area_cm2, free area where it was
    read, above 0; mean_over_reading, mean velocity over the reading: 1 for a nine-point traverse, less for the
    middle only, above 0.
    Returns: m³/h.
    Validity: the whole vane in the jet, close to the vent.
    Source: continuity.
    Check: back to the velocity by velocity_from_flow_m_s; 8.7 m/s out of four vents of 57 mm are 320 m³/h.
    """
    v, area, share = (floats(x) for x in (velocity_m_s, free_area_cm2, mean_over_reading))
    valid = (v >= 0) & np.isfinite(v) & (area > 0) & np.isfinite(area) & (share > 0) & np.isfinite(share)
    sentence = "A measured velocity can't be negative, and the free area must be above zero."
    return answer(scalar_or_array(v * share * area * 1e-4 * 3600), valid, sentence)


def velocity_from_flow_m_s(airflow_m3_h: ArrayLike, free_area_cm2: ArrayLike) -> FloatArray:
    """Mean velocity in a vent's free area.

    Formula: V = q/A.
    Parameters: airflow_m3_h, not negative; free_area_cm2, above 0.
    Returns: m/s.
    Validity: the mean over the free area; the middle of a jet is faster.
    Source: continuity.
    Check: 320 m³/h out of four vents of 57 mm make 8.7 m/s.
    """
    q, area = floats(airflow_m3_h), floats(free_area_cm2)
    valid = (q >= 0) & np.isfinite(q) & (area > 0) & np.isfinite(area)
    v = q / 3600 / (np.where(valid, area, 1.0) * 1e-4)
    return answer(v, valid, "A flow can't be negative, and the free area must be above zero.")
