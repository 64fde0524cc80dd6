"""What gauges, thermometers and vents of a plant read, worked out from physics: the direct solution and hand balances.

Nothing here knows the bands or the patterns that readings are judged by. The healthy plant is one of the usual size
(common practice, no source): 140 cm³ at 1,500 rpm and a ratio of 1.3, 330 m³/h over the coil with the fins held at
1 °C, 1,400 m³/h through the condenser, which gets its air 5 K over the outside. Faults change its inputs:

- refrigerant short or held back: a part of the coil is fed, the superheat is high; the liquid has no subcooling when
  charge is short, more of it when the valve holds it back in the condenser
- overcharge: liquid fills a part of the condenser, which cools it further and condenses nothing
- air never pumped out: it collects in the condenser and the receiver and adds its own pressure there. To the
  compressor that is a loss behind it; to the gauge it is head; to a thermometer on the liquid pipe it is subcooling
- dead electric fan: the engine's own fan still draws some air through the condenser
- weak blower: half of the air, which also weakens the coil's air side
- hot water: the matrix warms the air behind the coil

What is solved, and what is prescribed. Low and high pressure and the air off the coil are solved by the balance from
the inputs that a fault changes. Three readings are no result but the fault's own input, handed on: the superheat, the
share of the blower's flow, and the subcooling, but for air in the circuit, whose pressure adds to what is seen of it.
So a case shows that the pattern is told from solved pressures together with a superheat of the usual size for that
fault (common practice, no source). It does not show that an undercharge of 20 % has a superheat of 13 K: that would
take an inventory of the charge, with the part of the coil that is fed as its result. The matrix's hose, the warmth that
it adds at the vents, and the pressure at rest are short balances by hand.

With the clutch cycling the high side swings from its mean over the cycle towards the steady state with the clutch
engaged; what is noted is the middle of the two.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

from scipy.optimize import brentq

from kits.sizing.gas.readings import Readings
from tests.reference.direct_balance import (
    FLUIDS,
    Plant,
    circuit,
    coil,
    saturation_humidity,
    saturation_pa,
    saturation_pressure_pa,
    solve_direct,
)

ATMOSPHERE_PA = 101325.0
DUCT_GAIN_K = 0.5
COIL_M3_H, CONDENSER_M3_H, CONDENSER_RISE_K = 330.0, 1400.0, 5.0
CIRCUIT_L, LIQUID_L = 2.2, 0.5
"""Inner volume of the circuit, and what of it is liquid when healthy."""
AIR_SPACE_L = 0.55
"""Condenser and receiver less their liquid: where air collects."""
COOLANT_C, COOLANT_W_K = 85.0, 8 / 60 * 3800.0
PLANT = {
    "displacement_m3": 140e-6,
    "speed_rpm": 1950.0,
    "speed_min_rpm": 500.0,
    "speed_max_rpm": 6500.0,
    "electric": False,
    "v0": 0.81,
    "v1": -0.057,
    "v2": 0.097,
    "v3": -0.02,
    "i0": 0.466,
    "i1": 0.0,
    "i2": 0.124,
    "i3": -0.0234,
    "superheat_k": 6.0,
    "subcooling_k": 7.0,
    "suction_gain_k": 3.0,
    "suction_length_m": 1.5,
    "suction_bore_m": 0.0127,
    "suction_k": 2.0,
    "discharge_length_m": 1.0,
    "discharge_bore_m": 0.0103,
    "discharge_k": 2.0,
    "evap_ua_air_w_k": 180.0,
    "evap_ref_air_kg_s": 0.103,
    "evap_ua_ref_w_k": 1000.0,
    "pressure_pa": ATMOSPHERE_PA,
    "cond_ua_w_k": 430.0,
    "cond_ref_air_kg_s": 0.53,
    "cond_exponent": 0.62,
    "freeze_mode": "cycling",
    "freeze_surface_c": 1.0,
    "high_pressure_cut_out_pa": 29.5e5,
    "discharge_limit_c": 130.0,
}


@dataclass(frozen=True, kw_only=True)
class Fault:
    """What differs from the healthy plant; none by default.

    fed_share      part of the coil that boils refrigerant
    flooded_share  part of the condenser that is full of liquid
    left_pa        air left in the circuit at rest, before it is charged
    """

    superheat_k: float = 6.0
    subcooling_k: float = 7.0
    fed_share: float = 1.0
    flooded_share: float = 0.0
    left_pa: float = 0.0
    condenser_air_share: float = 1.0
    blower_share: float = 1.0
    water_w: float = 0.0


HEALTHY = Fault()
FAULTS = {
    "undercharged by 20 %": ("undercharged", Fault(superheat_k=13, subcooling_k=0, fed_share=0.7)),
    "undercharged by 40 %": ("undercharged", Fault(superheat_k=24, subcooling_k=0, fed_share=0.4)),
    "overcharged by 20 %": ("overcharged-or-air", Fault(subcooling_k=16, flooded_share=0.25)),
    "air in it": ("overcharged-or-air", Fault(left_pa=ATMOSPHERE_PA)),
    "condenser fan dead": ("condenser-starved", Fault(condenser_air_share=0.4)),
    "valve starving": ("valve-starving", Fault(superheat_k=22, subcooling_k=11, fed_share=0.4)),
    "blower weak": ("blower-weak", Fault(blower_share=0.5)),
    "hot water past its valve": ("hot-water", Fault(water_w=4000.0)),
}
"""By name: the group that should be told, and the fault."""


@cache
def read(ambient_c: float, humidity_share: float, fault: Fault = HEALTHY, gas: str = "R-134a") -> Readings:
    """All readings of the plant at an ambient temperature and humidity, doors open, after it has settled."""
    inputs = _inputs(ambient_c, humidity_share, fault)
    in_condenser_pa = fault.left_pa * CIRCUIT_L / AIR_SPACE_L
    if in_condenser_pa:
        inputs["discharge_k"] = _loss_factor(gas, inputs, in_condenser_pa)
    found = solve_direct(gas, **inputs)
    assert found["status"] in ("full", "freeze-limited"), found
    condensing_c = found["condensing_c"]
    head_pa = found["discharge_pa"]
    if found["status"] == "freeze-limited":
        head_pa = 0.5 * (head_pa + _engaged_head_pa(gas, inputs))
    liquid_c = condensing_c - fault.subcooling_k
    seen_pa = saturation_pa(gas, condensing_c, 0.0) + in_condenser_pa
    heat_w_k = inputs["air_kg_s"] * (1006.0 + 1860.0 * found["air_off_w"])
    is_leaking = fault.water_w > 0
    return Readings(
        low_bar_g=(found["suction_pa"] - ATMOSPHERE_PA) / 1e5,
        high_bar_g=(head_pa - ATMOSPHERE_PA) / 1e5,
        vent_c=found["air_off_c"] + DUCT_GAIN_K + fault.water_w / heat_w_k,
        subcooling_k=_saturated_c(gas, seen_pa) - liquid_c,
        superheat_k=fault.superheat_k,
        matrix_hose_over_air_k=COOLANT_C - fault.water_w / COOLANT_W_K - ambient_c if is_leaking else 0.0,
        blower_flow_share=fault.blower_share,
        # at rest the air spreads through all that is no liquid
        rest_excess_bar=fault.left_pa * CIRCUIT_L / (CIRCUIT_L - LIQUID_L) / 1e5,
    )


def _inputs(ambient_c: float, humidity_share: float, fault: Fault) -> dict[str, Any]:
    vapour_pa = humidity_share * saturation_pressure_pa(ambient_c)
    humidity = 0.621945 * vapour_pa / (ATMOSPHERE_PA - vapour_pa)
    assert humidity < saturation_humidity(ambient_c, ATMOSPHERE_PA)
    dry_kg_m3 = (ATMOSPHERE_PA - vapour_pa) / (287.042 * (ambient_c + 273.15))
    condenser_c = ambient_c + CONDENSER_RISE_K
    condenser_kg_m3 = ATMOSPHERE_PA / (287.042 * (condenser_c + 273.15))
    return {
        **PLANT,
        "air_in_c": ambient_c,
        "air_in_w": humidity,
        "air_kg_s": fault.blower_share * COIL_M3_H / 3600 * dry_kg_m3,
        "cond_air_in_c": condenser_c,
        "cond_air_kg_s": fault.condenser_air_share * CONDENSER_M3_H / 3600 * condenser_kg_m3,
        "evap_ua_ref_w_k": fault.fed_share * PLANT["evap_ua_ref_w_k"],
        "cond_ua_w_k": (1 - fault.flooded_share) * PLANT["cond_ua_w_k"],
        "superheat_k": fault.superheat_k,
        "subcooling_k": fault.subcooling_k,
    }


def _loss_factor(gas: str, inputs: dict[str, Any], pressure_pa: float) -> float:
    """The loss factor behind the compressor that makes the loss as large as the air's own pressure."""

    def over(factor: float) -> float:
        found = solve_direct(gas, **(inputs | {"discharge_k": factor}))
        condensing_pa = saturation_pa(gas, found["condensing_c"], 1.0)
        return float(found["discharge_pa"]) - condensing_pa - pressure_pa

    return float(brentq(over, 2.0, 2000.0, xtol=1e-3))


def _engaged_head_pa(gas: str, inputs: dict[str, Any]) -> float:
    """The head with the clutch engaged for good and the fins still held: the condenser rejects all that is pumped."""
    plant = Plant(**inputs)
    held = coil(plant, plant.freeze_surface_c)

    def point(condensing_c: float) -> Any:
        return circuit(gas, plant, held, condensing_c, plant.speed_rpm, 1.0)

    def excess_w(condensing_c: float) -> float:
        at = point(condensing_c)
        return float(at.excess_w + (at.flow_kg_s - at.pump_kg_s) * (at.h_2 - at.h_3))

    return float(point(float(brentq(excess_w, 20.0, 80.0))).discharge_pa)


def _saturated_c(gas: str, pressure_pa: float) -> float:
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("T", "P", pressure_pa, "Q", 0, FLUIDS[gas])) - 273.15
