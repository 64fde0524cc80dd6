"""Oil and gas of a fitment: the oil to add, the gas as carbon dioxide, and whether it could burn in the cabin."""

from dataclasses import replace
from decimal import Decimal

from kits.bom.mending import row
from kits.bom.setting_checks import oil_of
from kits.sizing.gas.gases import (
    climate_effects,
    co2_equivalent_kg,
    gas_data,
    gas_in_cabin_kg_m3,
    high_voltage_from_v,
    is_refused_in_cabin_air,
    lower_flammable_limit_kg_m3,
    oil_to_add_ml,
    oils_for,
)
from kits.sizing.words.defaults import default_value
from kits.sizing.words.figure import Figure, Remark, Severity, Topic, figure, given
from kits.topics.context import Context
from kits.topics.mends import MISSING_PART, of_part
from kits.topics.origins import of_car, of_kit
from vehicles.physics.quantities import format_number, format_value

CODE, TITLE = "oil-gas", "Oil and gas"
IN_CABIN, CABIN_UNKNOWN = "gas-cabin", "gas-cabin-unknown"
"""Codes of the remarks about the whole charge in the closed cabin."""


def oil_gas(context: Context) -> Topic:
    """What oil and gas ask for beyond the charge itself."""
    oil_words, oil_figure, remarks = _oil(context)
    fire_words, fire_figures, fire = _fire(context)
    effects = _climate(context)
    return Topic(
        CODE,
        TITLE,
        f"{oil_words} {fire_words}",
        (oil_figure, *effects, *fire_figures),
        (),
        (*remarks, *fire),
        _cautions(context),
    )


def _gas_name(context: Context) -> str:
    return str(context.kit.settings.get("refrigerant", ""))


def _oil(context: Context) -> tuple[str, Figure, list[Remark]]:
    """The oil to add to the compressor's own, and whether it may go with gas and voltage."""
    kit, remarks = context.kit, []
    number, data, _, _ = kit.plant.get("compressor", ("", {}, (), Decimal(0)))
    total, prefill = kit.charge.oil_ml, data.get("oil_prefill_ml")
    where = f"part:{number}" if number else "kit"
    if total is None:
        sentence = "The kit does not state how much oil its circuit needs."
        remarks.append(Remark("oil-amount", "warns", "kit", sentence, row("Kits", "oil_ml")))
    if prefill is None:
        sentence = "The compressor does not state the oil it comes with."
        mend = of_part(kit, "Compressors", "oil_prefill_ml", number) if number else MISSING_PART
        remarks.append(Remark("oil-prefill", "warns", where, sentence, mend))
    to_add = None if total is None or prefill is None else float(oil_to_add_ml(total, prefill))
    own = kit.origins.get(f"part.{number}", "")
    told = figure(
        "Oil to add" if to_add is None or to_add >= 0 else "Oil to add (negative: drain)",
        "oil_ml",
        to_add,
        oil_to_add_ml,
        given(f"Oil in the circuit, {kit.charge.oil}", "oil_ml", total, of_kit(context), "kit"),
        given("Compressor comes with", "oil_ml", prefill, own, where),
    )
    gas, oil, volts = _gas_name(context), oil_of(kit.charge.oil), _compressor_volts(context)
    may = oils_for(gas, volts > high_voltage_from_v())
    if oil is not None and may and oil[0] not in may:
        because = f"{gas} at {volts:.0f} V" if volts > high_voltage_from_v() else gas
        sentence = f"{kit.charge.oil} does not go with {because}: take {' or '.join(may)} oil."
        remarks.append(Remark("oil-type", "blocks", "kit", sentence, row("Kits", "oil")))
    return _oil_words(kit.charge.oil, to_add), told, remarks


def _oil_words(oil: str, to_add_ml: float | None) -> str:
    if to_add_ml is None:
        return f"How much {oil} to add is not known."
    if to_add_ml < 0:
        return f"The compressor comes with too much oil: drain {format_value('oil_ml', -to_add_ml)}."
    return f"Add {format_value('oil_ml', to_add_ml)} of {oil} to what the compressor comes with."


