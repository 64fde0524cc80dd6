"""Rows of parts and kits to the values a kit is resolved from; a fixed number of queries whatever the size."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from django.db.models import Model, Prefetch, QuerySet, prefetch_related_objects

from kits.bom.catalogue import (
    HEATS_ONLY,
    BranchSpec,
    CircuitSpec,
    CrimpSpec,
    EntrySpec,
    HoseRunSpec,
    JointSpec,
    KitSpec,
    LineSpec,
    OriginalSpec,
    PartSpec,
    PortSpec,
    PositionSpec,
    ReadingSpec,
    RevisionSpec,
    StepSpec,
    StructureSpec,
    SupersessionSpec,
    VariantSpec,
)
from kits.bom.models import Circuit, Entry, HarnessBranch, HoseRun, Joint, Kit, KitOffer, OfferTerm, Position
from kits.bom.step_models import KitStep, StepFits
from kits.bom.step_models import ReadingSpec as Reading
from kits.bom.used.queries import of_kits
from kits.parts.air_water_models import BlowerData
from kits.parts.data_models import POINTS, TECHNICAL_DATA
from kits.parts.models import Part, PartRevision, StructureEdge, Supersession
from kits.parts.refrigerant_models import Crimp, HoseEndData
from vehicles.catalogue.models import ExcludedCombination, LineOption, ModelLine, Variant
from vehicles.records.bridge import origin_of
from vehicles.records.terms import Terms, terms_of

SETTINGS = (
    "refrigerant", "oil", "oil_family", "oil_grade", "oil_ml", "superheat_k", "subcooling_k", "freeze_mode",
    "freeze_cut_out_c", "freeze_cut_in_c", "fan_on_bar_g", "high_cut_out_bar_g", "high_reset_bar_g",
    "low_cut_out_bar_g", "discharge_limit_c", "supply_voltage_v", "kit_current_a",
)  # fmt: skip
BESIDE = {"blower": ("steps",), "controller": ("software",), "hose end": ("crimps",)}
"""What the technical data of a kind has beside its points."""


def _settings(kit: Kit) -> dict[str, Any]:
    """The settings of a kit; the refrigerant of one that heats only is empty."""
    settings = {name: getattr(kit, name) for name in SETTINGS}
    return settings if kit.refrigerant != HEATS_ONLY else {**settings, "refrigerant": ""}


def _plain(row: Model) -> dict[str, Any]:
    """A row's own values without keys, rows it points at, and origin."""
    return {
        f.name: getattr(row, f.name)
        for f in row._meta.concrete_fields
        if f.name != "id" and not f.is_relation and not f.name.startswith("origin_")
    }


def _data(row: Model) -> dict[str, Any]:
    """Technical data with what stands beside it: software of a controller, steps of a blower, crimps of an end."""
    software = getattr(row, "software", None)
    data = _plain(row) | ({"software": software.number} if software is not None else {})
    if isinstance(row, BlowerData):
        data["steps"] = tuple((s.step, s.voltage_share, s.current_a) for s in row.steps.all())
    if isinstance(row, HoseEndData):
        data["crimps"] = tuple(_crimp(crimp) for crimp in row.crimps.all())
    return data


def _crimp(row: Crimp) -> CrimpSpec:
    return CrimpSpec(
        wall_family=row.wall_family,
        ferrule=row.ferrule,
        die=row.die,
        insertion_depth_mm=row.insertion_depth_mm,
        low_mm=row.crimp_low_mm,
        high_mm=row.crimp_high_mm,
        origin=origin_of(row),
    )


