"""A plant of the usual size, fitted to rated points that are common practice (no source), for the tests."""

from typing import Any

import numpy as np

from kits.sizing.balance.balance import BalanceInput
from kits.sizing.machine.compressor import fit_efficiency
from kits.sizing.machine.condenser import RatedCondenserPoint, fit_condenser
from kits.sizing.machine.evaporator import RatedCoilPoint, fit_evaporator
from vehicles.physics.air import density_kg_m3, humidity_ratio, specific_volume_m3_kg

# 3.5 kW at 320 m³/h and 27 °C/50 % with the surface at 2.5 °C: evaporating about 5 K colder
COIL = fit_evaporator([RatedCoilPoint(320, 27, 0.5, -2.5, 3500)])
CONDENSER = fit_condenser([RatedCondenserPoint(2500, 35, 60, 10000), RatedCondenserPoint(1100, 35, 60, 5400)])
VOLUMETRIC = fit_efficiency(
    [3, 5, 6.5, 3, 5, 6.5, 3, 5, 6.5],
    [2000, 2000, 2000, 800, 800, 800, 4500, 4500, 4500],
    [0.75, 0.65, 0.55, 0.70, 0.60, 0.50, 0.67, 0.57, 0.47],
)
ISENTROPIC = fit_efficiency([4, 4, 4], [800, 2000, 5000], [0.55, 0.62, 0.50])


def plant(
    *,
    coil_m3_h: Any = 320.0,
    air_in_c: Any = 27.0,
    rh: Any = 0.5,
    condenser_m3_h: Any = 1100.0,
    displacement_cc: Any = 150.0,
    **changes: Any,
) -> BalanceInput:
    """The plant at some air and speed; any input of the balance can be replaced by name."""
    humidity = humidity_ratio(air_in_c, rh)
    cond_air_in_c = changes.pop("cond_air_in_c", 35.0)
    inputs: dict[str, Any] = {
        "displacement_m3": np.multiply(displacement_cc, 1e-6),
        "speed_rpm": 2000.0,
        "speed_min_rpm": 500.0,
        "speed_max_rpm": 6500.0,
        "electric": False,
        **dict(zip(("v0", "v1", "v2", "v3"), VOLUMETRIC.coefficients, strict=True)),
        **dict(zip(("i0", "i1", "i2", "i3"), ISENTROPIC.coefficients, strict=True)),
        "superheat_k": 5.0,
        "subcooling_k": 5.0,
        "suction_gain_k": 3.0,
        "suction_length_m": 1.5,
        "suction_bore_m": 0.0127,
        "suction_k": 2.0,
        "discharge_length_m": 1.0,
        "discharge_bore_m": 0.0103,
        "discharge_k": 2.0,
        "evap_ua_air_w_k": COIL.ua_air_w_k,
        "evap_ref_air_kg_s": COIL.ref_air_kg_s,
        "evap_ua_ref_w_k": COIL.ua_ref_w_k,
        "air_kg_s": np.divide(coil_m3_h, 3600) / specific_volume_m3_kg(air_in_c, humidity),
        "air_in_c": air_in_c,
        "air_in_w": humidity,
        "pressure_pa": 101325.0,
        "cond_ua_w_k": CONDENSER.ua_w_k,
        "cond_ref_air_kg_s": CONDENSER.ref_air_kg_s,
        "cond_exponent": CONDENSER.exponent,
        "cond_air_kg_s": np.divide(condenser_m3_h, 3600) * density_kg_m3(35.0, 0.0),
        "cond_air_in_c": cond_air_in_c,
        "freeze_mode": "cycling",
        "freeze_surface_c": 2.5,
        "high_pressure_cut_out_pa": 29.5e5,
        "discharge_limit_c": 120.0,
    }
    return BalanceInput(**(inputs | changes))


def idle(**changes: Any) -> BalanceInput:
    """Hot idle: 35 °C and 40 % at the coil, 150 cc at 900 rev/min, condenser on its fan."""
    return plant(**({"air_in_c": 35.0, "rh": 0.4, "speed_rpm": 900.0} | changes))
