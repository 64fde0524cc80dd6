"""Whether the steps of one car do everything once, in the right order, and account for what was taken out."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from kits.bom.catalogue import StepSpec
from kits.bom.resolved import Finding, Joint, Wire

CIRCUIT_ORDER = ("pressure test", "evacuate", "charge", "refit", "hand over")
"""Practice: no charge without a passed pressure test and vacuum, trim goes back on after the charge."""
WORK = ("remove", "fit", "connect", "wire")
FATES = ("refitted", "kept", "scrapped")


def doing_findings(
    steps: Sequence[StepSpec], joints: Sequence[Joint], wires: Sequence[Wire]
) -> Iterator[Finding]:
    """Each joint is connected by one step; each circuit is wired by a step and tested by another."""
    for joint in joints:
        name = f"Joint {joint.code} ({joint.a} to {joint.b})"
        making = [s for s in steps if joint.code in s.joints]
        # within one assembly a joint is made at works and looked at in a step of any kind
        if joint.family == "refrigerant" and joint.position_a != joint.position_b:
            making = [s for s in making if s.kind == "connect"]
        if not making:
            sentence = f"{name} has no step that connects it."
            yield Finding("joint-no-step", "blocks", f"joint:{joint.code}", sentence)
        connecting = [s for s in making if s.kind == "connect"]
        if len(connecting) > 1:
            keys = " and ".join(s.key for s in connecting)
            sentence = f"{name} is connected twice, in {keys}: one of them is one too many."
            yield Finding("joint-two-steps", "warns", f"step:{connecting[1].key}", sentence)
    done = {kind: {c for s in steps if s.kind == kind for c in s.circuits} for kind in ("wire", "test")}
    for wire in wires:
        circuit = (wire.position, wire.number)
        where, name = f"circuit:{wire.position}/{wire.number}", f"Circuit {wire.position}/{wire.number}"
        if circuit not in done["wire"]:
            yield Finding("circuit-no-step", "warns", where, f"{name} has no step that wires it.")
        if circuit not in done["test"]:
            yield Finding("circuit-no-test", "warns", where, f"{name} has no step that tests it.")


def order_findings(
    steps: Sequence[StepSpec], joints: Sequence[Joint], driers: frozenset[int]
) -> Iterator[Finding]:
    """The order that safety asks for; ``steps`` stand in their order, ``driers`` are the driers' positions.

    Without a joint of refrigerant there is nothing to test, evacuate or charge.
    """
    refrigerant = {j.code: j for j in joints if j.family == "refrigerant"}
    yield from _stages(steps, bool(refrigerant))
    yield from _battery(steps)
    yield from _drier(steps, refrigerant, driers)


def _stages(steps: Sequence[StepSpec], has_circuit: bool) -> Iterator[Finding]:
    places = {kind: [i for i, s in enumerate(steps) if s.kind == kind] for kind in CIRCUIT_ORDER}
    # what goes back before the first joint is made covers none: a filter hung in a new place, say
    joining = min((i for i, s in enumerate(steps) if s.kind == "connect"), default=0)
    places["refit"] = [i for i in places["refit"] if i > joining]
    for kind in ("pressure test", "evacuate", "charge", "hand over") if has_circuit else ("hand over",):
        if not places[kind]:
            sentence = f"The checklist has no step of the kind “{kind}”."
            yield Finding("step-kind-missing", "blocks", "kit", sentence)
    for kind, after in pairwise([kind for kind in CIRCUIT_ORDER if places[kind]]):
        if max(places[kind]) > min(places[after]):
            key = steps[min(places[after])].key
            sentence = f"Step {key} ({after}) stands before the last {kind}: move it behind."
            yield Finding("step-order", "blocks", f"step:{key}", sentence)


def _battery(steps: Sequence[StepSpec]) -> Iterator[Finding]:
    """Battery off before any work, on after the last wire: the first and last step that prepare the battery."""
    work = [i for i, s in enumerate(steps) if s.kind in WORK]
    wiring = [i for i, s in enumerate(steps) if s.kind == "wire"]
    battery = [
        i for i, s in enumerate(steps) if s.kind == "prepare" and "battery" in f"{s.key} {s.text}".lower()
    ]
    if wiring and not battery:
        sentence = "The checklist wires the car, but no step of the kind “prepare” takes the battery off."
        yield Finding("battery-on", "blocks", "kit", sentence)
    if not battery:
        return
    if work and battery[0] > work[0]:
        sentence = (
            f"Step {steps[battery[0]].key} takes the battery off after work has begun"
            f" ({steps[work[0]].key}): battery off comes first."
        )
        yield Finding("step-order", "blocks", f"step:{steps[battery[0]].key}", sentence)
    elif wiring and len(battery) > 1 and battery[-1] < wiring[-1]:
        late, on = steps[wiring[-1]].key, steps[battery[-1]].key
        sentence = f"Step {late} wires the car after the battery is back on ({on})."
        yield Finding("step-order", "blocks", f"step:{steps[wiring[-1]].key}", sentence)


def _drier(steps: Sequence[StepSpec], joints: dict[str, Joint], driers: frozenset[int]) -> Iterator[Finding]:
    """The drier takes water from the air: its own joints are the last that are made."""
    own = {code for code, j in joints.items() if {j.position_a, j.position_b} & driers}
    places = [(i, s) for i, s in enumerate(steps) if s.kind == "connect"]
    opened = next((i for i, s in places if own & set(s.joints)), None)
    for i, step in places:
        late = [code for code in step.joints if code in joints and code not in own]
        if opened is not None and i > opened and late:
            sentence = (
                f"Step {step.key} makes joint {late[0]} after the drier was opened ({steps[opened].key}):"
                " the drier is opened last."
            )
            yield Finding("step-order", "blocks", f"step:{step.key}", sentence)


def original_findings(steps: Sequence[StepSpec]) -> Iterator[Finding]:
    """Removed is refitted plus kept plus scrapped: each thing taken out has one fate, and that after it came out.

    Things are matched by their name, whatever its case.
    """
    rows = [(i, s, o.name.strip(), o.fate) for i, s in enumerate(steps) for o in s.originals]
    removed = {name.casefold(): (i, s, name) for i, s, name, fate in reversed(rows) if fate == "removed"}
    fates: dict[str, list[tuple[int, StepSpec, str]]] = {}
    for i, step, name, fate in rows:
        if fate in FATES:
            fates.setdefault(name.casefold(), []).append((i, step, fate))
            if name.casefold() not in removed:
                sentence = f"Step {step.key} says “{name}” is {fate}, but no step of this car removes it."
                yield Finding("original-not-removed", "warns", f"step:{step.key}", sentence)
    for key, (i, step, name) in removed.items():
        ends = fates.get(key, [])
        if not ends:
            sentence = (
                f"“{name}”, removed in step {step.key}, is neither refitted nor kept nor scrapped:"
                " say what becomes of it."
            )
            yield Finding("original-lost", "warns", f"step:{step.key}", sentence)
        elif len(ends) > 1:
            told = " and ".join(f"{fate} in {s.key}" for _, s, fate in ends)
            sentence = f"“{name}”, removed in step {step.key}, has more than one fate: {told}."
            yield Finding("original-twice", "warns", f"step:{ends[1][1].key}", sentence)
        elif ends[0][0] < i:
            sentence = (
                f"“{name}” is {ends[0][2]} in step {ends[0][1].key} before it is removed in {step.key}."
            )
            yield Finding("step-order", "warns", f"step:{ends[0][1].key}", sentence)
