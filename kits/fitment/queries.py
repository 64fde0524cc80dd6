"""What the pages of fitments fetch, in a fixed number of queries whatever their size."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db.models import (
    BooleanField,
    Count,
    Exists,
    ExpressionWrapper,
    Max,
    Min,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
)
from django.utils import timezone

from kits.bom.models import Kit
from kits.bom.resolved import Finding, ResolvedKit
from kits.fitment.bridge import Key, context_of, load_catalogue
from kits.fitment.fit_text import FitRow
from kits.fitment.line_checks import Chassis, Excluded, LineCar, car_findings
from kits.fitment.models import CatalogueStamp, Fitment, RouteLength, SizedFitment
from kits.fitment.remarks import with_remarks
from kits.sizing.verdict.record import METHOD, SCHEMA, VERDICTS, SizingRecord
from kits.topics.context import Context
from kits.work.models import Work
from kits.work.queries import open_works
from vehicles.catalogue.models import ExcludedCombination, ExcludedTerm, ModelLine, Variant, VariantOption
from vehicles.physics.arrays import Refusal
from vehicles.physics.canonical import value_from


@dataclass(frozen=True)
class Freshness:
    """How old the stored answers are: the oldest and newest time, and whether the data moved on since."""

    as_of: datetime | None
    newest: datetime | None
    is_stale: bool
    unsized_count: int = 0


def current_stamp() -> int:
    """The count of changes that sizings depend on."""
    return CatalogueStamp.objects.filter(pk=1).values_list("value", flat=True).first() or 0


def state_of(kit: str, line: str, variant: str) -> tuple[str, str] | None:
    """What tells one state of a fitment's papers from another: the stamp of the data and the time of its answer.

    None: the kit is not offered for the car.
    """
    row = fitments_of(line, kit, variant).values_list("sized__sized_at").first()
    return (str(current_stamp()), str(row[0])) if row else None


def out_of_force(on: date, sized: str = "") -> Q:
    """Stored answers that were made for other days: since then something began or ended, or the clock went back.

    sized: the way to the answer from the rows that are asked for, ending in "__".
    """
    return Q(**{f"{sized}holds_until__lte": on}) | Q(**{f"{sized}holds_from__gt": on})


def of_another_program(sized: str = "") -> Q:
    """Stored answers of another schema or METHOD: this program has to work them out anew."""
    return ~Q(**{f"{sized}schema": SCHEMA, f"{sized}method": METHOD})


def out_of_date(on: date, sized: str = "") -> Q:
    """Stored answers that are no longer true: the data changed since, or the day has passed until which they hold."""
    behind = Q(**{f"{sized}catalogue_stamp__lt": current_stamp()})
    return behind | out_of_force(on, sized) | of_another_program(sized)


def is_out_of_date(sized: SizedFitment, on: date, stamp: int) -> bool:
    """The same of one answer; stamp: the current one."""
    ended = sized.holds_until is not None and sized.holds_until <= on
    not_begun = sized.holds_from is not None and on < sized.holds_from
    is_of_another = (sized.schema, sized.method) != (SCHEMA, METHOD)
    return ended or not_begun or is_of_another or sized.catalogue_stamp < stamp


def freshness(on: date) -> Freshness:
    """Of all stored answers together on a day; a fitment without one makes them out of date too."""
    found = SizedFitment.objects.aggregate(
        oldest=Min("sized_at"), newest=Max("sized_at"), stamp=Min("catalogue_stamp"),
        until=Min("holds_until"), since=Max("holds_from"), others=Count("pk", filter=of_another_program()),
    )  # fmt: skip
    unsized = Fitment.objects.filter(sized__isnull=True).count()
    stamp, until, since = found["stamp"], found["until"], found["since"]
    is_stale = (
        bool(unsized or found["others"])
        or (stamp is not None and stamp < current_stamp())
        or (until is not None and until <= on)
        or (since is not None and on < since)
    )
    return Freshness(found["oldest"], found["newest"], is_stale, unsized)


def out_of_date_count(on: date) -> int:
    """How many fitments have an answer that is no longer true, or none."""
    return Fitment.objects.filter(Q(sized__isnull=True) | out_of_date(on, "sized__")).count()


def kits_to_renew(on: date) -> list[str]:
    """Codes of the kits with an answer that the day, or a newer program, has put out of date and not its data."""
    rows = SizedFitment.objects.filter(out_of_force(on) | of_another_program()).order_by("fitment__kit__code")
    return list(rows.values_list("fitment__kit__code", flat=True).distinct())


def scope_key(line: str, kit: str, variant: str) -> str:
    """The key of a work that sizes what these codes name; empty: any. No code holds the sign between them."""
    return "|".join((line, kit, variant))


def sizing_of(line: str, kit: str, variant: str) -> Work | None:
    """The work that is sizing this fitment, by itself or among others, or waits to."""
    scopes = [(line, kit, variant), (line, kit, ""), (line, "", ""), ("", kit, ""), ("", "", "")]
    return open_works("size").filter(key__in=[scope_key(*scope) for scope in scopes]).first()


def any_sizing() -> Work | None:
    """The first work that sizes more than one fitment, or waits to."""
    return open_works("size").filter(key__endswith="|").first()


def fitments_of(line: str, kit: str, variant: str) -> QuerySet[Fitment]:
    """Fitments by the codes of their line, kit and variant; empty: any."""
    named = {"variant__line__code": line, "kit__code": kit, "variant__code": variant}
    return Fitment.objects.filter(**{name: code for name, code in named.items() if code})


def still_to_size(line: str, kit: str, variant: str, asked_at: datetime, on: date) -> list[Key]:
    """Keys of those that have no answer from the rows of the day, or none that is younger than the question."""
    answers = SizedFitment.objects.filter(~out_of_date(on), sized_at__gte=asked_at)
    answered = Q(pk__in=answers.values("fitment"))
    rows = fitments_of(line, kit, variant).exclude(answered).order_by("pk")
    return list(rows.values_list("kit__code", "variant__line__code", "variant__code"))


def overtaken(line: str, kit: str, variant: str, asked_at: datetime, on: date) -> list[Key]:
    """Keys of those that were answered since the question, from rows that have changed again."""
    behind = Q(sized__sized_at__gte=asked_at) & out_of_date(on, "sized__")
    rows = fitments_of(line, kit, variant).filter(behind).order_by("pk")
    return list(rows.values_list("kit__code", "variant__line__code", "variant__code"))


def verdict_counts() -> tuple[tuple[str, int], ...]:
    """How many fitments have each verdict, best first, those with none left out."""
    rows = SizedFitment.objects.order_by().values_list("verdict").annotate(Count("pk"))
    found = dict(rows)
    return tuple((verdict, found[verdict]) for verdict in VERDICTS if verdict in found)


def worst_fitments(count: int = 5) -> QuerySet[SizedFitment]:
    """The sized fitments that need somebody first: not enough before marginal, the smallest margin first."""
    return (
        SizedFitment.objects.filter(verdict__in=VERDICTS[1:3])
        .select_related("fitment__kit", "fitment__variant__line")
        .defer("record")
        .order_by("-verdict_rank", "margin_share", "pk")[:count]
    )


def fit_variants(on: date) -> QuerySet[Variant]:
    """Variants with their fitments and stored answers, without the long records, and whether those are out of date."""
    stale = ExpressionWrapper(out_of_date(on, "sized__"), output_field=BooleanField())
    fitments = (
        Fitment.objects.select_related("sized").defer("sized__record", "note").annotate(is_stale=stale)
    ).order_by("kit__code")
    return Variant.objects.select_related("line").prefetch_related(Prefetch("fitments", fitments))


def fitted_kits(line: ModelLine | None = None, kit: Kit | None = None) -> list[Kit]:
    """The kits that have a fitment (in the line), or the one asked for: the columns of the fit table."""
    if kit is not None:
        return [kit]
    fitments = Fitment.objects.filter(kit=OuterRef("pk"))
    if line is not None:
        fitments = fitments.filter(variant__line=line)
    return list(Kit.objects.filter(Exists(fitments)).order_by("code"))


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One fitment as its page shows it: the kit resolved today, and the stored answer.

    The kit's findings are today's; those of the calculations, which name their topic, are as old as the answer.
    """

    fitment: Fitment
    kit: ResolvedKit
    sized: SizedFitment | None
    record: SizingRecord | None
    is_stale: bool
    lengths: dict[str, list[RouteLength]]
    """every recorded length by route, the newest first"""
    winning_note: dict[str, str]
    """how the length that counts was taken, by route"""
    context: Context | None = None
    """what its calculations are worked out from; None where there are none"""

    @property
    def key(self) -> tuple[str, str, str]:
        """Codes of kit, line and variant."""
        return self.kit.kit, self.kit.line, self.kit.variant


