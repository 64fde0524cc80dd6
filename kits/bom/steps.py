"""The steps of one car: which apply, in which order, with their placeholders filled in."""

import re
from collections.abc import Callable, Sequence
from datetime import date
from itertools import pairwise

from kits.bom.catalogue import StepSpec, VariantSpec, in_force
from kits.bom.compile import PLACEHOLDER, CompiledKit
from kits.bom.resolved import Charge, Hose, Item, Joint, Reading, Severity, Step, Wire

NOT_RECORDED = "not recorded"
# Practice: no charge without a passed pressure test and vacuum, no hand-over before the charge.
ORDER = ("pressure test", "evacuate", "charge", "hand over")
Find = Callable[[str, Severity, str, str], None]


def resolve_steps(
    kit: CompiledKit,
    variant: VariantSpec,
    on: date,
    items: Sequence[Item],
    joints: Sequence[Joint],
    hoses: Sequence[Hose],
    wires: Sequence[Wire],
    charge: Charge,
    find: Find,
) -> tuple[tuple[Step, ...], list[set[int]]]:
    """The steps that apply to the car, and the positions each of them fits."""
    words = _Words(kit, variant, items, joints, hoses, charge)
    filled = {item.position for item in items}
    made_joints = {joint.code for joint in joints}
    live_wires = {(wire.position, wire.number) for wire in wires}
    specs = [
        s
        for s in sorted(kit.spec.steps, key=lambda s: (s.order, s.key))
        if in_force(s.start, s.end, on) and s.terms.applies(variant.options)
    ]
    steps, fits = [], []
    for number, spec in enumerate(specs, 1):
        empty = [p for p in spec.positions if p not in filled]
        if empty and not set(spec.positions) & filled:
            sentence = f"Step {spec.key} fits position {empty[0]}, which is empty in {variant.name}."
            find("step-empty", "warns", f"step:{spec.key}", sentence)
        fits.append(set(spec.positions) & filled)
        steps.append(
            Step(
                spec.key,
                number,
                spec.zone,
                spec.kind,
                words.fill(spec.text),
                spec.minutes_min,
                spec.tool,
                spec.caution,
                spec.hold_point,
                spec.photo,
                tuple(words.item(p) for p in spec.positions if p in filled),
                tuple(j for j in spec.joints if j in made_joints),
                tuple(Reading(r.name, r.unit, r.low, r.high, r.limit_from) for r in spec.readings),
            )
        )
    connected = {code for spec in specs for code in spec.joints}
    for joint in joints:
        if joint.code not in connected:
            sentence = f"Joint {joint.code} ({joint.a} to {joint.b}) has no step that connects it."
            find("joint-no-step", "blocks", f"joint:{joint.code}", sentence)
    wired = {circuit for spec in specs for circuit in spec.circuits}
    for position, wire_number in sorted(live_wires - wired):
        where = f"circuit:{position}/{wire_number}"
        find(
            "circuit-no-step", "warns", where, f"Circuit {position}/{wire_number} has no step that wires it."
        )
    _order(specs, find)
    return tuple(steps), fits


def _order(specs: Sequence[StepSpec], find: Find) -> None:
    places = {kind: [i for i, s in enumerate(specs) if s.kind == kind] for kind in ORDER}
    for kind, after in pairwise(ORDER):
        if not places[kind]:
            find("step-kind-missing", "blocks", "kit", f"The checklist has no step of the kind “{kind}”.")
        elif places[after] and max(places[kind]) > min(places[after]):
            key = specs[min(places[after])].key
            find("step-order", "blocks", f"step:{key}", f"Step {key} ({after}) stands before the {kind}.")


class _Words:
    """Fills placeholders from what was resolved."""

    def __init__(
        self,
        kit: CompiledKit,
        variant: VariantSpec,
        items: Sequence[Item],
        joints: Sequence[Joint],
        hoses: Sequence[Hose],
        charge: Charge,
    ) -> None:
        self._items: dict[int, list[Item]] = {}
        for item in items:
            self._items.setdefault(item.position, []).append(item)
        self._kit, self._hoses = kit, {hose.position: hose for hose in hoses}
        self._routes = {hose.route: hose for hose in hoses}
        self._joints = {joint.code: joint for joint in joints}
        grams = (
            f"{charge.charge_g:g} ± {charge.tolerance_g:g} g" if charge.charge_g is not None else NOT_RECORDED
        )
        oil = (
            f"{charge.oil_ml:g} ml {charge.oil}"
            if charge.oil_ml is not None
            else f"{charge.oil}, amount {NOT_RECORDED}"
        )
        self._plain = {
            "charge": grams,
            "oil": oil,
            "gas": str(kit.spec.settings["refrigerant"]),
            "kit": kit.spec.name,
            "variant": variant.name,
        }

    def item(self, position: int) -> str:
        """The thing at a position: a hose by its tag, else name and part number."""
        if position in self._hoses:
            hose = self._hoses[position]
            return f"{hose.name} (tag {hose.tag})"
        items = self._items.get(position, [])
        return ", ".join(f"{i.name} ({i.part})" for i in items) or self._kit.positions[position].name

    def fill(self, text: str) -> str:
        """The text with its placeholders filled in."""

        def word(match: re.Match[str]) -> str:
            kind, name, plain = match.group(1), match.group(2), match.group(3)
            if plain:
                return self._plain[plain]
            if kind == "position":
                return self.item(int(name)) if name.isdigit() and int(name) in self._kit.positions else name
            if kind == "bag":
                return f"bag {name}"
            if kind == "length":
                cut = self._routes[name].cut_mm if name in self._routes else None
                return f"{cut} mm" if cut is not None else NOT_RECORDED
            joint = self._joints.get(name)
            if joint is None:
                return name
            return (
                joint.torque_text()
                if kind == "torque"
                else f"joint {name} ({joint.a} to {joint.b}, {joint.size})"
            )

        return PLACEHOLDER.sub(word, text)
