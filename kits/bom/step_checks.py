"""Whether the steps of one car do everything once, in the right order, and account for what was taken out."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from kits.bom.catalogue import OriginalSpec, StepSpec
from kits.bom.mending import new_row, row
from kits.bom.resolved import Finding, Joint, Severity, Wire
from kits.bom.step_text import opened_bags

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
            mend = new_row("Steps", "joins_joints", kind="connect", joins_joints=joint.code)
            yield Finding("joint-no-step", "blocks", f"joint:{joint.code}", sentence, mend)
        connecting = [s for s in making if s.kind == "connect"]
        if len(connecting) > 1:
            keys = " and ".join(s.key for s in connecting)
            sentence = f"{name} is connected twice, in {keys}: one of them is one too many."
            key = connecting[1].key
            mend = row("Steps", "joins_joints", key)
            yield Finding("joint-two-steps", "warns", f"step:{key}", sentence, mend)
    done = {kind: {c for s in steps if s.kind == kind for c in s.circuits} for kind in ("wire", "test")}
    for wire in wires:
        circuit = (wire.position, wire.number)
        where, name = f"circuit:{wire.position}/{wire.number}", f"Circuit {wire.position}/{wire.number}"
        for kind, code, does in (("wire", "circuit-no-step", "wires"), ("test", "circuit-no-test", "tests")):
            if circuit not in done[kind]:
                listed = f"{wire.position}/{wire.number}"
                mend = new_row("Steps", "wires_circuits", kind=kind, wires_circuits=listed)
                yield Finding(code, "warns", where, f"{name} has no step that {does} it.", mend)


def order_findings(
    steps: Sequence[StepSpec], joints: Sequence[Joint], driers: frozenset[int]
) -> Iterator[Finding]:
    """The order that safety asks for; ``steps`` stand in their order, ``driers`` are the driers' positions."""
    refrigerant = {j.code: j for j in joints if j.family == "refrigerant"}
    yield from _stages(steps)
    yield from _battery(steps)
    yield from _drier(steps, refrigerant, driers)


def _stages(steps: Sequence[StepSpec]) -> Iterator[Finding]:
    places = {kind: [i for i, s in enumerate(steps) if s.kind == kind] for kind in CIRCUIT_ORDER}
    # what goes back before the first joint is made covers none: a filter hung in a new place, say
    joining = min((i for i, s in enumerate(steps) if s.kind == "connect"), default=0)
    places["refit"] = [i for i in places["refit"] if i > joining]
    if not places["hand over"]:
        sentence = "The checklist has no step of the kind “hand over”."
        mend = new_row("Steps", "kind", kind="hand over")
        yield Finding("step-kind-missing", "blocks", "kit", sentence, mend)
    for kind, after in pairwise([kind for kind in CIRCUIT_ORDER if places[kind]]):
        if max(places[kind]) > min(places[after]):
            key = steps[min(places[after])].key
            sentence = f"Step {key} ({after}) stands before the last {kind}: move it behind."
            yield _misplaced(key, sentence)


def _misplaced(key: str, sentence: str, severity: Severity = "blocks") -> Finding:
    return Finding("step-order", severity, f"step:{key}", sentence, row("Steps", "step_order", key))


def _battery(steps: Sequence[StepSpec]) -> Iterator[Finding]:
    """Battery off before any work, on after the last wire; that there are such steps the patterns ask."""
    work = [i for i, s in enumerate(steps) if s.kind in WORK]
    wiring = [i for i, s in enumerate(steps) if s.kind == "wire"]
    off, on = ([i for i, s in enumerate(steps) if s.pattern == f"battery-{way}"] for way in ("off", "on"))
    if off and work and off[0] > work[0]:
        sentence = (
            f"Step {steps[off[0]].key} takes the battery off after work has begun"
            f" ({steps[work[0]].key}): battery off comes first."
        )
        yield _misplaced(steps[off[0]].key, sentence)
    if on and wiring and on[0] < wiring[-1]:
        late = steps[wiring[-1]].key
        sentence = f"Step {late} wires the car after the battery is back on ({steps[on[0]].key})."
        yield _misplaced(late, sentence)


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
            yield _misplaced(step.key, sentence)


