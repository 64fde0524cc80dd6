"""The one composition of everything a batch of fitments needs; the number of queries does not grow with it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from typing import Any

from django.db.models import Prefetch, QuerySet

from kits.bom.bridge import load_kits, load_parts
from kits.bom.catalogue import Measured, VariantSpec, between_changes, days_of
from kits.bom.compile import CompiledKit, compile_kit
from kits.bom.models import KitOffer
from kits.bom.resolve import resolve
from kits.bom.resolved import Finding, ResolvedKit
from kits.fitment.air.bridge import air_trial_of, is_calibrated
from kits.fitment.car.bridge import car_of, duties_of
from kits.fitment.fitment_checks import (
    Offer,
    Recorded,
    charge_findings,
    length_findings,
    markets_of,
    offer_findings,
    trial_findings,
)
from kits.fitment.market.bridge import offers_held
from kits.fitment.models import ChargeRecord, Fitment, RouteLength
from kits.fitment.plateau.bridge import trials_of
from kits.fitment.remarks import with_remarks
from kits.sizing.case.case import Case, Mounting
from kits.sizing.case.heater import matrix_or_gaps, unit_of, with_trial
from kits.sizing.verdict.content_key import content_key
from kits.sizing.verdict.record import VERDICTS, SizingRecord
from kits.sizing.verdict.verdict import size
from kits.sizing.words.defaults import default_value
from kits.sizing.words.gap import Gap
from kits.topics.context import Context
from kits.topics.every import remarks_of
from vehicles.records.bridge import origin_of, winning
from vehicles.records.guard import Fault, NotWorkedOut, each_guarded, guarded

Key = tuple[str, str, str]
"""kit code, model line code, variant code"""


@dataclass(frozen=True, kw_only=True)
class FitmentRow:
    """A fitment with what it is resolved and sized from."""

    row: Fitment
    variant: VariantSpec
    lengths: dict[str, Measured]
    charge: Measured | None
    duty_points: tuple[tuple[Any, bool], ...]
    duty_set: Any
    offers: tuple[Offer, ...] = ()
    """the offers of the kit for the car's line, whatever their terms"""

    @property
    def key(self) -> Key:
        """Codes that name the fitment."""
        return self.row.kit.code, self.variant.line, self.variant.code


@dataclass(frozen=True)
class Catalogue:
    """A batch of fitments with the kits they use, compiled once each."""

    on: date
    kits: dict[str, CompiledKit]
    fitments: tuple[FitmentRow, ...]
    faults: Mapping[str, Fault] = field(default_factory=dict)
    """of the kits that could not be compiled, by code"""

    def resolve(self, fitment: FitmentRow) -> ResolvedKit:
        """The kit resolved for this fitment's car, with what is wrong with the fitment itself.

        Raises NotWorkedOut where that fails: it is told on the page that asked.
        """
        code = fitment.row.kit.code
        if code in self.faults:
            raise NotWorkedOut(self.faults[code])
        found = guarded(f"The kit {code} for {fitment.variant.name}", lambda: self._resolve(fitment))
        if isinstance(found, Fault):
            raise NotWorkedOut(found)
        return found

    def _resolve(self, fitment: FitmentRow) -> ResolvedKit:
        kit = self.kits[fitment.row.kit.code]
        resolved = resolve(kit, fitment.variant, fitment.lengths, fitment.charge, self.on)
        more = dict.fromkeys(self._findings(fitment, resolved))
        markets = markets_of(fitment.offers, fitment.variant)
        days = resolved.days | {day for offer in fitment.offers for day in days_of(*offer.rules)}
        return replace(resolved, findings=(*resolved.findings, *more), markets=markets, days=days)

    def _findings(self, fitment: FitmentRow, kit: ResolvedKit) -> Iterator[Finding]:
        category, gas = fitment.row.variant.vehicle_category, str(kit.settings["refrigerant"])
        yield from offer_findings(fitment.offers, fitment.variant, category, gas, self.on)
        yield from charge_findings(kit, self.kits[kit.kit].parts)
        recorded = [
            Recorded(r.route.code, r.length_mm, r.spread_mm, r.cars_count, r.origin_kind)
            for r in fitment.row.route_lengths.all()
        ]
        yield from length_findings(kit, recorded)
        yield from trial_findings(fitment.variant, fitment.row.calibrated, len(fitment.row.air_trials.all()))


