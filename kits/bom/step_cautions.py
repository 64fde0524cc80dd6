"""The cautions of steps, as data: each is true in some states of car and circuit, and a finding in any other."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from kits.bom.catalogue import StepSpec
from kits.bom.involved import HIGH_VOLTAGE, REFRIGERANT
from kits.bom.mending import row
from kits.bom.resolved import Finding
from kits.bom.step_patterns import patterns

CAUTIONS_FILE = Path(__file__).parent / "data" / "step_cautions.json"
HV_LIVE, HV_DEAD, NO_GAS, GAS, BATTERY_OFF = "hv live", "hv dead", "no gas", "gas", "battery off"
STATES = {
    HV_LIVE: "the high voltage is live here",
    HV_DEAD: "the high voltage is off and proved dead here",
    NO_GAS: "there is no gas in the circuit yet",
    GAS: "there is gas in the circuit",
    BATTERY_OFF: "the battery is off",
}
"""What a step's place in the order tells, in words."""


@dataclass(frozen=True)
class Caution:
    """A caution with the states and conditions that must all hold where it stands.

    if_burning: what it says besides of a gas that burns; second_person: a hold point with it is signed by two.
    """

    code: str
    holds_while: tuple[str, ...]
    text: str
    if_burning: str = ""
    second_person: bool = False


@cache
def cautions() -> Mapping[str, Caution]:
    """The cautions by code."""
    read = json.loads(CAUTIONS_FILE.read_text(encoding="utf-8"))["cautions"]
    return {
        code: Caution(
            code, tuple(given["while"]), given["text"], given.get("if_burning", ""), "second_person" in given
        )
        for code, given in read.items()
    }


def caution_choices() -> list[tuple[str, str]]:
    """Code and text of each caution, as choices of a field."""
    return [(code, caution.text) for code, caution in cautions().items()]


def caution_code(step: StepSpec) -> str:
    """The caution a step is printed with: its own, else that of its pattern."""
    pattern = patterns().get(step.pattern)
    return step.standard_caution or (pattern.caution if pattern else "")


def is_never_alone(step: StepSpec) -> bool:
    """Whether nobody may do a step alone: what is about high voltage."""
    pattern, caution = patterns().get(step.pattern), cautions().get(caution_code(step))
    return bool((pattern and pattern.asked == HIGH_VOLTAGE) or (caution and caution.second_person))


def signed_by_two(step: StepSpec) -> bool:
    """Whether a step that holds the work is signed by a second person: what nobody does alone, and by its pattern."""
    pattern = patterns().get(step.pattern)
    return is_never_alone(step) or bool(pattern and pattern.second_person)


def states(steps: Sequence[StepSpec], involves: frozenset[str]) -> tuple[frozenset[str], ...]:
    """The state of car and circuit at each step, by the patterns that stand before it.

    The step that proves the high voltage dead works on a live branch, and so does the one that puts it on.
    """
    found, is_dead, is_off, has_gas = [], False, False, False
    for step in steps:
        is_dead = is_dead and step.pattern != "hv-on"
        is_off = (is_off or step.pattern == "battery-off") and step.pattern != "battery-on"
        has_gas = has_gas or step.pattern == "charge"
        state = {BATTERY_OFF} if is_off else set()
        if HIGH_VOLTAGE in involves:
            state.add(HV_DEAD if is_dead else HV_LIVE)
        if REFRIGERANT in involves:
            state.add(GAS if has_gas else NO_GAS)
        found.append(frozenset(state))
        is_dead = is_dead or step.pattern == "hv-off"
    return tuple(found)


def caution_findings(steps: Sequence[StepSpec], involves: frozenset[str]) -> Iterator[Finding]:
    """Cautions that are not true where they stand; ``steps`` are one car's, in their order."""
    for step, state in zip(steps, states(steps, involves), strict=True):
        caution = cautions().get(caution_code(step))
        wrong = [c for c in caution.holds_while if c not in state | involves] if caution else []
        if caution and wrong:
            sentence = (
                f"The caution “{caution.code}” of step {step.key} is not true there: {_said(wrong[0], state)}."
                " Choose the caution that fits, or move the step."
            )
            mend = row("Steps", "standard_caution", step.key)
            yield Finding("caution-untrue", "blocks", f"step:{step.key}", sentence, mend)


def _said(wrong: str, state: frozenset[str]) -> str:
    """Why a condition does not hold: the state in its place, or that this installation has no such thing."""
    opposite = {HV_LIVE: HV_DEAD, HV_DEAD: HV_LIVE, NO_GAS: GAS, GAS: NO_GAS}.get(wrong)
    if opposite in state:
        return STATES[opposite]
    if wrong == BATTERY_OFF:
        return "no step before it takes the battery off, or it is on again"
    return f"this installation has no {wrong}"