def original_findings(steps: Sequence[StepSpec]) -> Iterator[Finding]:
    """Removed is refitted plus kept plus scrapped: each thing taken out has one fate, and that after it came out.

    Things are matched by their name, whatever its case.
    """
    rows = [(i, s, o) for i, s in enumerate(steps) for o in s.originals]
    removed = {_name(o): (i, s, o.name.strip()) for i, s, o in reversed(rows) if o.fate == "removed"}
    fates: dict[str, list[tuple[int, StepSpec, OriginalSpec]]] = {}
    for i, step, o in rows:
        if o.fate in FATES:
            fates.setdefault(_name(o), []).append((i, step, o))
            if _name(o) not in removed:
                sentence = f"Step {step.key} says “{o.name.strip()}” is {o.fate}, but no step of this car removes it."
                mend = row("Originals", "name", step.key, o.number)
                yield Finding("original-not-removed", "warns", f"step:{step.key}", sentence, mend)
    for key, (i, step, name) in removed.items():
        ends = fates.get(key, [])
        if not ends:
            sentence = (
                f"“{name}”, removed in step {step.key}, is neither refitted nor kept nor scrapped:"
                " say what becomes of it."
            )
            mend = new_row("Originals", "step_key", name=name)
            yield Finding("original-lost", "warns", f"step:{step.key}", sentence, mend)
        elif len(ends) > 1:
            told = " and ".join(f"{o.fate} in {s.key}" for _, s, o in ends)
            sentence = f"“{name}”, removed in step {step.key}, has more than one fate: {told}."
            _, late, o = ends[1]
            mend = row("Originals", "fate", late.key, o.number)
            yield Finding("original-twice", "warns", f"step:{late.key}", sentence, mend)
        elif ends[0][0] < i:
            sentence = (
                f"“{name}” is {ends[0][2].fate} in step {ends[0][1].key} before it is removed in {step.key}."
            )
            yield _misplaced(ends[0][1].key, sentence, "warns")


def _name(original: OriginalSpec) -> str:
    return original.name.strip().casefold()


def bag_findings(steps: Sequence[StepSpec], bags: Mapping[int, str]) -> Iterator[Finding]:
    """Each bag is opened once, by the first step that fits something out of it or before.

    Parameters: steps (in their order), bags (the bag of each filled position; empty: it is in none).
    """
    opening: dict[str, list[int]] = {}
    for i, step in enumerate(steps):
        for bag in dict.fromkeys(opened_bags(step.text)):
            opening.setdefault(bag, []).append(i)
    fitting: dict[str, list[tuple[int, int]]] = {}
    for i, step in enumerate(steps):
        for position in step.positions:
            if bag := bags.get(position, ""):
                fitting.setdefault(bag, []).append((i, position))
    for bag in sorted(filter(None, {*bags.values()})):
        if bag not in opening:
            yield _never(bag, steps, fitting.get(bag, []), [p for p, held in bags.items() if held == bag])
            continue
        opened = steps[opening[bag][0]].key
        early = {i: p for i, p in reversed(fitting.get(bag, [])) if i < opening[bag][0]}
        for i, position in sorted(early.items()):
            key = steps[i].key
            sentence = (
                f"Step {key} fits position {position} out of bag {bag}, which is opened later, in {opened}:"
                f" open it in {key} or before."
            )
            yield Finding("bag-late", "warns", f"step:{key}", sentence, row("Steps", "text", key))
    for bag, places in opening.items():
        if len(places) > 1:
            first, again = steps[places[0]].key, steps[places[1]].key
            sentence = f"Bag {bag} is opened twice, in {first} and {again}: one of them is one too many."
            yield Finding("bag-twice", "warns", f"step:{again}", sentence, row("Steps", "text", again))


def _never(
    bag: str, steps: Sequence[StepSpec], fitting: Sequence[tuple[int, int]], held: Sequence[int]
) -> Finding:
    """A bag that no step opens: where it is first needed, else where its first part stands."""
    opens = f"{{open:{bag}}}"
    if not fitting:
        sentence = f"Bag {bag} (position {held[0]}) is opened by no step: write {opens} into one."
        mend = new_row("Steps", "text", kind="prepare", text=opens)
        return Finding("bag-never", "warns", f"position:{held[0]}", sentence, mend)
    key = steps[fitting[0][0]].key
    sentence = f"Bag {bag} is opened by no step; {key} is the first that needs it: write {opens} there."
    return Finding("bag-never", "warns", f"step:{key}", sentence, row("Steps", "text", key))
