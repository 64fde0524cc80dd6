"""What a gas asks for beyond its physics: climate, fire, and the oil that goes with it."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from numpy.typing import ArrayLike

from kits.bom.gas_safety import gas_limits
from vehicles.physics.arrays import FloatArray, answer, floats

GASES_FILE = Path(__file__).parent / "data" / "gases.json"


@cache
def gas_data() -> Mapping[str, Any]:
    """The data file: climate effect by basis, flammable limits, oils; each with its source."""
    loaded: Mapping[str, Any] = json.loads(GASES_FILE.read_text(encoding="utf-8"))
    return loaded


@dataclass(frozen=True)
class ClimateEffect:
    """Warming by a gas compared with as much carbon dioxide, and on which basis."""

    gwp: float
    basis: str
    source: str


def climate_effects(gas: str) -> tuple[ClimateEffect, ...]:
    """What is known of a gas's warming, one entry for each basis; a gas that no basis names has none.

    Formula: none: rows of a table.
    Parameters: gas, its name, such as R-134a.
    Returns: global warming potential (kg of CO2 that warm as much as 1 kg), the basis and its source.
    Validity: over 100 years; potentials of different bases are not compared.
    Source: data/gases.json, where each basis has its own.
    Check: 1,430 for R-134a by IPCC's fourth assessment report.

    >>> climate_effects("R-134a")[0].gwp
    1430.0
    """
    return tuple(
        ClimateEffect(float(basis["values"][gas]), basis["basis"], basis["source"])
        for basis in gas_data()["gwp"]
        if gas in basis["values"]
    )


def co2_equivalent_kg(charge_g: ArrayLike, gwp: ArrayLike) -> FloatArray:
    """The charge as the mass of carbon dioxide that warms as much, kg.

    Formula: m·GWP.
    Parameters: charge_g, g, above 0; gwp, global warming potential over 100 years, on a stated basis, not negative.
    Returns: kg of CO2.
    Validity: for the label and the ledger; always named together with its basis.
    Source: definition; the potentials stand with their basis in the data of the gases.
    Check: 3.5 kg of R-134a are 5 t, as guides to the regulation have it (from memory).
    """
    charge, potential = floats(charge_g), floats(gwp)
    return answer(
        charge / 1000 * potential,
        (charge > 0) & (potential >= 0),
        "A CO2 equivalent needs a charge above zero and a potential not negative.",
    )


def lower_flammable_limit_kg_m3(gas: str) -> float | None:
    """The least mass of a gas in a volume of air that burns; None for a gas that does not burn in air.

    Formula: none: a row of a table.
    Parameters: gas, its name, such as R-152a.
    Returns: kg/m³, or None.
    Validity: gas and air mixed evenly, at room temperature. None also for a gas that the table does not know.
    Source: ISO 817, from memory, as data/gases.json says.
    Check: 0.130 kg/m³ for R-152a.

    >>> lower_flammable_limit_kg_m3("R-152a")
    0.13
    """
    value = gas_data()["lower_flammable_limit_kg_m3"]["values"].get(gas)
    return None if value is None else float(value)


def is_refused_in_cabin_air(gas: str) -> bool:
    """Whether a coil in the cabin's air is refused with this gas.

    Formula: none: the gas stands in the list or not.
    Parameters: gas, its name, such as R-152a.
    Returns: true or false.
    Validity: a coil without a second circuit between gas and cabin.
    Source: common practice, from memory, as data/gases.json says.
    Check: R-152a is refused, R-134a is not.

    >>> is_refused_in_cabin_air("R-152a"), is_refused_in_cabin_air("R-134a")
    (True, False)
    """
    return gas in gas_data()["refused_in_cabin_air"]["gases"]


def gas_in_cabin_kg_m3(charge_g: ArrayLike, cabin_m3: ArrayLike) -> FloatArray:
    """The whole charge leaked into the closed cabin and mixed evenly, kg/m³.

    Formula: m/V; judged against the lower flammable limit, a finding from a quarter of it.
    Parameters: charge_g, g, above 0; cabin_m3, volume of the cabin's air, m³, above 0.
    Returns: kg/m³.
    Validity: the worst case but one: nothing leaks out, and no layer forms. Gas that runs low along the floor is
    denser than this mean.
    Source: mass balance; the limits from memory (0.289 kg/m³ for R-1234yf, 0.130 for R-152a).
    Check: 578 g of R-1234yf in 2 m³ stand at the limit.
    """
    charge, volume = floats(charge_g), floats(cabin_m3)
    valid = (charge > 0) & (volume > 0)
    return answer(
        charge / 1000 / (volume + (volume == 0)),
        valid,
        "Gas in the cabin needs a charge and a volume above zero.",
    )


def oil_balance_ml(prefill_ml: ArrayLike, added_ml: ArrayLike, drained_ml: ArrayLike) -> FloatArray:
    """The oil in the circuit: what the compressor came with, plus what was added, less what was drained, ml.

    Formula: prefill + added - drained.
    Parameters: prefill_ml, added_ml, drained_ml, ml, none negative.
    Returns: ml.
    Validity: more cannot be drained than is there; that is refused. Oil lost by leaks or left in a replaced part
    counts as drained.
    Source: mass balance.
    Check: adding and draining as much changes nothing.
    """
    prefill, added, drained = (floats(v) for v in (prefill_ml, added_ml, drained_ml))
    valid = (prefill >= 0) & (added >= 0) & (drained >= 0) & (prefill + added >= drained)
    return answer(
        prefill + added - drained,
        valid,
        "Oil amounts are not negative, and no more is drained than is there.",
    )


def oil_to_add_ml(total_ml: ArrayLike, prefill_ml: ArrayLike) -> FloatArray:
    """The oil to add to what the compressor came with; negative: so much has to be drained, ml.

    Formula: total - prefill.
    Parameters: total_ml, oil the circuit needs, ml; prefill_ml, oil the compressor came with, ml; neither negative.
    Returns: ml.
    Validity: a new, dry circuit; in service what was drained is added again.
    Source: mass balance, the compressor's prefill from its maker.
    Check: what is added or drained by this answer makes the total.
    """
    total, prefill = floats(total_ml), floats(prefill_ml)
    return answer(total - prefill, (total >= 0) & (prefill >= 0), "Oil amounts are not negative.")


def oils_for(gas: str, is_high_voltage: bool) -> tuple[str, ...]:
    """The families of oil that may go with a gas.

    Formula: the families of the gas, with high voltage only those of them that insulate.
    Parameters: gas, its name, such as R-134a; is_high_voltage, whether the compressor's motor runs at high voltage.
    Returns: names of families ("pag", "ester", "mineral"); none for a gas that is not in the data.
    Validity: what the compressor's maker says goes before.
    Source: common practice, from memory, as data/gases.json says.
    Check: R-134a takes PAG or ester, at high voltage ester only.

    >>> oils_for("R-134a", is_high_voltage=False), oils_for("R-134a", is_high_voltage=True)
    (('pag', 'ester'), ('ester',))
    """
    oil = gas_data()["oil"]
    families = tuple(oil["by_gas"].get(gas, ()))
    return tuple(f for f in families if f in oil["high_voltage"]) if is_high_voltage else families


def high_voltage_from_v() -> float:
    """The direct voltage above which a compressor's oil must insulate, V."""
    return float(gas_limits()["high_voltage_v"])
