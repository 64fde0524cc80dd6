"""The steps of one car: which apply, in which order, with their placeholders filled in."""

import re
from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal

from kits.bom.catalogue import ReadingSpec, StepSpec, VariantSpec, in_force
from kits.bom.compile import CompiledKit
from kits.bom.mending import new_row, row
from kits.bom.resolved import Charge, Finding, Hose, Item, Joint, Original, Reading, Step, Wire
from kits.bom.step_cautions import caution_code, cautions, is_never_alone, signed_by_two
from kits.bom.step_patterns import patterns
from kits.bom.step_text import PLACEHOLDER, named

NOT_RECORDED = "not recorded"


def steps_for(kit: CompiledKit, variant: VariantSpec, on: date) -> tuple[StepSpec, ...]:
    """The steps that apply to a car on a date, in their order."""
    return tuple(
        s
        for s in sorted(kit.spec.steps, key=lambda s: (s.order, s.key))
        if in_force(s.start, s.end, on) and s.terms.applies(variant.options)
    )


def written_steps(
    *,
    specs: Sequence[StepSpec],
    kit: CompiledKit,
    variant: VariantSpec,
    items: Sequence[Item],
    joints: Sequence[Joint],
    hoses: Sequence[Hose],
    charge: Charge,
    volts: float | None,
    burns: bool,
) -> tuple[Step, ...]:
    """The steps as the installer reads them, with this car's parts, lengths and charge.

    volts: of the kit's high voltage; None where it has none. burns: whether its gas does.
    """
    words = _Words(
        kit=kit,
        variant=variant,
        items=items,
        joints=joints,
        hoses=hoses,
        charge=charge,
        volts=volts,
        burns=burns,
    )
    filled = {item.position for item in items}
    made = {joint.code for joint in joints}
    return tuple(
        Step(
            key=spec.key,
            number=number,
            zone=spec.zone,
            kind=spec.kind,
            text=words.fill(spec.text),
            minutes_min=spec.minutes_min,
            tool=spec.tool,
            caution=words.caution(spec),
            hold_point=spec.hold_point,
            photo=spec.photo,
            fits=tuple(words.item(p) for p in spec.positions if p in filled),
            joints=tuple(j for j in spec.joints if j in made),
            readings=tuple(words.reading(spec, r) for r in spec.readings),
            originals=tuple(Original(o.name, o.fate) for o in spec.originals),
            pattern=spec.pattern,
            second_person=signed_by_two(spec),
            never_alone=is_never_alone(spec),
            hoses=tuple(hose.tag for hose in hoses if hose.position in spec.positions),
        )
        for number, spec in enumerate(specs, 1)
    )


def fitting_findings(
    *,
    specs: Sequence[StepSpec],
    kit: CompiledKit,
    variant: VariantSpec,
    items: Sequence[Item],
    joints: Sequence[Joint],
    hoses: Sequence[Hose],
    wires: Sequence[Wire],
    gapped: frozenset[int],
) -> Iterator[Finding]:
    """Filled positions that no step fits, and steps about places that are empty in this car.

    gapped: positions that are empty although they must not be; that is told once, as a gap, not by each step.
    """
    filled = {item.position for item in items}
    on_car = {p.number for p in kit.spec.positions if p.is_on_car}
    torn = {j.code for j in kit.spec.joints if {j.position_a, j.position_b} & gapped}
    there = {
        "position": {str(p) for p in filled | on_car | gapped},
        "joint": {j.code for j in joints} | torn,
        "torque": {j.code for j in joints} | torn,
        "length": {hose.route for hose in hoses},
    }
    wired = {(w.position, w.number) for w in wires}
    for spec in specs:
        missing = [f"position {p}" for p in spec.positions if str(p) not in there["position"]]
        missing += [f"joint {j}" for j in spec.joints if j not in there["joint"]]
        missing += [f"circuit {p}/{n}" for p, n in spec.circuits if (p, n) not in wired and p not in gapped]
        count = len(spec.positions) + len(spec.joints) + len(spec.circuits)
        spoken = [f"{kind} {name}" for kind, name in named(spec.text) if name not in there.get(kind, {name})]
        # a step for several cars may list what one of them lacks; it must do something, and say nothing wrong
        if spoken or (missing and len(missing) == count):
            sentence = f"Step {spec.key} is about {(spoken or missing)[0]}, which is empty in {variant.name}."
            field = "text" if spoken else _first_list(spec)
            yield Finding("step-empty", "warns", f"step:{spec.key}", sentence, row("Steps", field, spec.key))
    fitted = {p for spec in specs for p in spec.positions}
    for position in kit.spec.positions:
        if position.number in filled and position.number not in fitted:
            sentence = f"Position {position.number} {position.name} is filled, but no step fits it."
            mend = new_row("Steps", "fits_positions", kind="fit", fits_positions=position.number)
            yield Finding("position-no-step", "warns", f"position:{position.number}", sentence, mend)


