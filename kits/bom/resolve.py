"""Resolve a compiled kit for one car on one date."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from kits.bom.catalogue import Measured, VariantSpec
from kits.bom.circuit import joint_of, links, mating, torn_off
from kits.bom.circuit_checks import circuit_findings, port_findings, upright_findings
from kits.bom.clip_checks import Clip, clip_findings, kinds_of
from kits.bom.compile import CompiledKit
from kits.bom.filling import Filling, fill
from kits.bom.involved import BURNING, compressor_volts, involved
from kits.bom.mending import of_revision
from kits.bom.pattern_checks import pattern_findings
from kits.bom.resolved import Charge, Finding, Item, Joint, ResolvedKit
from kits.bom.ring_checks import Ring, ring_findings
from kits.bom.roles import SPARE
from kits.bom.setting_checks import gas_findings, part_setting_findings, pressure_findings
from kits.bom.step_cautions import caution_findings
from kits.bom.step_checks import bag_findings, doing_findings, order_findings, original_findings
from kits.bom.steps import fitting_findings, steps_for, written_steps
from kits.bom.wire_checks import wire_findings


def resolve(
    kit: CompiledKit,
    variant: VariantSpec,
    lengths: Mapping[str, Measured],
    charge: Measured | None,
    on: date,
) -> ResolvedKit:
    """Resolve a kit for one car: what goes in, how long each hose is, what joins what, which steps.

    Parameters: lengths (route code -> the winning length in mm), charge (the winning charge in g), on (in force).
    Returns a ResolvedKit; what is missing or wrong is in its findings, nothing is guessed.
    """
    work = Filling(kit, variant, lengths, on)
    for position in kit.spec.positions:
        fill(work, position)
    settings = kit.spec.settings
    clips = _clips(work)
    joints = _joints(work, clips)
    work.findings += clip_findings(joints, work.hoses, clips, _spacings(work), work.gapped)
    work.findings += _part_findings(work, joints)
    if charge is None and settings["refrigerant"]:
        work.find(
            "charge-missing", "blocks", "charge", f"No refrigerant charge is recorded for {variant.name}."
        )
    if charge is not None and not settings["refrigerant"]:
        sentence = f"A refrigerant charge is recorded for {variant.name}, but the kit has no refrigerant."
        work.find("charge-without-gas", "warns", "kit", sentence)
    amounts = Charge(
        charge.value if charge else None,
        charge.tolerance if charge else None,
        charge.origin if charge else None,
        str(settings["oil"]),
        settings["oil_ml"],
    )
    specs = steps_for(kit, variant, on)
    driers = frozenset(h.position for h in work.ports if h.kind == "receiver-drier")
    involves = involved(settings, work.plant, joints, work.wires, driers, variant.drive)
    work.findings += [
        *fitting_findings(
            specs=specs,
            kit=kit,
            variant=variant,
            items=work.items,
            joints=joints,
            hoses=work.hoses,
            wires=work.wires,
            gapped=work.gapped,
        ),
        *doing_findings(specs, joints, work.wires),
        *order_findings(specs, joints, driers),
        *original_findings(specs),
        *pattern_findings(specs, involves),
        *caution_findings(specs, involves),
        *bag_findings(specs, {item.position: item.bag for item in work.items}),
        *kit.findings_for(variant, [s.key for s in specs], on),
    ]
    return ResolvedKit(
        kit=kit.spec.code,
        kit_name=kit.spec.name,
        line=variant.line,
        variant=variant.code,
        variant_name=variant.name,
        on=on,
        options=variant.options,
        settings=settings,
        items=tuple(work.items),
        hoses=tuple(work.hoses),
        joints=joints,
        wires=tuple(work.wires),
        charge=amounts,
        steps=written_steps(
            specs=specs,
            kit=kit,
            variant=variant,
            items=work.items,
            joints=joints,
            hoses=work.hoses,
            charge=amounts,
            volts=compressor_volts(work.plant),
            burns=BURNING in involves,
        ),
        plant=work.plant,
        origins=work.origins | ({"kit": kit.spec.origin} if kit.spec.origin else {}),
        findings=tuple(dict.fromkeys(_in_force(finding, work) for finding in work.findings)),
        involves=involves,
        days=frozenset(work.days),
    )


def _joints(work: Filling, clips: Sequence[Clip]) -> tuple[Joint, ...]:
    positions = work.kit.positions
    filled = frozenset(item.position for item in work.items)
    made, lost = links(work.kit.spec.joints, work.ports, positions, filled)
    torn = torn_off(work.kit.spec.joints, work.ports, work.gapped)
    work.findings += [*lost, *mating(made), *circuit_findings(work.ports, made, positions, torn)]
    refrigerant = str(work.kit.spec.settings.get("refrigerant", ""))
    kinds = kinds_of(clips)
    return tuple(joint_of(link, positions, refrigerant, kinds) for link in made)


def _part_findings(work: Filling, joints: Sequence[Joint]) -> Iterator[Finding]:
    settings = work.kit.spec.settings
    parts = [part for part, _ in work.used.values()]
    upright = {part.number: revision.data.get("upright") for part, revision in work.used.values()}
    yield from port_findings(parts, work.ports)
    yield from upright_findings(parts, upright)
    yield from ring_findings(joints, _rings(work), str(settings.get("refrigerant", "")))
    yield from wire_findings(work.wires, work.variant.positive_earth)
    yield from pressure_findings(settings)
    yield from gas_findings(settings, [held.port.role for held in work.ports if held.is_wetted])
    roles = {item.part: item.role for item in work.items}
    held = [(p, revision.data, roles.get(p.number, "")) for p, revision in work.used.values()]
    yield from part_setting_findings(settings, held)


def _rings(work: Filling) -> list[Ring]:
    rings: list[Ring] = []

    def walk(item: Item, times: Decimal, chosen: str) -> None:
        quantity = item.quantity * times
        part, revision = work.used.get(item.part, (None, None))
        if part is not None and revision is not None and part.kind == "O-ring":
            size, rubber = (str(revision.data.get(name) or "") for name in ("size", "rubber"))
            entry = _entry_of(work, item.position, chosen)
            rings.append(
                Ring(
                    position=item.position,
                    part=item.part,
                    name=part.name,
                    size=size,
                    rubber=rubber,
                    quantity=quantity,
                    is_spare=item.role == SPARE,
                    entry=entry,
                )
            )
        for child in item.children:
            walk(child, quantity, chosen)

    for item in work.items:
        walk(item, Decimal(1), item.part)
    return rings


def _clips(work: Filling) -> list[Clip]:
    """The clips at positions of their own; what an assembly brings has its place already."""
    clips = []
    for item in work.items:
        part, revision = work.used.get(item.part, (None, None))
        if part is not None and revision is not None and part.kind == "clip":
            kind, size = (str(revision.data.get(name) or "") for name in ("clip_kind", "size"))
            entry = _entry_of(work, item.position, item.part)
            clips.append(
                Clip(
                    position=item.position,
                    part=item.part,
                    name=part.name,
                    kind=kind,
                    size=size,
                    quantity=item.quantity,
                    entry=entry,
                )
            )
    return clips


def _spacings(work: Filling) -> dict[int, float]:
    """Where P-clips stand, and how far apart they hold the hoses."""
    return {p.number: p.hold_spacing_mm for p in work.kit.spec.positions if p.hold_spacing_mm is not None}


def _entry_of(work: Filling, position: int, part: str) -> int:
    """The number of the entry that brings the part to the position."""
    entries = work.kit.positions[position].entries
    chosen = (e.number for e in entries if e.part == part and e.terms.applies(work.variant.options))
    return next(chosen, 0)


def _in_force(finding: Finding, work: Filling) -> Finding:
    """The finding with the revision in force where its field belongs to a part's revision."""
    number = finding.where.removeprefix("part:")
    if finding.mend is None or number == finding.where or number not in work.used:
        return finding
    revision = work.used[number][1]
    return replace(finding, mend=of_revision(finding.mend, number, revision.revision, bool(revision.data)))