def fitment_rows() -> QuerySet[Fitment]:
    """Fitments with all that hangs on them, in a fixed number of queries."""
    return Fitment.objects.select_related(
        "kit", "variant__line", "variant__cabin", "variant__powertrain"
    ).prefetch_related(
        "variant__variant_options__option__feature",
        "variant__cabin__leakage",
        "variant__cabin__seats",
        "variant__cabin__openings",
        "variant__cabin__surfaces__layers",
        "variant__cabin__surfaces__terms__option__feature",
        "variant__powertrain__charging_curve",
        "variant__powertrain__electrical_loads",
        "variant__powertrain__engine_temperatures",
        "variant__powertrain__coolant_states",
        "variant__powertrain__pulleys",
        Prefetch("route_lengths", RouteLength.objects.select_related("route")),
        "charges",
        "plateau_steps",
        "air_trials",
    )


def load_catalogue(keys: Iterable[Key] | None, on: date) -> Catalogue:
    """Fitments by key, or all, with their kits, parts, lengths, charges and duty points."""
    rows = fitment_rows()
    if keys is not None:
        wanted = set(keys)
        kits_named, lines, variants = (
            (set(codes) for codes in zip(*wanted, strict=True)) if wanted else ((),) * 3
        )
        rows = rows.filter(
            kit__code__in=kits_named, variant__line__code__in=lines, variant__code__in=variants
        )
        chosen = [r for r in rows if (r.kit.code, r.variant.line.code, r.variant.code) in wanted]
    else:
        chosen = list(rows)
    used = {row.kit.code for row in chosen}
    parts, kits = load_parts(used), load_kits(used)
    offers = offers_held()
    compiled = {
        code: guarded(f"The kit {code}", partial(compile_kit, spec, parts)) for code, spec in kits.items()
    }
    return Catalogue(
        on,
        {code: kit for code, kit in compiled.items() if not isinstance(kit, Fault)},
        tuple(_fitment(row, offers.get((row.kit_id, row.variant.line_id), [])) for row in chosen),
        {code: fault for code, fault in compiled.items() if isinstance(fault, Fault)},
    )


def _fitment(row: Fitment, offers: list[tuple[KitOffer, Offer]]) -> FitmentRow:
    options = {vo.option.feature.code: vo.option.code for vo in row.variant.variant_options.all()}
    # judged by the first offer that means this car; a car that none means is still judged as its line is
    meant = [held for held, offer in offers if offer.terms.applies(options)]
    duty_set = (meant or [held for held, _ in offers])[0].duty_set if offers else None
    points = tuple((p.duty_point, p.required) for p in duty_set.points.all()) if duty_set else ()
    told = tuple(offer for _, offer in offers)
    car = row.variant
    power = car.powertrain
    variant = VariantSpec(car.line.code, car.code, car.name, options, power.positive_earth, power.drive)
    return FitmentRow(
        row=row,
        variant=variant,
        lengths=winning_lengths(row),
        charge=winning_charge(row),
        duty_points=points,
        duty_set=duty_set,
        offers=told,
    )


def winning_lengths(row: Fitment) -> dict[str, Measured]:
    """The length of each route that wins by its origin."""
    by_route: dict[str, list[RouteLength]] = {}
    for length in row.route_lengths.all():
        by_route.setdefault(length.route.code, []).append(length)
    return {route: _measured_length(winning(rows)) for route, rows in by_route.items()}