def fitment_sheet(kit: str, line: str, variant: str, on: date) -> Sheet | None:
    """The fitment resolved for its car on a date, with its stored answer; None when there is none."""
    # The stamp first, then the answer, the rows last: what is written meanwhile shows the answer as out of date.
    stamp = current_stamp()
    sized = SizedFitment.objects.filter(
        fitment__kit__code=kit, fitment__variant__line__code=line, fitment__variant__code=variant
    ).first()
    catalogue = load_catalogue([(kit, line, variant)], on)
    if not catalogue.fitments:
        return None
    entry = catalogue.fitments[0]
    lengths: dict[str, list[RouteLength]] = {}
    for length in sorted(entry.row.route_lengths.all(), key=lambda row: -row.pk):
        lengths.setdefault(length.route.code, []).append(length)
    record = readable(sized.record) if sized else None
    resolved = catalogue.resolve(entry)
    return Sheet(
        fitment=entry.row,
        kit=replace(resolved, findings=with_remarks(resolved.findings, record.remarks if record else ())),
        sized=sized if record else None,
        record=record,
        is_stale=sized is not None and is_out_of_date(sized, on, stamp),
        lengths=lengths,
        winning_note={route: measured.detail for route, measured in entry.lengths.items()},
        context=context_of(entry, resolved, record) if record else None,
    )