def _first_list(spec: StepSpec) -> str:
    """The field of a step that names what it is about."""
    return "fits_positions" if spec.positions else "joins_joints" if spec.joints else "wires_circuits"


def spoken(codes: Sequence[str]) -> str:
    """Codes as a person lists them: "J1 to J9, X1, X2"; three and more that follow one another are drawn together."""
    runs: list[list[str]] = []
    last: tuple[str, int] | None = None
    for letters, number, code in sorted((*_split(code), code) for code in codes):
        if last == (letters, number - 1):
            runs[-1].append(code)
        else:
            runs.append([code])
        last = (letters, number)
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


def _split(code: str) -> tuple[str, int]:
    """The letters of a code and the number at its end: "J12" is J and 12."""
    letters = code.rstrip("0123456789")
    return letters, int(code[len(letters) :] or 0)


class _Words:
    """Fills placeholders from what was resolved."""

    def __init__(
        self,
        *,
        kit: CompiledKit,
        variant: VariantSpec,
        items: Sequence[Item],
        joints: Sequence[Joint],
        hoses: Sequence[Hose],
        charge: Charge,
        volts: float | None,
        burns: bool,
    ) -> None:
        self._burns = burns
        self._items: dict[int, list[Item]] = {}
        for item in items:
            self._items.setdefault(item.position, []).append(item)
        self._kit, self._hoses = kit, {hose.position: hose for hose in hoses}
        self._routes = {hose.route: hose for hose in hoses}
        self._joints = {joint.code: joint for joint in joints}
        grams = (
            f"{charge.charge_g:g} ± {charge.tolerance_g:g} g"
            if charge.charge_g is not None
            else f"[charge {NOT_RECORDED}: do not charge]"
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
            "joints": spoken([joint.code for joint in joints if joint.family == "refrigerant"]) or "none",
            "high_voltage": f"{volts:g} V" if volts else NOT_RECORDED,
        }

    def item(self, position: int) -> str:
        """The thing at a position: a hose by its tag, else name and part number."""
        if position in self._hoses:
            hose = self._hoses[position]
            return f"{hose.name} (tag {hose.tag})"
        items = self._items.get(position, [])
        return ", ".join(f"{i.name} ({i.part})" for i in items) or self._kit.positions[position].name

    def reading(self, step: StepSpec, spec: ReadingSpec) -> Reading:
        """A reading; one that counts the joints of the circuit is to be as many as this car has."""
        pattern, low = patterns().get(step.pattern), spec.low
        blank = pattern.blank(spec.answers) if pattern else None
        if blank and blank.counts == "joints":
            low = Decimal(sum(joint.family == "refrigerant" for joint in self._joints.values()))
        return Reading(
            name=spec.name,
            unit=spec.unit,
            low=low,
            high=spec.high,
            limit_from=spec.limit_from,
            writes=spec.writes,
            predicted=spec.predicted,
        )

    def caution(self, step: StepSpec) -> str:
        """The caution that the step's pattern or its own code asks for, and what the step adds in words of its own."""
        standard = cautions().get(caution_code(step))
        told = [standard.text, standard.if_burning if self._burns else ""] if standard else []
        return " ".join(part for part in (*map(self.fill, told), step.caution) if part)

    def fill(self, text: str) -> str:
        """The text with its placeholders filled in."""

        def word(match: re.Match[str]) -> str:
            kind, name, plain = match.group(1), match.group(2), match.group(3)
            if plain:
                return self._plain[plain]
            if kind == "position":
                return self.item(int(name)) if name.isdigit() and int(name) in self._kit.positions else name
            if kind in ("bag", "open"):
                return f"bag {name}" if kind == "bag" else f"Open bag {name}"
            if kind == "spacing":
                position = self._kit.positions.get(int(name)) if name.isdigit() else None
                spacing_mm = position.hold_spacing_mm if position else None
                return f"{spacing_mm:g} mm" if spacing_mm is not None else NOT_RECORDED
            if kind == "length":
                cut = self._routes[name].cut_mm if name in self._routes else None
                return (
                    f"{cut} mm" if cut is not None else f"[length of route {name} {NOT_RECORDED}: do not cut]"
                )
            joint = self._joints.get(name)
            if joint is None:
                return name
            return (
                joint.torque_text()
                if kind == "torque"
                else f"joint {name} ({joint.a} to {joint.b}, {joint.size})"
            )

        return PLACEHOLDER.sub(word, text)
