"""Write what is known of a fitment; size fitments and store the answer."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model
from django.urls import reverse
from simple_history.utils import update_change_reason

from kits.bom.models import Route
from kits.fitment.air.bridge import trial_point
from kits.fitment.bridge import Key, Sized, load_catalogue, size_catalogue
from kits.fitment.models import AirTrial, CatalogueStamp, ChargeRecord, Fitment, RouteLength, SizedFitment
from kits.fitment.queries import scope_key
from kits.sizing.air.airflow import calibrate
from kits.sizing.case.heater import unit_of
from kits.work.actions import ask
from kits.work.models import Work
from vehicles.physics.quantities import quantity_of
from vehicles.physics.ranges import possible
from vehicles.records.access import Actor, require, user_of
from vehicles.records.actions import take_version


def _check_possible(what: str, model: type[Model], field: str, value: float) -> None:
    """Raises ValidationError for a number that can't be, by the table of ranges."""
    least, most = possible(model.__name__, field)
    # also refuses NaN, which a database takes for an empty value
    if not least <= value <= most:
        quantity = quantity_of(field)
        unit = f" {quantity.unit}" if quantity else ""
        raise ValidationError(f"The {what} must be from {least:,g} to {most:,g}{unit}; it is {value:g}.")


def lock_catalogue() -> CatalogueStamp:
    """The one stamp row, locked: the first lock of every transaction that changes what a sizing depends on."""
    stamp, _ = CatalogueStamp.objects.select_for_update().get_or_create(pk=1)
    return stamp


def touch_catalogue() -> int:
    """Count the stamp up; call inside the transaction that changes anything a sizing depends on."""
    stamp = lock_catalogue()
    stamp.value += 1
    stamp.save()
    return stamp.value


def keep_fresh(before: int, changed: Collection[int]) -> int:
    """Count the stamp up for rows of these fitments alone; answers of the others stay as fresh as they were.

    A length or a charge enters into the sizing of its own fitment and of no other. before: the stamp held since
    lock_catalogue(); changed: ids of the fitments. Returns the new stamp; call inside the transaction.
    """
    now = touch_catalogue()
    others = SizedFitment.objects.filter(catalogue_stamp=before).exclude(fitment__in=changed)
    others.update(catalogue_stamp=now)
    return now


def record_route_length(
    *,
    actor: Actor,
    fitment_id: int,
    route_code: str,
    length_mm: float,
    cars_count: int,
    spread_mm: float | None,
    instrument: str,
    origin_kind: str,
    origin_source: str,
    on: date,
    expected_version: int,
    uncertainty: str = "",
) -> Fitment:
    """Add a length of a route and ask for this fitment to be sized again.

    Raises Stale, PermissionDenied, Route.DoesNotExist, ValidationError for a number that can't be.
    """
    require(actor, "record_route_length")
    _check_possible("length", RouteLength, "length_mm", length_mm)
    _check_possible("number of cars", RouteLength, "cars_count", cars_count)
    if spread_mm is not None:
        _check_possible("spread between cars", RouteLength, "spread_mm", spread_mm)
    with transaction.atomic():
        stamp = lock_catalogue().value
        fitment = _taken(fitment_id, expected_version)
        route = Route.objects.get(line=fitment.variant.line, code=route_code)
        row = RouteLength(
            fitment=fitment, route=route, length_mm=length_mm, cars_count=cars_count, spread_mm=spread_mm,
            origin_instrument=instrument, origin_kind=origin_kind, origin_source=origin_source, origin_by=str(actor),
            origin_on=on, origin_uncertainty=uncertainty,
        )  # fmt: skip
        _add(row, fitment, actor, f"length of {route_code}: {length_mm:g} mm", stamp)
    ask_to_size(actor=actor, on=on, fitment=_key_of(fitment))
    return fitment


def record_charge(
    *,
    actor: Actor,
    fitment_id: int,
    charge_g: float,
    tolerance_g: float,
    origin_kind: str,
    origin_source: str,
    on: date,
    expected_version: int,
    instrument: str = "",
    uncertainty: str = "",
) -> Fitment:
    """Add a refrigerant charge and ask for this fitment to be sized again.

    Raises Stale, PermissionDenied, ValidationError for a kit that heats only or a number that can't be.
    """
    require(actor, "record_charge")
    _check_possible("charge", ChargeRecord, "charge_g", charge_g)
    _check_possible("tolerance", ChargeRecord, "tolerance_g", tolerance_g)
    with transaction.atomic():
        stamp = lock_catalogue().value
        fitment = _taken(fitment_id, expected_version)
        if fitment.kit.heats_only:
            raise ValidationError(f"{fitment.kit} heats only: it has no refrigerant to charge.")
        row = ChargeRecord(
            fitment=fitment, charge_g=charge_g, tolerance_g=tolerance_g, origin_kind=origin_kind,
            origin_source=origin_source, origin_by=str(actor), origin_on=on, origin_instrument=instrument,
            origin_uncertainty=uncertainty,
        )  # fmt: skip
        _add(row, fitment, actor, f"charge: {charge_g:g} g", stamp)
    ask_to_size(actor=actor, on=on, fitment=_key_of(fitment))
    return fitment


