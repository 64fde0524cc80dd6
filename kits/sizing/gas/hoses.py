"""Refrigerant hoses: nominal bores, volume, velocity, loss in kelvin, oil return, and what one metre more costs."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.gas.lines import line_pressure_drop_pa, saturation_loss_k
from kits.sizing.gas.refrigerant import Refrigerant
from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array

SIZES_FILE = Path(__file__).parent / "data" / "hose_sizes.json"
GRAVITY_M_S2 = 9.80665
FLOODING = 0.85
"""Wallis' constant of a film that gas just carries upwards, as Jacobs found it for oil in risers (from memory)."""
BORE_TOLERANCE_SHARE = 0.03
"""How far makers' bores of a nominal size lie apart."""


@dataclass(frozen=True)
class HoseSize:
    """A nominal size with its bore."""

    size: str
    bore_mm: float
    inch: str
    nominal_mm: float


@cache
def hose_sizes() -> tuple[HoseSize, ...]:
    """The nominal sizes from the smallest up."""
    rows = json.loads(SIZES_FILE.read_text(encoding="utf-8"))["sizes"]
    return tuple(sorted((HoseSize(**row) for row in rows), key=lambda size: size.bore_mm))


def nominal_bore_mm(size: str) -> float | None:
    """The bore of a nominal hose size.

    Formula: none: a row of a table.
    Parameters: size, such as "#8".
    Returns: mm; None for a size that is not in the data.
    Validity: makers' bores of one size lie up to 3 % apart.
    Source: common nominal bores (SAE J2064 family), from memory, as data/hose_sizes.json says.
    Check: #8 is 10.3 mm.

    >>> nominal_bore_mm("#8")
    10.3
    """
    return next((row.bore_mm for row in hose_sizes() if row.size == size), None)


def next_size_up(bore_mm: float) -> HoseSize | None:
    """The next larger nominal hose size.

    Formula: the smallest size whose bore is more than 1.03 times the one given.
    Parameters: bore_mm, inner diameter, mm.
    Returns: the size with its bore in mm; None above the largest.
    Validity: a bore within 3 % of a size is that size.
    Source: common nominal bores (SAE J2064 family), from memory; the 3 %: common practice, no source.
    Check: above 10.3 mm (#8) and above 10.5 mm, which is #8 too, comes #10.

    >>> next_size_up(10.3).size, next_size_up(10.5).size
    ('#10', '#10')
    """
    return next((row for row in hose_sizes() if row.bore_mm > bore_mm * (1 + BORE_TOLERANCE_SHARE)), None)


def hose_end_loss(angle_deg: ArrayLike, straight: ArrayLike, bend: ArrayLike) -> FloatArray:
    """The loss coefficient of one end of a hose.

    Formula: K = K_straight + |angle|/90·K_bend.
    Parameters: angle_deg of the end, 0 when straight, to either side; straight and bend, loss of a straight end
    and what a bend of 90 degrees adds, velocity heads of the hose's bore, not negative.
    Returns: velocity heads.
    Validity: ends of about the hose's own bore; real bends lose less than in proportion above 90 degrees.
    Source: common practice, from memory; both numbers are defaults and told as assumed.
    Check: by hand: with 0.5 and 0.5, 0.5 straight, 0.75 at 45 degrees, 1.0 at 90 degrees.
    """
    angle, end, more = np.abs(floats(angle_deg)), floats(straight), floats(bend)
    return answer(
        end + angle / 90 * more,
        np.isfinite(angle) & (end >= 0) & (more >= 0),
        "A hose end needs an angle that is a number and losses that are not negative.",
    )


def hose_volume_ml(bore_mm: ArrayLike, length_m: ArrayLike) -> FloatArray:
    """The inner volume of a hose, ml.

    Formula: V = π/4·d²·L.
    Parameters: bore_mm, inner diameter, mm, above 0; length_m, cut length, m, not negative.
    Returns: ml.
    Validity: the hose alone; its crimped ends have their own volumes.
    Source: geometry.
    Check: #6 (7.9 mm) holds 49 ml a metre.
    """
    bore, length = floats(bore_mm), floats(length_m)
    # mm² times m is ml
    return answer(
        np.pi / 4 * bore**2 * length,
        (bore > 0) & (length >= 0),
        "A hose needs a bore above zero and a length not negative.",
    )