def _compressor_volts(context: Context) -> float:
    """The voltage an electric compressor runs at; 0 for a belt."""
    data = context.kit.plant.get("compressor", ("", {}, (), Decimal(0)))[1]
    if not data.get("electric"):
        return 0.0
    return float(data.get("supply_voltage_v") or context.case.car.high_voltage_v or 0.0)


def _climate(context: Context) -> list[Figure]:
    """The charge as carbon dioxide, on each basis that knows the gas."""
    charge_g = context.kit.charge.charge_g
    held = given("Recorded charge", "charge_g", charge_g, context.kit.charge.charge_origin or "", "charge")
    found = []
    for effect in climate_effects(_gas_name(context)):
        mass_kg = None if charge_g is None else float(co2_equivalent_kg(charge_g, effect.gwp))
        potential = given("Global warming potential", "gwp_ratio", effect.gwp, effect.source)
        label = f"CO2 equivalent, {effect.basis}"
        made = figure(label, "co2_equivalent_kg", mass_kg, co2_equivalent_kg, held, potential)
        found.append(made if mass_kg is None else replace(made, text=_whole_kg(mass_kg)))
    return found


def _whole_kg(mass_kg: float) -> str:
    """To the kilogram, below 10 kg to a tenth: a charge is known to a few grams in hundreds."""
    return f"{format_number(mass_kg, 0 if mass_kg >= 10 else 1)} kg"


def _fire(context: Context) -> tuple[str, list[Figure], list[Remark]]:
    """Whether the gas burns, and what the whole charge would make of the cabin's air."""
    gas, charge_g, remarks = _gas_name(context), context.kit.charge.charge_g, []
    car = context.case.car
    volume, where = car.cabin.volume_m3, car.where.get("cabin", "cabin")
    if is_refused_in_cabin_air(gas):
        sentence = f"{gas} is refused with a coil in the cabin's air: it burns readily. Take another gas."
        remarks.append(Remark("gas-refused", "blocks", "kit", sentence, row("Kits", "refrigerant")))
    limit = lower_flammable_limit_kg_m3(gas)
    if limit is None:
        return f"{gas} does not burn in air.", [], remarks
    density = None if volume is None or charge_g is None else float(gas_in_cabin_kg_m3(charge_g, volume))
    told = figure(
        "Whole charge in the closed cabin",
        "density_kg_m3",
        density,
        gas_in_cabin_kg_m3,
        given("Recorded charge", "charge_g", charge_g, context.kit.charge.charge_origin or "", "charge"),
        given("Cabin volume", "volume_m3", volume, of_car(context, "cabin"), where),
        given(
            "Lower flammable limit", "limit_kg_m3", limit, gas_data()["lower_flammable_limit_kg_m3"]["source"]
        ),
    )
    if density is None:
        missing = "The cabin has no volume" if volume is None else "No charge is recorded"
        sentence = f"{missing}: whether leaked {gas} could burn is not known."
        remark = (
            Remark(CABIN_UNKNOWN, "warns", where, sentence)
            if volume is None
            else Remark("charge-missing", "warns", "charge", sentence)
        )
        return sentence, [told], [*remarks, remark]
    share = f"{100 * density / limit:.1f} % of the lower flammable limit of {limit:.3f} kg/m³"
    words = f"{gas} burns: the whole charge in the closed cabin makes {share}."
    if density >= default_value("flammable_share_found") * limit:
        sentence = (
            f"{words} No joint of the circuit and no spark in the unit's air path; follow the law and the parts'"
            " makers."
        )
        severity: Severity = "blocks" if density >= limit else "warns"
        remarks.append(Remark(IN_CABIN, severity, where, sentence, row("Kits", "refrigerant")))
    return words, [told], remarks


def _cautions(context: Context) -> tuple[str, ...]:
    told = []
    if lower_flammable_limit_kg_m3(_gas_name(context)) is not None:
        told.append("Flammable gas: no flame, spark or hot surface where it may collect; air the place.")
    if _compressor_volts(context) > high_voltage_from_v():
        told.append(
            "High voltage: qualified people only; ester oil only, and no hose or tool shared with other oil."
        )
    return tuple(told)