def load_parts(kits: Iterable[str] | None = None) -> dict[str, PartSpec]:
    """Parts with revisions, structure, ports and technical data, by number: all, or those the kits use."""
    revisions = PartRevision.objects.prefetch_related(
        Prefetch("structure", StructureEdge.objects.select_related("child"), to_attr="loaded_structure"),
        Prefetch("ports", to_attr="loaded_ports"),
    )
    # to lists of their own: a manager for each part would copy the query with all it prefetches
    rows: QuerySet[Any] = Part.objects.prefetch_related(
        Prefetch("revisions", revisions, to_attr="loaded_revisions"),
        Prefetch("superseded_by", Supersession.objects.select_related("new"), to_attr="loaded_successors"),
    )
    parts = list(rows if kits is None else of_kits(rows, kits, with_successors=True))
    _fetch_data(parts)
    return {part.number: _part(part) for part in parts}


def _fetch_data(parts: Iterable[Any]) -> None:
    """Technical data with its points, by kind of part.

    One join over the tables of all kinds is a query whose plan a database can get badly wrong.
    """
    for kind, data in TECHNICAL_DATA.items():
        rows = [revision for part in parts if part.kind == kind for revision in part.loaded_revisions]
        points = (f"{data}__{POINTS[kind]}",) if kind in POINTS else ()
        prefetch_related_objects(rows, data, *points, *(f"{data}__{name}" for name in BESIDE.get(kind, ())))


def _part(part: Any) -> PartSpec:
    return PartSpec(
        number=part.number,
        name=part.name,
        kind=part.kind,
        unit=part.unit,
        supply=part.supply,
        revisions=tuple(_revision(part, r) for r in part.loaded_revisions),
        superseded=tuple(
            SupersessionSpec(s.new.number, s.in_force_from, s.both_ways) for s in part.loaded_successors
        ),
    )


def _revision(part: Part, row: Any) -> RevisionSpec:
    data = getattr(row, TECHNICAL_DATA.get(part.kind, ""), None) if part.kind in TECHNICAL_DATA else None
    points = getattr(data, POINTS[part.kind]).all() if data is not None and part.kind in POINTS else ()
    return RevisionSpec(
        row.revision,
        row.maturity,
        mass_g=row.mass_g,
        inner_volume_ml=row.inner_volume_ml,
        start=row.in_force_from,
        end=row.in_force_until,
        structure=tuple(StructureSpec(e.number, e.child.number, e.quantity) for e in row.loaded_structure),
        ports=tuple(PortSpec(p.code, p.role, p.form, p.size, p.gender, p.material) for p in row.loaded_ports),
        data=_data(data) if data is not None else {},
        points=tuple(_plain(p) for p in points),
        data_origin=origin_of(data) if data is not None else None,
    )


def _terms(owner: Any) -> Terms:
    return terms_of((t.option.feature.code, t.option.code, t.excluded) for t in owner.terms.all())


def kit_rows() -> QuerySet[Kit]:
    """Kits with all that hangs on them, in a fixed number of queries."""
    positions = Position.objects.prefetch_related(
        Prefetch("entries", Entry.objects.select_related("part").prefetch_related("terms__option__feature")),
        Prefetch(
            "hose_runs",
            HoseRun.objects.select_related("route", "hose", "end_a", "end_b").prefetch_related(
                "terms__option__feature"
            ),
        ),
        Prefetch(
            "circuits", Circuit.objects.select_related("branch").prefetch_related("terms__option__feature")
        ),
        Prefetch("branches", HarnessBranch.objects.select_related("route")),
    )
    fits = StepFits.objects.select_related("position", "joint", "circuit__position")
    steps = KitStep.objects.prefetch_related(
        "terms__option__feature", "readings", "originals", Prefetch("fits", fits)
    )
    return Kit.objects.prefetch_related(
        Prefetch("positions", positions),
        Prefetch("joints", Joint.objects.select_related("position_a", "position_b", "clip_position")),
        Prefetch("steps", steps),
        Prefetch(
            "offers",
            KitOffer.objects.select_related("line", "duty_set", "market").prefetch_related(
                Prefetch("terms", OfferTerm.objects.select_related("option__feature"))
            ),
        ),
    )


