"""What every stored row shares: version, origin, option terms, idempotency keys."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

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


class IdempotencyKey(models.Model):
    """The first answer to a creating POST; a repeated POST with the same key is sent there."""

    key = models.CharField(max_length=64)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    action = models.CharField(max_length=60)
    digest = models.CharField(
        max_length=64, default="", help_text="sha256 of what was asked; empty: sent before it was kept"
    )
    location = models.CharField(max_length=300)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "action", "key"], name="idempotency_key_once"),
        ]


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
