"""Rows of parts and kits to the values a kit is resolved from; a fixed number of queries whatever the size."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Model, Prefetch

from kits.bom.catalogue import (
    CircuitSpec,
    EntrySpec,
    HoseRunSpec,
    JointSpec,
    KitSpec,
    PartSpec,
    PortSpec,
    PositionSpec,
    ReadingSpec,
    RevisionSpec,
    StepSpec,
    StructureSpec,
)
from kits.bom.models import Circuit, Entry, HoseRun, Joint, Kit, KitOffer, Position
from kits.bom.step_models import KitStep, StepFits
from kits.parts.data_models import TECHNICAL_DATA
from kits.parts.models import Part, PartRevision
from kits.parts.queries import parts_in_kits
from vehicles.catalogue.models import ExcludedCombination, LineOption
from vehicles.records.bridge import origin_of
from vehicles.records.terms import Terms, terms_of

POINTS = {
    "compressor": "rated_points",
    "evaporator": "rated_points",
    "condenser": "rated_points",
    "blower": "curve_points",
}
SETTINGS = (
    "refrigerant", "oil", "oil_ml", "superheat_k", "subcooling_k", "freeze_mode", "freeze_cut_out_c",
    "freeze_cut_in_c", "fan_on_bar_g", "high_cut_out_bar_g", "high_reset_bar_g", "low_cut_out_bar_g",
    "discharge_limit_c", "supply_voltage_v", "kit_current_a",
)  # fmt: skip


def _plain(row: Model) -> dict[str, Any]:
    """A row's own values without keys, rows it points at, and origin."""
    return {
        f.name: getattr(row, f.name)
        for f in row._meta.concrete_fields
        if f.name != "id" and not f.is_relation and not f.name.startswith("origin_")
    }


def load_parts(kits: Iterable[str] | None = None) -> dict[str, PartSpec]:
    """Parts with revisions, structure, ports and technical data, by number: all, or those the kits use."""
    revisions = PartRevision.objects.select_related(*TECHNICAL_DATA.values()).prefetch_related(
        "structure__child", "ports", *(f"{TECHNICAL_DATA[kind]}__{points}" for kind, points in POINTS.items())
    )
    parts = Part.objects.prefetch_related(Prefetch("revisions", queryset=revisions))
    if kits is not None:
        parts = parts.filter(pk__in=parts_in_kits(kits))
    return {part.number: _part(part) for part in parts}


def _part(part: Part) -> PartSpec:
    return PartSpec(
        part.number,
        part.name,
        part.kind,
        part.unit,
        part.supply,
        tuple(_revision(part, r) for r in part.revisions.all()),
    )


def _revision(part: Part, row: PartRevision) -> RevisionSpec:
    data = getattr(row, TECHNICAL_DATA.get(part.kind, ""), None) if part.kind in TECHNICAL_DATA else None
    points = getattr(data, POINTS[part.kind]).all() if data is not None and part.kind in POINTS else ()
    return RevisionSpec(
        row.revision,
        row.maturity,
        row.mass_g,
        row.inner_volume_ml,
        row.in_force_from,
        row.in_force_until,
        tuple(StructureSpec(e.number, e.child.number, e.quantity) for e in row.structure.all()),
        tuple(PortSpec(p.code, p.role, p.form, p.size, p.gender, p.material) for p in row.ports.all()),
        _plain(data) if data is not None else {},
        tuple(_plain(p) for p in points),
        origin_of(data) if data is not None else None,
    )


def _terms(owner: Any) -> Terms:
    return terms_of((t.option.feature.code, t.option.code, t.excluded) for t in owner.terms.all())


