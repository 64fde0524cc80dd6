"""Write what is known of a fitment; size fitments and store the answer."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.urls import reverse

from kits.fitment.bridge import Key, Sized, load_catalogue, size_catalogue
from kits.fitment.models import CatalogueStamp, Fitment, SizedFitment
from kits.fitment.queries import held_answers, scope_key
from kits.work.actions import ask
from kits.work.models import Work
from vehicles.physics.canonical import stored_of
from vehicles.records.access import Actor, require


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
    """Size some fitments, or all, in one batch; stores nothing. What has not moved since keeps its answer."""
    # the stamp is read before the rows: a change during the computation leaves the answer marked as out of date
    stamp = CatalogueStamp.objects.get_or_create(pk=1)[0].value
    return WorkedOut(stamp, size_catalogue(load_catalogue(keys, on), held_answers(keys)))


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
                    blocking_count=a.blocking_count, record=stored_of(a.record), schema=a.record.schema,
                    method=a.record.method, content_key=a.content_key, catalogue_stamp=stamp, sized_at=now,
                    holds_from=a.holds[0], holds_until=a.holds[1],
                )
                for a in answers
            ]
        )  # fmt: skip
    return len(answers)
