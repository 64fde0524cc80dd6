"""Whether the kit's settings, its oil, its gas and its pressure switch agree with each other."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from kits.bom.catalogue import PartSpec
from kits.bom.gas_safety import gas_limits
from kits.bom.mending import Mend, row
from kits.bom.resolved import Finding
from kits.bom.roles import OIL
from kits.parts.oils import ESTER

CHAIN = ("low_cut_out_bar_g", "fan_on_bar_g", "high_reset_bar_g", "high_cut_out_bar_g")
Data = Mapping[str, Any]
KIT_OIL: Mend = row("Kits", "oil")


Oil = tuple[str, int | None]
"""Family and grade; a grade that nobody states differs from none."""


def oil_of(data: Data) -> Oil | None:
    """The oil that settings or technical data state; None where they state no family."""
    return (data["oil_family"], data.get("oil_grade")) if data.get("oil_family") else None


def _differ(a: Oil, b: Oil) -> bool:
    return a[0] != b[0] or (None not in (a[1], b[1]) and a[1] != b[1])


def gas_findings(settings: Data, wetted: Sequence[str]) -> Iterator[Finding]:
    """A kit that states no refrigerant, and so heats only, must bring nothing that holds one.

    wetted: roles of the ports that carry refrigerant in the car's parts.
    """
    if wetted and not settings.get("refrigerant"):
        sentence = (
            f"The kit states no refrigerant, but its parts have {len(wetted)} ports for one: state the refrigerant, or "
            "take the parts out."
        )
        yield Finding("gas-missing", "blocks", "kit", sentence, row("Kits", "refrigerant"))


def pressure_findings(settings: Data) -> Iterator[Finding]:
    """The pressure chain of the kit: in order, and within what its gas asks for."""
    yield from _chain(settings, "The kit's pressures", "kit", "Kits")
    gas = str(settings.get("refrigerant", ""))
    for name, (low, high) in gas_limits()["pressure_bar_g"].get(gas, {}).items():
        value = settings.get(f"{name}_bar_g")
        if value is not None and not low <= value <= high:
            sentence = f"The kit's {_words(name)} of {value:g} bar g does not fit {gas}: common is {low:g} to {high:g}."
            yield Finding("pressure-gas", "warns", "kit", sentence, row("Kits", f"{name}_bar_g"))


def _chain(data: Data, whose: str, where: str, sheet: str, *key: str) -> Iterator[Finding]:
    steps = [(name, data[name]) for name in CHAIN if data.get(name) is not None]
    for (lower, low), (upper, high) in pairwise(steps):
        if not low < high:
            sentence = (
                f"{whose} are out of order: {_words(lower)} ({low:g} bar g) must lie below"
                f" {_words(upper)} ({high:g} bar g)."
            )
            yield Finding("pressure-chain", "blocks", where, sentence, row(sheet, lower, *key))


def _words(name: str) -> str:
    return (
        name.removesuffix("_bar_g")
        .replace("_", " ")
        .replace("cut out", "cut-out")
        .replace("fan on", "fan-on")
    )


def part_setting_findings(settings: Data, held: Sequence[tuple[PartSpec, Data, str]]) -> Iterator[Finding]:
    """Whether the parts in the circuit agree with the kit's settings.

    held: each part with its technical data and the role of its position. The pressure switch works at the kit's
    pressures, the compressor is filled with the kit's oil, and oil to add is that oil. Above 60 V the oil must be
    an ester: it insulates, others do not.
    """
    kit_oil = oil_of(settings)
    if settings.get("oil") and kit_oil is None:
        sentence = f"The kit's oil, {settings['oil']}, has no family: it is held against nothing."
        yield Finding("oil-unknown", "warns", "kit", sentence, row("Kits", "oil_family"))
    for part, data, role in held:
        if part.kind == "pressure switch":
            yield from _switch(settings, part, data)
        if part.kind == "compressor":
            yield from _compressor_oil(kit_oil, settings, part, data)
        added = oil_of(data)
        if role == OIL and added is None:
            yield _unknown_oil(part, "Oils")
        if part.kind == OIL and added and kit_oil and _differ(added, kit_oil):
            sentence = f"{part.name} ({part.number}) is added, but the kit's oil is {settings['oil']}: don't mix oils."
            yield Finding("oil-mixed", "blocks", f"part:{part.number}", sentence, KIT_OIL)


def _switch(settings: Data, part: PartSpec, data: Data) -> Iterator[Finding]:
    yield from _chain(
        data, f"The pressures of {part.name} ({part.number})", f"part:{part.number}", "Switches", part.number
    )
    for name in CHAIN:
        own, kit = data.get(name), settings.get(name)
        if own is not None and kit is not None and abs(own - kit) > 0.05:
            sentence = f"{part.name} ({part.number}) has its {_words(name)} at {own:g} bar g, the kit states {kit:g}."
            yield Finding(
                "pressure-switch",
                "warns",
                f"part:{part.number}",
                sentence,
                row("Switches", name, part.number),
            )


def _unknown_oil(part: PartSpec, sheet: str) -> Finding:
    sentence = (
        f"{part.name} ({part.number}) does not say of which family its oil is: it is held against nothing."
    )
    return Finding(
        "oil-unknown", "warns", f"part:{part.number}", sentence, row(sheet, "oil_family", part.number)
    )


def _compressor_oil(kit_oil: Oil | None, settings: Data, part: PartSpec, data: Data) -> Iterator[Finding]:
    filled = oil_of(data)
    if data.get("oil") and filled is None:
        yield _unknown_oil(part, "Compressors")
    if filled and kit_oil and _differ(filled, kit_oil):
        sentence = (
            f"{part.name} ({part.number}) is filled with {data['oil']}, the kit's oil is {settings['oil']}: don't mix"
            " oils."
        )
        yield Finding("oil-mixed", "blocks", "kit", sentence, KIT_OIL)
    volts = data.get("supply_voltage_v")
    if data.get("electric") and volts is not None and volts > gas_limits()["high_voltage_v"]:
        named = [oil for oil in (kit_oil, filled) if oil]
        if any(oil[0] != ESTER for oil in named):
            sentence = (
                f"{part.name} ({part.number}) runs at {volts:g} V: only ester oil insulates its motor,"
                f" the kit states {settings['oil']}."
            )
            yield Finding("oil-high-voltage", "blocks", "kit", sentence, KIT_OIL)
