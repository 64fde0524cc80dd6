"""The states of the cabin's air on its way through the coil, from a solved duty point."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.verdict.record import DutyAnswer
from vehicles.heatload.inputs import ClimateState
from vehicles.physics.air import humidity_ratio, pressure_from_altitude_pa, saturation_humidity_ratio
from vehicles.physics.arrays import FloatArray, Refusal, answer, floats


@dataclass(frozen=True)
class AirPoint:
    """One state of the air: where, its temperature, the water in it per dry air."""

    place: str
    temperature_c: float
    humidity_kg_kg: float


def air_points(climate: ClimateState, solved: DutyAnswer) -> tuple[AirPoint, ...]:
    """The states of the air from outside to the vents.

    Formula: outside and cabin from their relative humidity; the coil's inlet is the mix of cabin and outside air; the
    fins' air is saturated at their temperature, or as dry as the inlet where nothing condenses; the air off the coil
    lies between inlet and fins, as far as the bypass leaves; at the vents it is warmer by the ducts.
    Parameters: climate of the duty point; solved, its answer.
    Returns: states with temperature in °C and humidity ratio in kg/kg.
    Validity: the cabin's air is one well-mixed room at the temperature it is judged at.
    Source: humid air, bypass method.
    Check: m·(h_in - h_off) is the capacity, m·(W_in - W_off) the condensate.
    """
    wanted = (
        solved.judged_at_c, solved.cabin_humidity_share, solved.air_in_c, solved.air_in_kg_kg, solved.surface_c,
        solved.air_off_c, solved.air_off_kg_kg, solved.vent_c, climate.outside_c, climate.rh,
    )  # fmt: skip
    if any(value is None for value in wanted):
        raise Refusal(f"The air's states at “{solved.name}” are not known: it was not solved.")
    cabin_c, share, in_c, in_w, fin_c, off_c, off_w, vent_c, out_c, out_rh = (
        float(value) for value in wanted if value is not None
    )
    pressure = pressure_from_altitude_pa(climate.altitude_m or 0.0)
    fin_w = min(float(saturation_humidity_ratio(fin_c, pressure)), in_w)
    return (
        AirPoint("outside", out_c, float(humidity_ratio(out_c, out_rh, pressure))),
        AirPoint("cabin", cabin_c, float(humidity_ratio(cabin_c, min(share, 1.0), pressure))),
        AirPoint("into the coil", in_c, in_w),
        AirPoint("at the fins", fin_c, fin_w),
        AirPoint("off the coil", off_c, off_w),
        AirPoint("at the vents", vent_c, off_w),
    )


def sensible_share(sensible_w: ArrayLike, total_w: ArrayLike) -> FloatArray:
    """How much of a coil's cooling lowers the temperature; the rest takes out water.

    Formula: SHR = Q_sensible/Q.
    Parameters: sensible_w, W, not negative; total_w, W, above 0.
    Returns: share; 1 on a dry coil.
    Validity: heat of the water that drips off is left out.
    Source: definition.
    Check: by hand: 2,100 of 3,500 W are 0.6.
    """
    sensible, total = floats(sensible_w), floats(total_w)
    valid = (sensible >= 0) & (total > 0) & np.isfinite(sensible) & np.isfinite(total)
    share = sensible / np.where(valid, total, 1.0)
    return answer(share, valid, "A share needs sensible heat not negative and a total above zero.")


def condensate_kg_h(dry_air_kg_s: ArrayLike, in_kg_kg: ArrayLike, off_kg_kg: ArrayLike) -> FloatArray:
    """Water a coil takes out of the air.

    Formula: m_water = 3600·m_air·(W_in - W_off).
    Parameters: dry_air_kg_s, kg/s, not negative; in_kg_kg and off_kg_kg, humidity ratios, kg/kg, the second not above
    the first.
    Returns: kg/h.
    Validity: all of it drips off; while fins are still wetting, less comes out of the drain.
    Source: mass balance of the water.
    Check: by hand: 0.1 kg/s from 12 to 8 g/kg are 1.44 kg/h.
    """
    air, w_in, w_off = floats(dry_air_kg_s), floats(in_kg_kg), floats(off_kg_kg)
    valid = (air >= 0) & (w_in >= w_off) & (w_off >= 0) & np.isfinite(air * w_in)
    water = 3600 * air * (w_in - w_off)
    return answer(
        water, valid, "Condensate needs air not negative, and air off the coil no wetter than before it."
    )


def bypass_share(in_c: ArrayLike, off_c: ArrayLike, fin_c: ArrayLike) -> FloatArray:
    """Share of the air that leaves a coil as if it had not touched it.

    Formula: BF = (t_off - t_fin)/(t_in - t_fin).
    Parameters: in_c, off_c, fin_c, °C, falling in this order.
    Returns: share, 0 to 1.
    Validity: a coil with fins at one temperature; exact where dry, within a few thousandths where wet.
    Source: bypass method, ASHRAE Systems and Equipment.
    Check: by hand: 27 °C to 7 °C over fins at 2 °C are 0.2.
    """
    t_in, t_off, fin = floats(in_c), floats(off_c), floats(fin_c)
    valid = (t_in > fin) & (t_off >= fin) & (t_off <= t_in)
    share = (t_off - fin) / np.where(valid, t_in - fin, 1.0)
    return answer(share, valid, "A bypass needs air that cools from its inlet towards the fins.")
