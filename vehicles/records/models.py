"""What every stored row shares: the act it came by, version, origin, option terms."""

from uuid import uuid4

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from vehicles.physics.origin import Kind

CODE = r"^[A-Za-z0-9][A-Za-z0-9 ./_+#-]*$"


class Versioned(models.Model):
    """An aggregate people edit; ``version`` grows by one with each change (optimistic locking)."""

    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True


class WithOrigin(models.Model):
    """A row that holds physical values: where they come from goes with them."""

    origin_kind = models.CharField(
        max_length=12, choices=[(k.value, k.value) for k in Kind], default="estimate"
    )
    origin_source = models.CharField(max_length=200, blank=True)
    origin_by = models.CharField(max_length=80, blank=True)
    origin_on = models.DateField(null=True, blank=True)
    origin_instrument = models.CharField(max_length=80, blank=True, help_text="such as: tape, class II")
    origin_uncertainty = models.CharField(max_length=40, blank=True, help_text="with its unit: ±2 mm")
    origin_note = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True


class OptionTerm(models.Model):
    """One option named by an owner's terms: OR within a feature, AND across features.

    ``excluded`` turns the owner's terms of that feature from "only these" into "not these".
    """

    option = models.ForeignKey("vehicles.Option", on_delete=models.PROTECT, related_name="+")
    excluded = models.BooleanField(default=False)

    class Meta:
        abstract = True


class Act(models.Model):
    """One business act: who did what, when and why, and the first answer to it. Rows are only added, none is purged.

    What an act wrote points at it. The key comes with what was sent, so that the same act sent again is known.
    """

    key = models.UUIDField(unique=True, default=uuid4)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+",
        help_text="empty: the console",
    )  # fmt: skip
    device = models.TextField(
        blank=True, help_text="on which device it was done; empty: a browser at the site"
    )
    kind = models.CharField(max_length=60, help_text="the name of the action")
    device_time = models.DateTimeField(null=True, help_text="when it was done, as the device told it")
    arrived = models.DateTimeField(default=timezone.now)
    sequence = models.PositiveIntegerField(null=True, help_text="which one of its device it is")
    reason = models.TextField(blank=True)
    asked = models.CharField(
        max_length=64,
        blank=True,
        help_text="sha256 of what was asked; empty: no form was sent, or it is not known",
    )
    answer = models.TextField(blank=True, help_text="what the first one was answered")

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


def positive(field: str, name: str, *, zero: bool = False) -> models.CheckConstraint:
    """``field`` > 0 (or >= 0), or empty."""
    test = Q(**{f"{field}__gte" if zero else f"{field}__gt": 0}) | Q(**{f"{field}__isnull": True})
    return models.CheckConstraint(condition=test, name=name)


def share(field: str, name: str) -> models.CheckConstraint:
    """``field`` between 0 and 1, or empty."""
    test = Q(**{f"{field}__gte": 0, f"{field}__lte": 1}) | Q(**{f"{field}__isnull": True})
    return models.CheckConstraint(condition=test, name=name)


def in_order(low: str, high: str, name: str) -> models.CheckConstraint:
    """``low`` is at most ``high``, or one of them is empty."""
    test = Q(**{f"{low}__isnull": True}) | Q(**{f"{high}__isnull": True}) | Q(**{f"{high}__gte": F(low)})
    return models.CheckConstraint(condition=test, name=name)


def dates_in_order(
    name: str, start: str = "in_force_from", end: str = "in_force_until"
) -> models.CheckConstraint:
    """``end`` is later than ``start``, or one of them is empty (half-open)."""
    test = Q(**{f"{end}__isnull": True}) | Q(**{f"{start}__isnull": True}) | Q(**{f"{end}__gt": F(start)})
    return models.CheckConstraint(condition=test, name=name)


def between(field: str, low: float, high: float, name: str) -> models.CheckConstraint:
    """``field`` lies from ``low`` to ``high``, or is empty."""
    test = Q(**{f"{field}__gte": low, f"{field}__lte": high}) | Q(**{f"{field}__isnull": True})
    return models.CheckConstraint(condition=test, name=name)


def one_of(field: str, choices: list[tuple[str, str]], name: str) -> models.CheckConstraint:
    """``field`` is one of the choices."""
    return models.CheckConstraint(condition=Q(**{f"{field}__in": [key for key, _ in choices]}), name=name)