def load_kits(codes: Iterable[str] | None = None) -> dict[str, KitSpec]:
    """The kits, all or those named, by code."""
    return kit_specs(kit_rows() if codes is None else kit_rows().filter(code__in=list(codes)))


def kit_specs(kits: Iterable[Kit], *, with_built: bool = False) -> dict[str, KitSpec]:
    """Kits that kit_rows gave, by code; with the cars they are made for only when asked, there are many."""
    rows = list(kits)
    lines = _lines({offer.line_id: offer.line for kit in rows for offer in kit.offers.all()})
    built = _built([kit.pk for kit in rows]) if with_built else {}
    return {kit.code: _kit(kit, lines, built) for kit in rows}


def _lines(lines: Mapping[int, ModelLine]) -> dict[int, LineSpec]:
    """The universe of each line: its options by feature, and what it excludes."""
    options: dict[int, dict[str, list[str]]] = {}
    for row in (
        LineOption.objects.filter(line__in=lines)
        .select_related("option__feature")
        .order_by("option__feature__sort", "option__sort")
    ):
        options.setdefault(row.line_id, {}).setdefault(row.option.feature.code, []).append(row.option.code)
    excluded: dict[int, list[Mapping[str, frozenset[str]]]] = {}
    for combination in ExcludedCombination.objects.filter(line__in=lines).prefetch_related(
        "terms__option__feature"
    ):
        terms: dict[str, set[str]] = {}
        for term in combination.terms.all():
            terms.setdefault(term.option.feature.code, set()).add(term.option.code)
        excluded.setdefault(combination.line_id, []).append({f: frozenset(o) for f, o in terms.items()})
    return {
        pk: LineSpec(
            line.code,
            line.name,
            {feature: tuple(codes) for feature, codes in options.get(pk, {}).items()},
            tuple(excluded.get(pk, ())),
        )
        for pk, line in lines.items()
    }


def _built(kits: Iterable[int]) -> dict[tuple[int, str], list[VariantSpec]]:
    """The cars that have a fitment, by kit and line code, in one query."""
    names = ("fitments__kit", "line__code", "code", "name")
    options: dict[tuple[int, str, str, str], dict[str, str]] = {}
    for kit, line, code, name, feature, option in (
        Variant.objects.filter(fitments__kit__in=list(kits))
        .order_by("line__code", "code")
        .values_list(*names, "variant_options__option__feature__code", "variant_options__option__code")
    ):
        held = options.setdefault((kit, line, code, name), {})
        if feature is not None:
            held[feature] = option
    built: dict[tuple[int, str], list[VariantSpec]] = {}
    for (kit, line, code, name), chosen in options.items():
        built.setdefault((kit, line), []).append(VariantSpec(line, code, name, chosen))
    return built


def _kit(
    kit: Kit, lines: Mapping[int, LineSpec], built: Mapping[tuple[int, str], list[VariantSpec]]
) -> KitSpec:
    offered = tuple(
        replace(o, built=_meant(o, built.get((kit.pk, o.code), ()))) for o in _offered(kit, lines)
    )
    return KitSpec(
        code=kit.code,
        name=kit.name,
        settings=_settings(kit),
        positions=tuple(_position(row) for row in kit.positions.all()),
        joints=tuple(
            JointSpec(
                j.code,
                j.position_a.number,
                j.port_a,
                j.position_b.number,
                j.port_b,
                j.clip_position.number if j.clip_position else None,
            )
            for j in kit.joints.all()
        ),
        steps=tuple(_step(row) for row in kit.steps.all()),
        lines=offered,
        origin=origin_of(kit),
    )


def _offered(kit: Kit, lines: Mapping[int, LineSpec]) -> list[LineSpec]:
    """The lines a kit is offered for, each with only the options its offers name; an offer for all covers others."""
    found: dict[int, dict[Terms, None]] = {}
    for offer in kit.offers.all():
        found.setdefault(offer.line_id, {})[_terms(offer)] = None
    specs = []
    for pk, terms in sorted(found.items(), key=lambda item: lines[item[0]].code):
        for term in [Terms()] if Terms() in terms else terms:
            features = {
                feature: tuple(code for code in codes if term.allows(feature, code))
                for feature, codes in lines[pk].features.items()
            }
            specs.append(replace(lines[pk], features=features))
    return specs