def record_air_trial(
    *,
    actor: Actor,
    fitment_id: int,
    airflow_m3_h: float,
    blower_static_pa: float,
    motor_voltage_v: float,
    air_c: float,
    origin_kind: str,
    origin_source: str,
    on: date,
    expected_version: int,
    instrument: str = "",
    uncertainty: str = "",
) -> Fitment:
    """Add a trial of the air side and ask for this fitment to be sized again. Raises Stale, PermissionDenied.

    A trial that the blower's own curve contradicts is refused with a sentence.
    """
    require(actor, "record_air_trial")
    _check_possible("air flow", AirTrial, "airflow_m3_h", airflow_m3_h)
    _check_possible("pressure rise", AirTrial, "blower_static_pa", blower_static_pa)
    _check_possible("voltage", AirTrial, "motor_voltage_v", motor_voltage_v)
    _check_possible("air", AirTrial, "air_c", air_c)
    with transaction.atomic():
        stamp = lock_catalogue().value
        fitment = _taken(fitment_id, expected_version)
        row = AirTrial(
            fitment=fitment, airflow_m3_h=airflow_m3_h, blower_static_pa=blower_static_pa,
            motor_voltage_v=motor_voltage_v, air_c=air_c, origin_kind=origin_kind, origin_source=origin_source,
            origin_by=str(actor), origin_on=on, origin_instrument=instrument, origin_uncertainty=uncertainty,
        )  # fmt: skip
        _refuse_what_the_blower_cannot(row, on)
        _add(row, fitment, actor, f"air trial: {airflow_m3_h:g} m³/h at {blower_static_pa:g} Pa", stamp)
    ask_to_size(actor=actor, on=on, fitment=_key_of(fitment))
    return fitment


def _refuse_what_the_blower_cannot(row: AirTrial, on: date) -> None:
    """Where the kit has no complete plant yet there is nothing to hold a trial against: it is kept for later."""
    catalogue = load_catalogue([_key_of(row.fitment)], on)
    unit, _ = unit_of(catalogue.resolve(catalogue.fitments[0]))
    if unit is None:
        return
    try:
        calibrate(unit.air_path, trial_point(row))
    except ValueError as refused:
        raise ValidationError(str(refused)) from None


def _taken(fitment_id: int, expected_version: int) -> Fitment:
    """The fitment, locked, if it still is what the person saw."""
    rows = Fitment.objects.select_for_update().select_related("variant__line", "kit")
    return take_version(rows.get(pk=fitment_id), expected_version)


def _key_of(fitment: Fitment) -> Key:
    return fitment.kit.code, fitment.variant.line.code, fitment.variant.code


def _add(
    row: RouteLength | ChargeRecord | AirTrial, fitment: Fitment, actor: Actor, reason: str, stamp: int
) -> None:
    """Write a row of the fitment, its new version with the reason, and the stamp; inside a transaction."""
    row.full_clean()
    row.save()
    fitment._history_user = user_of(actor)  # type: ignore[attr-defined]
    fitment.save()
    update_change_reason(fitment, reason)
    keep_fresh(stamp, [fitment.pk])


def size_all(*, actor: Actor, on: date, now: datetime) -> int:
    """Size every fitment in one batch and store the answers; returns how many were stored."""
    require(actor, "size_all")
    return store_answers(worked_out(on), now)


def ask_to_size(*, actor: Actor, on: date, line: str = "", kit: str = "", fitment: Key | None = None) -> Work:
    """Ask for a work that sizes every fitment, those of a line or of a kit, or one; codes, empty for any."""
    require(actor, "size_all")
    variant = ""
    if fitment:
        kit, line, variant = fitment
    of_kit = f" of kit {kit}" if kit else ""
    of_line = f" in {variant} of line {line}" if variant else f" of line {line}" if line else ""
    page = reverse("fitment-sheet", args=fitment) if fitment else reverse("fit-table")
    return ask(
        actor=actor, kind="size", key=scope_key(line, kit, variant), page=page,
        title=f"Sizing{of_kit}{of_line}" if kit or line else "Sizing of every fitment",
        wanted={"line": line, "kit": kit, "variant": variant, "on": on.isoformat()},
    )  # fmt: skip


@dataclass(frozen=True)
class WorkedOut:
    """Answers, and the stamp of the rows they were made from."""

    stamp: int
    answers: Sequence[Sized]


def worked_out(on: date, keys: Collection[Key] | None = None) -> WorkedOut:
    """Size some fitments, or all, in one batch; stores nothing."""
    # the stamp is read before the rows: a change during the computation leaves the answer marked as out of date
    stamp = CatalogueStamp.objects.get_or_create(pk=1)[0].value
    return WorkedOut(stamp, size_catalogue(load_catalogue(keys, on)))


def store_answers(made: WorkedOut, now: datetime) -> int:
    """Store answers in the place of older ones; returns how many."""
    stamp = made.stamp
    with transaction.atomic():
        stamp_now = lock_catalogue().value
        # meanwhile a fitment may have gone, or somebody quicker has stored what was made from newer rows
        fitments = Fitment.objects.filter(pk__in=[a.fitment_id for a in made.answers])
        held = dict(fitments.values_list("pk", "sized__catalogue_stamp"))
        answers = [
            a for a in made.answers
            if a.fitment_id in held and not stamp < (held[a.fitment_id] or 0) <= stamp_now
        ]  # fmt: skip
        SizedFitment.objects.filter(fitment__in=[a.fitment_id for a in answers]).delete()
        SizedFitment.objects.bulk_create(
            [
                SizedFitment(
                    fitment_id=a.fitment_id, verdict=a.record.verdict, verdict_rank=a.rank,
                    worst_duty_point=a.record.worst_duty_point, margin_share=a.record.margin_share,
                    limit=a.record.limit, basis=a.record.basis, missing_count=len(a.record.missing),
                    blocking_count=a.blocking_count, record=a.record.as_json(), catalogue_stamp=stamp, sized_at=now,
                    holds_from=a.holds[0], holds_until=a.holds[1],
                )
                for a in answers
            ]
        )  # fmt: skip
    return len(answers)
