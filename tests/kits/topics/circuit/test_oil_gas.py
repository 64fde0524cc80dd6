"""Oil and gas of the demonstration's fitments."""

from dataclasses import replace
from typing import Any

from kits.topics.circuit.oil_gas import oil_gas as topic_of
from kits.topics.context import Context
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.circuit.test_charge import codes, text
from tests.kits.topics.contexts import context_of

VAN: Key = ("V30-BELT", "V30", "S18L")
ELECTRIC: Key = ("V30-EV", "V30", "SEVL")
CAB: Key = ("M220-UNDER", "M220", "SLH")


def with_settings(context: Context, **changes: Any) -> Context:
    return replace(context, kit=replace(context.kit, settings={**context.kit.settings, **changes}))


def test_the_oil_to_add_is_the_total_less_what_the_compressor_came_with(world: World) -> None:
    context = context_of(world, VAN)
    assert text(topic_of(context), "Oil to add") == "70 ml"  # 220 of the circuit, 150 in the compressor
    less = replace(context, kit=replace(context.kit, charge=replace(context.kit.charge, oil_ml=120.0)))
    assert text(topic_of(less), "Oil to add (negative: drain)") == "−30 ml"
    none = replace(context, kit=replace(context.kit, charge=replace(context.kit.charge, oil_ml=None)))
    assert codes(topic_of(none))["oil-amount"] == ("warns", "kit")


def test_an_electric_compressor_at_high_voltage_takes_ester_only(world: World) -> None:
    context = context_of(world, ELECTRIC)
    topic = topic_of(context)
    assert "oil-type" not in codes(topic)
    assert any("ester oil only" in caution for caution in topic.cautions)
    pag = with_settings(context, oil_family="pag", oil_grade=46)
    assert codes(topic_of(pag))["oil-type"] == ("blocks", "kit")
    belt = context_of(world, VAN)
    assert not any("ester" in caution for caution in topic_of(belt).cautions)


def test_a_gas_that_burns_is_judged_against_the_cabin(world: World) -> None:
    context = context_of(world, CAB)
    topic = topic_of(context)
    # 570 g in 2.05 m³ are 0.278 kg/m³, 96 % of 0.289
    assert text(topic, "Whole charge in the closed cabin") == "0.278 kg/m³"
    severity, where = codes(topic)["gas-cabin"]
    assert (severity, where) == ("warns", context.case.car.where["cabin"])
    hall = replace(context.case.car, cabin=replace(context.case.car.cabin, volume_m3=8.0))
    roomy = topic_of(replace(context, case=replace(context.case, car=hall)))
    assert "gas-cabin" not in codes(roomy)  # 25 % of the limit is reached in 7.9 m³
    small = replace(context.case.car, cabin=replace(context.case.car.cabin, volume_m3=1.97))
    full = topic_of(replace(context, case=replace(context.case, car=small)))
    assert codes(full)["gas-cabin"][0] == "blocks"  # 570 g in 1.97 m³ are 0.2893 kg/m³, above the limit
    unknown = replace(context.case.car, cabin=replace(context.case.car.cabin, volume_m3=None))
    told = topic_of(replace(context, case=replace(context.case, car=unknown)))
    assert text(told, "Whole charge in the closed cabin") == "not known"
    assert codes(told)["gas-cabin-unknown"] == ("warns", context.case.car.where["cabin"])


def test_r_134a_does_not_burn_and_r_152a_is_refused_in_cabin_air(world: World) -> None:
    context = context_of(world, VAN)
    assert {"gas-cabin", "gas-refused"}.isdisjoint(codes(topic_of(context)))
    burning = topic_of(with_settings(context, refrigerant="R-152a"))
    assert codes(burning)["gas-refused"] == ("blocks", "kit")
    assert any("Flammable" in caution for caution in burning.cautions)


def test_the_co2_equivalent_names_its_basis(world: World) -> None:
    topic = topic_of(context_of(world, VAN))
    by_basis = {f.label: f.text for f in topic.figures if f.label.startswith("CO2")}
    # 875 g at 1,430 on both bases: 1,251.25 kg, told to the kilogram
    assert set(by_basis.values()) == {"1,251 kg"}
    assert any("2024/573" in label for label in by_basis)


def test_a_kit_without_a_compressor_says_that_its_oil_is_not_known(world: World) -> None:
    context = context_of(world, VAN)
    plant = {k: v for k, v in context.kit.plant.items() if k != "compressor"}
    topic = topic_of(replace(context, kit=replace(context.kit, plant=plant)))
    assert text(topic, "Oil to add") == "not known"
    assert codes(topic)["oil-prefill"] == ("warns", "kit")


def test_without_a_recorded_charge_climate_and_fire_are_not_known(world: World) -> None:
    context = context_of(world, CAB)
    none = replace(context.kit.charge, charge_g=None, charge_origin=None)
    topic = topic_of(replace(context, kit=replace(context.kit, charge=none)))
    # the kit's own finding says the same of the same place: a list of both tells it once
    assert codes(topic)["charge-missing"] == ("warns", "charge")
    unknown = [f for f in topic.figures if f.label.startswith(("CO2", "Whole charge"))]
    assert len(unknown) == 3
    assert {f.text for f in unknown} == {"not known"}


def test_the_answer_says_what_to_add_and_whether_it_burns(world: World) -> None:
    van, cab = (topic_of(context_of(world, key)) for key in (VAN, CAB))
    assert van.answer == "Add 70 ml of PAG 46 to what the compressor comes with. R-134a does not burn in air."
    assert "R-1234yf burns" in cab.answer
    assert "96.2 % of the lower flammable limit" in cab.answer