def load_kits(codes: Iterable[str] | None = None) -> dict[str, KitSpec]:
    """The kits, all or those named, by code."""
    positions = Position.objects.prefetch_related(
        Prefetch("entries", Entry.objects.select_related("part").prefetch_related("terms__option__feature")),
        Prefetch(
            "hose_runs",
            HoseRun.objects.select_related("route", "hose", "end_a", "end_b").prefetch_related(
                "terms__option__feature"
            ),
        ),
        Prefetch("circuits", Circuit.objects.all()),
    )
    fits = StepFits.objects.select_related("position", "joint", "circuit__position")
    steps = KitStep.objects.prefetch_related("terms__option__feature", "readings", Prefetch("fits", fits))
    kits = Kit.objects.prefetch_related(
        Prefetch("positions", positions),
        Prefetch("joints", Joint.objects.select_related("position_a", "position_b")),
        Prefetch("steps", steps),
        Prefetch("offers", KitOffer.objects.select_related("line")),
    )
    rows = list(kits if codes is None else kits.filter(code__in=list(codes)))
    options: dict[int, dict[str, list[str]]] = {}
    for row in LineOption.objects.select_related("option__feature").order_by(
        "option__feature__sort", "option__sort"
    ):
        options.setdefault(row.line_id, {}).setdefault(row.option.feature.code, []).append(row.option.code)
    excluded: dict[int, list[Mapping[str, frozenset[str]]]] = {}
    for combination in ExcludedCombination.objects.prefetch_related("terms__option__feature"):
        terms: dict[str, set[str]] = {}
        for term in combination.terms.all():
            terms.setdefault(term.option.feature.code, set()).add(term.option.code)
        excluded.setdefault(combination.line_id, []).append({f: frozenset(o) for f, o in terms.items()})
    return {kit.code: _kit(kit, options, excluded) for kit in rows}


def _kit(
    kit: Kit,
    options: Mapping[int, Mapping[str, list[str]]],
    excluded: Mapping[int, list[Mapping[str, frozenset[str]]]],
) -> KitSpec:
    lines = {offer.line_id for offer in kit.offers.all()}
    universe: dict[str, dict[str, None]] = {}
    for line in sorted(lines):
        for feature, codes in options.get(line, {}).items():
            universe.setdefault(feature, {}).update(dict.fromkeys(codes))
    # an exclusion of one line says nothing about another line's cars
    out = tuple(excluded.get(next(iter(lines)), ())) if len(lines) == 1 else ()
    return KitSpec(
        kit.code,
        kit.name,
        {name: getattr(kit, name) for name in SETTINGS},
        tuple(_position(row) for row in kit.positions.all()),
        tuple(
            JointSpec(j.code, j.position_a.number, j.port_a, j.position_b.number, j.port_b)
            for j in kit.joints.all()
        ),
        tuple(_step(row) for row in kit.steps.all()),
        {feature: tuple(codes) for feature, codes in universe.items()},
        out,
    )


def _position(row: Position) -> PositionSpec:
    entries = tuple(
        EntrySpec(
            e.number, e.part.number, e.quantity, _terms(e), e.in_force_from, e.in_force_until, e.alternate
        )
        for e in row.entries.all()
    )
    runs = tuple(
        HoseRunSpec(
            h.number, h.route.code, h.route.rock_mm, h.hose.number, h.end_a.number, h.end_b.number, h.clocking_deg,
            h.slack_share, h.slack_min_mm, h.sleeve, h.service_port, h.crimp_place, h.tag, _terms(h),
        )
        for h in row.hose_runs.all()
    )  # fmt: skip
    circuits = tuple(
        CircuitSpec(
            c.number, c.from_connector, c.from_cavity, c.to_connector, c.to_cavity, c.colour, c.section_mm2,
            c.length_mm, c.terminal, c.seal, c.fuse_a, c.current_a,
        )
        for c in row.circuits.all()
    )  # fmt: skip
    return PositionSpec(row.number, row.name, row.zone, row.bag, row.role, row.rule, entries, runs, circuits)


def _step(row: KitStep) -> StepSpec:
    fits = list(row.fits.all())
    return StepSpec(
        row.key,
        row.step_order,
        row.zone,
        row.kind,
        row.text,
        row.minutes_min,
        row.tool,
        row.caution,
        row.hold_point,
        row.photo,
        _terms(row),
        tuple(f.position.number for f in fits if f.position),
        tuple(f.joint.code for f in fits if f.joint),
        tuple((f.circuit.position.number, f.circuit.number) for f in fits if f.circuit),
        tuple(ReadingSpec(r.name, r.unit, r.low, r.high, r.limit_from) for r in row.readings.all()),
        row.in_force_from,
        row.in_force_until,
    )