def stored_record(kit: str, line: str, variant: str) -> SizingRecord | None:
    """The stored answer of one fitment, or None."""
    found: dict[str, Any] | None = (
        SizedFitment.objects.filter(
            fitment__kit__code=kit, fitment__variant__line__code=line, fitment__variant__code=variant
        )
        .values_list("record", flat=True)
        .first()
    )
    return readable(found) if found else None


def held_answers(keys: Collection[Key] | None) -> dict[str, SizingRecord]:
    """The stored answers of some fitments, or of all, by their content key."""
    rows = SizedFitment.objects.exclude(of_another_program()).exclude(content_key="")
    if keys is not None:
        codes = [set(part) for part in zip(*keys, strict=True)] or [set[str]()] * 3
        names = ("fitment__kit__code", "fitment__variant__line__code", "fitment__variant__code")
        rows = rows.filter(**{f"{name}__in": part for name, part in zip(names, codes, strict=True)})
    found = {key: readable(stored) for key, stored in rows.values_list("content_key", "record")}
    return {key: record for key, record in found.items() if record is not None}


def readable(stored: dict[str, Any]) -> SizingRecord | None:
    """The record; None when another version of the program stored it, so that it has to be sized again."""
    try:
        record = value_from(SizingRecord, stored)
    except Refusal:
        return None
    return record if record.schema == SCHEMA else None


def findings_of_car(variant: Variant) -> tuple[Finding, ...]:
    """What is wrong with a car within its line, in a fixed number of queries."""
    options = VariantOption.objects.select_related("feature", "option").order_by("feature__sort", "feature")
    rows = Variant.objects.filter(line=variant.line_id).prefetch_related(
        Prefetch("variant_options", options), "chassis_ranges"
    )
    cars = [_line_car(row) for row in rows]
    own = next((car for car in cars if car.code == variant.code), None)
    terms = ExcludedTerm.objects.select_related("option__feature")
    combinations = ExcludedCombination.objects.filter(line=variant.line_id)
    excluded = [_excluded(row) for row in combinations.prefetch_related(Prefetch("terms", terms))]
    return tuple(dict.fromkeys(car_findings(own, cars, excluded))) if own else ()


def _line_car(row: Variant) -> LineCar:
    return LineCar(
        code=row.code,
        name=row.name,
        options={held.feature.code: held.option.code for held in row.variant_options.all()},
        built_from=row.built_from,
        built_until=row.built_until,
        to_be_surveyed=row.to_be_surveyed,
        chassis=tuple(Chassis(c.prefix, c.first, c.last) for c in row.chassis_ranges.all()),
    )


def _excluded(row: ExcludedCombination) -> Excluded:
    options: dict[str, set[str]] = {}
    for term in row.terms.all():
        options.setdefault(term.option.feature.code, set()).add(term.option.code)
    return Excluded(row.code, row.reason, {name: frozenset(held) for name, held in options.items()})


def fit_rows() -> list[FitRow]:
    """The stored answers of all fitments, the worst last."""
    rows = SizedFitment.objects.select_related("fitment__kit", "fitment__variant__line").order_by(
        "verdict_rank", "fitment__kit__code", "fitment__variant__line__code", "fitment__variant__code"
    )
    return [
        FitRow(
            kit=s.fitment.kit.code,
            line=s.fitment.variant.line.code,
            variant=s.fitment.variant.code,
            variant_name=s.fitment.variant.name,
            verdict=s.verdict,
            margin_share=s.margin_share,
            limit=s.limit,
            missing_count=s.missing_count,
            blocking_count=s.blocking_count,
            worst_duty_point=s.worst_duty_point,
            as_of=timezone.localtime(s.sized_at).isoformat(timespec="minutes"),
        )
        for s in rows
    ]


def stored_records() -> list[dict[str, Any]]:
    """Every stored answer whole, with the codes of its fitment."""
    rows = SizedFitment.objects.select_related("fitment__kit", "fitment__variant__line").order_by("fitment")
    return [
        {
            "kit": s.fitment.kit.code,
            "line": s.fitment.variant.line.code,
            "variant": s.fitment.variant.code,
            "sized_at": s.sized_at.isoformat(),
            **s.record,
        }
        for s in rows
    ]
