"""Air speeds read at the vents, turned back into a flow, beside what was predicted."""

from collections.abc import Mapping
from dataclasses import dataclass

from kits.sizing.air.air_path import AirPath
from kits.sizing.air.airflow import AirFlow
from kits.sizing.air.blower import flow_from_velocity_m3_h
from vehicles.physics.arrays import Refusal

FASTEST_M_S = 40.0
"""Faster air leaves no vent of a car: such a reading is in another unit."""


@dataclass(frozen=True)
class VentReading:
    """What was read at one vent, the flow that makes, and what was predicted of both."""

    code: str
    free_area_cm2: float
    velocity_m_s: float
    airflow_m3_h: float
    predicted_m_s: float
    predicted_m3_h: float


@dataclass(frozen=True)
class VentReadings:
    """The readings of all vents with their sum."""

    vents: tuple[VentReading, ...]
    total_m3_h: float
    predicted_m3_h: float

    @property
    def apart_share(self) -> float:
        """How far the measured sum lies from the predicted one; negative: less air than predicted."""
        return self.total_m3_h / self.predicted_m3_h - 1


def vent_readings(
    path: AirPath, predicted: AirFlow, velocity_m_s: Mapping[str, float], mean_over_reading: float
) -> VentReadings:
    """The flow that the air speeds read at the vents make.

    Formula: q = V·share·A at each vent, and their sum.
    Parameters: path, with the vents' free areas; predicted, the operating point at the same step; velocity_m_s, by
    the code of each open vent; mean_over_reading, mean over reading: 1 for a nine-point traverse, above 0 to 1.
    Returns: the flow of each vent, their sum, and what was predicted.
    Validity: one reading a vent, all at the same step and voltage; the casing's leaks are not seen.
    Source: continuity.
    Check: the predicted speeds give back the predicted flow.
    """
    codes = [outlet.code for outlet in path.outlets]
    if set(velocity_m_s) != set(codes):
        raise Refusal(f"Each of the {len(codes)} vents needs one reading.")
    if not 0 < mean_over_reading <= 1:
        raise Refusal("The mean over the reading must be above 0 and at most 1.")
    too_fast = [code for code in codes if not 0 <= velocity_m_s[code] <= FASTEST_M_S]
    if too_fast:
        raise Refusal(
            f"Vent {too_fast[0]}: {velocity_m_s[too_fast[0]]:g} m/s is not from 0 to {FASTEST_M_S:g} m/s; is it in m/s?"
        )
    if not any(velocity_m_s.values()):
        raise Refusal("No vent gives any air: is the blower on?")
    if not predicted.within_curve:
        raise Refusal(f"There is no prediction to compare with. {predicted.reason}")
    vents = tuple(
        VentReading(
            outlet.code,
            outlet.free_area_cm2,
            velocity_m_s[outlet.code],
            float(
                flow_from_velocity_m3_h(velocity_m_s[outlet.code], outlet.free_area_cm2, mean_over_reading)
            ),
            predicted.outlet_velocity_m_s[i],
            predicted.outlet_m3_h[i],
        )
        for i, outlet in enumerate(path.outlets)
    )
    return VentReadings(vents, sum(vent.airflow_m3_h for vent in vents), predicted.total_m3_h)