def _measured_length(row: RouteLength) -> Measured:
    cars = f"{row.cars_count} car{'s' if row.cars_count != 1 else ''}"
    spread = f", spread {row.spread_mm:g} mm" if row.spread_mm is not None else ""
    tool = f", {row.origin_instrument}" if row.origin_instrument else ""
    return Measured(row.length_mm, origin_of(row), f"{cars}{spread}{tool}", row.spread_mm)


def winning_charge(row: Fitment) -> Measured | None:
    """The charge that wins by its origin, or None."""
    rows: list[ChargeRecord] = list(row.charges.all())
    if not rows:
        return None
    winner = winning(rows)
    return Measured(winner.charge_g, origin_of(winner), "", winner.tolerance_g)


@dataclass(frozen=True)
class Sized:
    """A fitment's answer, ready to be stored."""

    fitment_id: int
    record: SizingRecord
    blocking_count: int
    is_worked_out: bool = True
    """False: something went wrong on the way; the record says what."""
    holds: tuple[date | None, date | None] = (None, None)
    """from the last day on which something that it was made from began or ended, to the next; None: there is none"""
    content_key: str = ""
    """of the case that was sized; empty where there was none, or it could not be worked out"""

    @property
    def rank(self) -> int:
        """0 strong enough to 3 not sized."""
        return VERDICTS.index(self.record.verdict)


@dataclass(frozen=True)
class Prepared:
    """A kit resolved for its car, with what is sized of it and its content key, or what it lacks for that."""

    kit: ResolvedKit
    case: Case | None
    gaps: tuple[Gap, ...]
    content_key: str


def size_catalogue(catalogue: Catalogue, held: Mapping[str, SizingRecord] | None = None) -> list[Sized]:
    """Size every fitment of a catalogue in one batch; one that lacks a plant is answered as not sized.

    held: answers by content key; a case whose key is among them has that answer and is not sized again. What else is
    told of the fitment, and what is wrong with it, is worked out anew, since it follows from more than the case.
    Each is prepared, judged and told under a guard: what can't be worked out is not sized, and spoils no other.
    """
    prepared = [_prepared(catalogue, fitment) for fitment in catalogue.fitments]
    held = held or {}
    moved = [p for p in prepared if not isinstance(p, Fault) and p.content_key not in held]
    cases = [p.case for p in moved if p.case is not None]
    records = iter(each_guarded(cases, size, _sizing_of))
    return [
        _told(fitment, found, held, records)
        for fitment, found in zip(catalogue.fitments, prepared, strict=True)
    ]


def _sizing_of(case: Case) -> str:
    return f"The sizing of {case.car.name}"


def _prepared(catalogue: Catalogue, fitment: FitmentRow) -> Prepared | Fault:
    def prepare() -> Prepared:
        kit = catalogue.resolve(fitment)
        case, gaps = case_of(fitment, kit)
        return Prepared(kit, case, gaps, "" if case is None else content_key(case))

    return guarded(f"What is sized of {fitment.row.kit.code} in {fitment.variant.name}", prepare)


def _told(
    fitment: FitmentRow,
    found: Prepared | Fault,
    held: Mapping[str, SizingRecord],
    records: Iterator[SizingRecord | Fault],
) -> Sized:
    """The answer of a fitment; records: of the cases that were sized, in the order of their fitments."""
    if isinstance(found, Fault):
        return _unworked(fitment, found)
    kit, case = found.kit, found.case
    record = _not_sized(found.gaps) if case is None else held.get(found.content_key) or next(records)
    if isinstance(record, Fault):
        return _unworked(fitment, record, kit)

    def tell() -> Sized:
        told = record if case is None else _remarked(fitment, kit, case, record)
        return replace(_sized(fitment, kit, told), content_key=found.content_key)

    told = guarded(f"What is told of {kit.kit} in {kit.variant_name}", tell)
    return _unworked(fitment, told, kit) if isinstance(told, Fault) else told