def hose_velocity_m_s(flow_kg_s: ArrayLike, bore_mm: ArrayLike, density_kg_m3: ArrayLike) -> FloatArray:
    """The mean velocity of refrigerant in a hose, m/s.

    Formula: v = m/(rho·π/4·d²).
    Parameters: flow_kg_s, kg/s, not negative; bore_mm, mm; density_kg_m3, kg/m³; both above 0.
    Returns: m/s.
    Validity: one phase.
    Source: continuity.
    Check: suction lines worked out with CoolProp, within 1 %.
    """
    flow, bore, density = floats(flow_kg_s), floats(bore_mm), floats(density_kg_m3)
    valid = (flow >= 0) & (bore > 0) & (density > 0)
    area_m2 = np.pi / 4 * (np.where(valid, bore, 1.0) / 1000) ** 2
    return answer(
        flow / (np.where(valid, density, 1.0) * area_m2),
        valid,
        "A velocity needs a bore and a density above zero and a flow not negative.",
    )


def oil_return_velocity_m_s(bore_mm: ArrayLike, gas_kg_m3: ArrayLike, oil_kg_m3: ArrayLike) -> FloatArray:
    """The least velocity at which suction gas still carries its oil up a riser, m/s.

    Formula: v = 0.85²·(g·d·(rho_oil - rho_gas)/rho_gas)^(1/2).
    Parameters: bore_mm, inner diameter, mm, above 0; gas_kg_m3, density of the gas, above 0; oil_kg_m3, of the oil,
    above the gas'.
    Returns: m/s.
    Validity: a vertical line, thin oil; a level or falling line needs less. Cold thick oil needs more.
    Source: Jacobs and co-authors, ASHRAE Trans. 82 (1976), after Wallis' flooding of a film; from memory.
    Check: the limiting cases; common practice asks 2.5 m/s in level lines and 5 in risers (no source).
    """
    bore, gas, oil = floats(bore_mm), floats(gas_kg_m3), floats(oil_kg_m3)
    valid = (bore > 0) & (gas > 0) & (oil > gas)
    inside = GRAVITY_M_S2 * bore / 1000 * (oil - gas) / np.where(valid, gas, 1.0)
    return answer(
        FLOODING**2 * np.sqrt(np.where(valid, inside, 0.0)),
        valid,
        "Oil return needs a bore and a gas density above zero, and oil denser than the gas.",
    )


def suction_hose_loss_k(
    gas: Refrigerant,
    *,
    flow_kg_s: ArrayLike,
    length_m: ArrayLike,
    bore_mm: ArrayLike,
    loss_factor: ArrayLike,
    evaporating_c: ArrayLike,
    superheat_k: ArrayLike,
) -> FloatArray:
    """What a suction hose costs, as the fall of saturation temperature along it, K.

    Formula: pressure lost (f·L/D + K)·(m/A)²/(2·rho) with Colebrook's f for smooth tube, at the state of the coil's
    end; evaporating temperature less the saturation temperature at what is left.
    Parameters: gas; flow_kg_s, kg/s; length_m, m; bore_mm, mm; loss_factor, sum of the end losses; evaporating_c, °C;
    superheat_k at the coil's end, K.
    Returns: K. At most 2 K is accepted (common practice, no source); 1 K costs 3 to 4 % of the capacity.
    Validity: one state along the hose, loss small against the pressure. The flow of a cycling plant is its mean; while
    it runs it loses more.
    Source: Darcy-Weisbach, Colebrook; properties from CoolProp by our tables.
    Check: suction lines worked out with CoolProp, within 1 %; the loss that the balance itself finds.
    """
    t = floats(evaporating_c)
    state = gas.vapour(t, superheat_k)
    drop = line_pressure_drop_pa(
        flow_kg_s, length_m, floats(bore_mm) / 1000, loss_factor, state.rho, state.mu
    )
    return saturation_loss_k(gas, t, drop)


def one_metre_more_k(
    gas: Refrigerant,
    *,
    flow_kg_s: ArrayLike,
    length_m: ArrayLike,
    bore_mm: ArrayLike,
    loss_factor: ArrayLike,
    evaporating_c: ArrayLike,
    superheat_k: ArrayLike,
) -> FloatArray:
    """What one metre more of suction hose would cost, K.

    Formula: loss at L + 1 m, less loss at L.
    Parameters: as for the loss of the suction hose.
    Returns: K.
    Validity: at the flow of the shorter hose; the plant itself would then move a little less.
    Source: difference of two losses.
    Check: ten metres more cost a little over ten times one metre.
    """
    length = floats(length_m)
    longer, now = (
        suction_hose_loss_k(
            gas,
            flow_kg_s=flow_kg_s,
            length_m=metres,
            bore_mm=bore_mm,
            loss_factor=loss_factor,
            evaporating_c=evaporating_c,
            superheat_k=superheat_k,
        )
        for metres in (length + 1, length)
    )
    return scalar_or_array(longer - now)