def _meant(line: LineSpec, built: Iterable[VariantSpec]) -> tuple[VariantSpec, ...]:
    """The built cars whose options the offer names."""
    return tuple(
        car
        for car in built
        if all(option in line.features.get(feature, (option,)) for feature, option in car.options.items())
    )


def _position(row: Position) -> PositionSpec:
    entries = tuple(
        EntrySpec(
            number=e.number, part=e.part.number, quantity=e.quantity, terms=_terms(e), start=e.in_force_from,
            end=e.in_force_until, alternate=e.alternate,
        )
        for e in row.entries.all()
    )  # fmt: skip
    runs = tuple(
        HoseRunSpec(
            number=h.number,
            route=h.route.code,
            rock_mm=h.route.rock_mm,
            hose=h.hose.number,
            end_a=h.end_a.number,
            end_b=h.end_b.number,
            clocking_deg=h.clocking_deg,
            slack_share=h.slack_share,
            slack_min_mm=h.slack_min_mm,
            sleeve=h.sleeve,
            service_port=h.service_port,
            crimp_place=h.crimp_place,
            tag=h.tag,
            terms=_terms(h),
            tightest_bend_mm=h.route.tightest_bend_mm,
        )
        for h in row.hose_runs.all()
    )
    circuits = tuple(
        CircuitSpec(
            number=c.number,
            from_connector=c.from_connector,
            from_cavity=c.from_cavity,
            to_connector=c.to_connector,
            to_cavity=c.to_cavity,
            colour=c.colour,
            section_mm2=c.section_mm2,
            length_mm=c.length_mm,
            terminal=c.terminal,
            seal=c.seal,
            fuse_a=c.fuse_a,
            current_a=c.current_a,
            terms=_terms(c),
            diode_band=c.diode_band,
            branch=c.branch.number if c.branch else None,
            leads_to=c.leads_to,
            high_voltage=c.high_voltage,
        )
        for c in row.circuits.all()
    )
    branches = tuple(BranchSpec(b.number, b.route.code, b.covering) for b in row.branches.all())
    return PositionSpec(
        number=row.number,
        name=row.name,
        zone=row.zone,
        bag=row.bag,
        role=row.role,
        rule=row.rule,
        entries=entries,
        hose_runs=runs,
        circuits=circuits,
        branches=branches,
        hold_spacing_mm=row.hold_spacing_mm,
    )


def _step(row: KitStep) -> StepSpec:
    fits = list(row.fits.all())
    return StepSpec(
        key=row.key,
        order=row.step_order,
        zone=row.zone,
        kind=row.kind,
        text=row.text,
        minutes_min=row.minutes_min,
        tool=row.tool,
        caution=row.caution,
        hold_point=row.hold_point,
        photo=row.photo,
        terms=_terms(row),
        positions=tuple(f.position.number for f in fits if f.position),
        joints=tuple(f.joint.code for f in fits if f.joint),
        circuits=tuple((f.circuit.position.number, f.circuit.number) for f in fits if f.circuit),
        readings=tuple(_reading(r) for r in row.readings.all()),
        start=row.in_force_from,
        end=row.in_force_until,
        originals=tuple(OriginalSpec(o.number, o.name, o.fate) for o in row.originals.all()),
        pattern=row.pattern,
        standard_caution=row.standard_caution,
    )


def _reading(row: Reading) -> ReadingSpec:
    return ReadingSpec(
        name=row.name,
        unit=row.unit,
        low=row.low,
        high=row.high,
        limit_from=row.limit_from,
        number=row.number,
        writes=row.writes,
        answers=row.answers,
        predicted=row.predicted,
    )