def _unworked(fitment: FitmentRow, fault: Fault, kit: ResolvedKit | None = None) -> Sized:
    """The answer of a fitment that could not be sized; what blocks of its kit is known all the same."""
    blocking_count = len(kit.blocking) if kit is not None else 0
    return Sized(
        fitment.row.pk,
        _not_sized((Gap("fitment", "fitment", fault.sentence),)),
        blocking_count,
        False,
        between_changes(kit.days, kit.on) if kit is not None else (None, None),
    )


def _sized(fitment: FitmentRow, kit: ResolvedKit, record: SizingRecord) -> Sized:
    found = with_remarks(kit.findings, record.remarks)
    blocking_count = sum(finding.severity == "blocks" for finding in found)
    return Sized(fitment.row.pk, record, blocking_count, True, between_changes(kit.days, kit.on))


def _remarked(fitment: FitmentRow, kit: ResolvedKit, case: Case, record: SizingRecord) -> SizingRecord:
    """The record with all that findings tell of it; figures, tables and pictures are worked out when they are asked."""
    return replace(record, remarks=remarks_of(_context(fitment, kit, case, record.as_stored())))


def context_of(fitment: FitmentRow, kit: ResolvedKit, record: SizingRecord) -> Context | None:
    """What calculations are worked out from: the fitment as it is today, and its answer, which may be older.

    Duty points that are no longer asked for are left out. None where the kit lacks what is sized.
    """
    case, _ = case_of(fitment, kit)
    if case is None:
        return None
    asked = {duty.code for duty in case.duties}
    outlook = record.outlook if record.outlook and record.outlook.code in asked else None
    duties = tuple(duty for duty in record.duties if duty.code in asked)
    return _context(fitment, kit, case, replace(record, duties=duties, outlook=outlook))


def _context(fitment: FitmentRow, kit: ResolvedKit, case: Case, record: SizingRecord) -> Context:
    return Context(kit, case, record, trials_of(fitment.row.plateau_steps.all()))


def _not_sized(gaps: tuple[Gap, ...]) -> SizingRecord:
    load, capacity = default_value("load_uncertainty_share"), default_value("capacity_uncertainty_share")
    return SizingRecord(
        verdict=VERDICTS[3],
        worst_duty_point="",
        margin_share=None,
        limit="",
        basis="estimated",
        load_uncertainty_share=load,
        capacity_uncertainty_share=capacity,
        duties=(),
        missing=gaps,
    )


def case_of(fitment: FitmentRow, kit: ResolvedKit) -> tuple[Case | None, tuple[Gap, ...]]:
    """What is sized for a fitment with the kit resolved for its car, or None with what is missing of the kit."""
    unit, gaps = unit_of(kit)
    if unit is None:
        return None, gaps
    row = fitment.row
    duty_set = fitment.duty_set
    reserve = 0.0
    if duty_set is not None:
        reserve = (
            duty_set.reserve_calibrated_share if is_calibrated(row) else duty_set.reserve_estimated_share
        )
    trial, trial_origin = air_trial_of(row)
    mounting = Mounting(
        ram_share=row.ram_share, fan_installed_share=row.fan_installed_share,
        air_on_rise_idle_k=row.air_on_rise_idle_k, air_on_rise_cruise_k=row.air_on_rise_cruise_k,
        suction_gain_k=row.suction_gain_k, blower_voltage_v=row.blower_voltage_v, calibrated=is_calibrated(row),
        air_trial=trial, air_trial_origin=trial_origin, condenser_place=row.condenser_place,
    )  # fmt: skip
    matrix, matrix_gaps = matrix_or_gaps(kit)
    case = Case(
        key=fitment.key, car=car_of(row.variant, fitment.variant.options), mounting=mounting,
        unit=with_trial(unit, trial), duties=duties_of(fitment.duty_points), reserve_share=reserve,
        matrix=matrix, matrix_gaps=matrix_gaps,
    )  # fmt: skip
    return case, ()
