"""Oil and gas of a fitment: the oil to add, the gas as carbon dioxide, and whether it could burn in the cabin."""

from collections.abc import Iterator
from dataclasses import replace

from kits.bom.mending import row
from kits.bom.resolved import Finding
from kits.sizing.gas.gases import (
    climate_effects,
    co2_equivalent_kg,
    gas_data,
    gas_in_cabin_kg_m3,
    high_voltage_from_v,
    lower_flammable_limit_kg_m3,
    oil_to_add_ml,
)
from kits.sizing.verdict.checks_gas import TOPIC, compressor_v, gas_checks, gas_of, in_cabin
from kits.sizing.verdict.mends import MISSING_PART, of_part
from kits.topics.context import Context
from kits.topics.figure import Figure, Topic, figure, given
from kits.topics.origins import of_car, of_kit
from vehicles.physics.quantities import format_number, in_unit

CODE, TITLE = TOPIC


def oil_gas(context: Context) -> Topic:
    """What oil and gas ask for beyond the charge itself."""
    oil_words, oil_figure = _oil(context)
    fire_words, fire_figures = _fire(context)
    effects = _climate(context)
    return Topic(
        CODE,
        TITLE,
        f"{oil_words} {fire_words}",
        figures=(oil_figure, *effects, *fire_figures),
        tables=(),
        remarks=(*gas_checks(context.kit, context.case), *remarks(context)),
        cautions=_cautions(context),
    )


def remarks(context: Context) -> Iterator[Finding]:
    """What is not known of the oil."""
    kit, (number, prefill) = context.kit, _prefill(context)
    if kit.charge.oil_ml is None:
        sentence = "The kit does not state how much oil its circuit needs."
        yield Finding("oil-amount", "warns", "kit", sentence, row("Kits", "oil_ml"))
    if prefill is None:
        sentence = "The compressor does not state the oil it comes with."
        mend = of_part(kit, "Compressors", "oil_prefill_ml", number) if number else MISSING_PART
        yield Finding("oil-prefill", "warns", f"part:{number}" if number else "kit", sentence, mend)


def _prefill(context: Context) -> tuple[str, float | None]:
    """The compressor's number and the oil it comes with."""
    held = context.kit.plant.get("compressor")
    return ("", None) if held is None else (held.part, held.data.get("oil_prefill_ml"))


def _oil(context: Context) -> tuple[str, Figure]:
    """The oil to add to the compressor's own."""
    kit, (number, prefill) = context.kit, _prefill(context)
    total, where = kit.charge.oil_ml, f"part:{number}" if number else "kit"
    to_add = None if total is None or prefill is None else float(oil_to_add_ml(total, prefill))
    own = kit.origins.get(f"part.{number}", "")
    told = figure(
        "Oil to add" if to_add is None or to_add >= 0 else "Oil to add (negative: drain)",
        "ml",
        to_add,
        oil_to_add_ml,
        given(f"Oil in the circuit, {kit.charge.oil}", "ml", total, of_kit(context), "kit"),
        given("Compressor comes with", "ml", prefill, own, where),
    )
    return _oil_words(kit.charge.oil, to_add), told


def _oil_words(oil: str, to_add_ml: float | None) -> str:
    if to_add_ml is None:
        return f"How much {oil} to add is not known."
    if to_add_ml < 0:
        return f"The compressor comes with too much oil: drain {in_unit('ml', -to_add_ml)}."
    return f"Add {in_unit('ml', to_add_ml)} of {oil} to what the compressor comes with."


def _climate(context: Context) -> list[Figure]:
    """The charge as carbon dioxide, on each basis that knows the gas."""
    charge_g = context.kit.charge.charge_g
    held = given("Recorded charge", "g", charge_g, context.kit.charge.charge_origin or "", "charge")
    found = []
    for effect in climate_effects(gas_of(context.kit)):
        mass_kg = None if charge_g is None else float(co2_equivalent_kg(charge_g, effect.gwp))
        potential = given("Global warming potential", "", effect.gwp, effect.source)
        label = f"CO2 equivalent, {effect.basis}"
        made = figure(label, "kg", mass_kg, co2_equivalent_kg, held, potential)
        found.append(made if mass_kg is None else replace(made, text=_whole_kg(mass_kg)))
    return found


def _whole_kg(mass_kg: float) -> str:
    """To the kilogram, below 10 kg to a tenth: a charge is known to a few grams in hundreds."""
    return f"{format_number(mass_kg, 0 if mass_kg >= 10 else 1)} kg"


def _fire(context: Context) -> tuple[str, list[Figure]]:
    """Whether the gas burns, and what the whole charge would make of the cabin's air."""
    found = in_cabin(context.kit, context.case)
    if found is None:
        return f"{gas_of(context.kit)} does not burn in air.", []
    car, charge = context.case.car, context.kit.charge
    told = figure(
        "Whole charge in the closed cabin",
        "kg_m3",
        found.density_kg_m3,
        gas_in_cabin_kg_m3,
        given("Recorded charge", "g", charge.charge_g, charge.charge_origin or "", "charge"),
        given(
            "Cabin volume",
            "m3",
            car.cabin.volume_m3,
            of_car(context, "cabin"),
            car.where.get("cabin", "cabin"),
        ),
        given(
            "Lower flammable limit",
            "kg_m3",
            found.limit_kg_m3,
            gas_data()["lower_flammable_limit_kg_m3"]["source"],
        ),
    )
    return found.sentence, [told]


def _cautions(context: Context) -> tuple[str, ...]:
    told = []
    if lower_flammable_limit_kg_m3(gas_of(context.kit)) is not None:
        told.append("Flammable gas: no flame, spark or hot surface where it may collect; air the place.")
    if compressor_v(context.kit, context.case) > high_voltage_from_v():
        told.append(
            "High voltage: qualified people only; ester oil only, and no hose or tool shared with other oil."
        )
    return tuple(told)
