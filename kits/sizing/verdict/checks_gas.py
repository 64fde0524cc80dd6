"""Whether oil and gas go together, and whether the gas may be used with a coil in the cabin's air."""

from collections.abc import Iterator
from dataclasses import dataclass

from kits.bom.mending import row
from kits.bom.resolved import Finding, ResolvedKit, Severity
from kits.bom.setting_checks import oil_of
from kits.sizing.case.case import Case
from kits.sizing.gas.gases import (
    gas_in_cabin_kg_m3,
    high_voltage_from_v,
    is_refused_in_cabin_air,
    lower_flammable_limit_kg_m3,
    oils_for,
)
from kits.sizing.words.defaults import default_value

TOPIC = ("oil-gas", "Oil and gas")
"""Code and title of the calculation that tells more of it."""
IN_CABIN, CABIN_UNKNOWN = "gas-cabin", "gas-cabin-unknown"
"""Codes of the findings about the whole charge in the closed cabin."""


@dataclass(frozen=True)
class InCabin:
    """What the whole charge of a gas that burns makes of the closed cabin's air; no density where that is not known."""

    limit_kg_m3: float
    density_kg_m3: float | None
    sentence: str


def gas_checks(kit: ResolvedKit, case: Case) -> list[Finding]:
    """Oil against gas and voltage, and a gas that may burn; nothing of a kit that heats only."""
    return [] if case.heats_only else [*_oil(kit, case), *_fire(kit, case)]


def gas_of(kit: ResolvedKit) -> str:
    """The kit's refrigerant by its name."""
    return str(kit.settings.get("refrigerant", ""))


def compressor_v(kit: ResolvedKit, case: Case) -> float:
    """The voltage an electric compressor runs at; 0 for a belt."""
    held = kit.plant.get("compressor")
    if held is None or not held.data.get("electric"):
        return 0.0
    return float(held.data.get("supply_voltage_v") or case.car.high_voltage_v or 0.0)


def in_cabin(kit: ResolvedKit, case: Case) -> InCabin | None:
    """The whole charge leaked into the closed cabin; None for a gas that does not burn in air."""
    gas, charge_g, volume = gas_of(kit), kit.charge.charge_g, case.car.cabin.volume_m3
    limit = lower_flammable_limit_kg_m3(gas)
    if limit is None:
        return None
    if volume is None or charge_g is None:
        missing = "The cabin has no volume" if volume is None else "No charge is recorded"
        return InCabin(limit, None, f"{missing}: whether leaked {gas} could burn is not known.")
    density = float(gas_in_cabin_kg_m3(charge_g, volume))
    share = f"{100 * density / limit:.1f} % of the lower flammable limit of {limit:.3f} kg/m³"
    return InCabin(limit, density, f"{gas} burns: the whole charge in the closed cabin makes {share}.")


def _oil(kit: ResolvedKit, case: Case) -> Iterator[Finding]:
    gas, oil, volts = gas_of(kit), oil_of(kit.settings), compressor_v(kit, case)
    may = oils_for(gas, volts > high_voltage_from_v())
    if oil is not None and may and oil[0] not in may:
        because = f"{gas} at {volts:.0f} V" if volts > high_voltage_from_v() else gas
        sentence = f"{kit.charge.oil} does not go with {because}: take {' or '.join(may)} oil."
        yield Finding("oil-type", "blocks", "kit", sentence, row("Kits", "oil"))


def _fire(kit: ResolvedKit, case: Case) -> Iterator[Finding]:
    gas, where = gas_of(kit), case.car.where.get("cabin", "cabin")
    if is_refused_in_cabin_air(gas):
        sentence = f"{gas} is refused with a coil in the cabin's air: it burns readily. Take another gas."
        yield Finding("gas-refused", "blocks", "kit", sentence, row("Kits", "refrigerant"))
    found = in_cabin(kit, case)
    if found is None:
        return
    if found.density_kg_m3 is None:
        yield (
            Finding(CABIN_UNKNOWN, "warns", where, found.sentence)
            if case.car.cabin.volume_m3 is None
            else Finding("charge-missing", "warns", "charge", found.sentence)
        )
    elif found.density_kg_m3 >= default_value("flammable_share_found") * found.limit_kg_m3:
        sentence = (
            f"{found.sentence} No joint of the circuit and no spark in the unit's air path; follow the law and the "
            "parts' makers."
        )
        severity: Severity = "blocks" if found.density_kg_m3 >= found.limit_kg_m3 else "warns"
        yield Finding(IN_CABIN, severity, where, sentence, row("Kits", "refrigerant"))
