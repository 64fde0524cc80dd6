"""The filters over the fit table."""

from typing import Any

import django_filters
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from kits.bom.models import Kit
from kits.fitment.models import VERDICTS, Fitment
from kits.fitment.queries import out_of_date
from vehicles.catalogue.filters import CarFilter

STATES = [
    ("stale", "out of date"),
    ("blocking", "with findings to fix"),
    ("missing", "with values missing"),
    ("unsized", "never sized"),
]


class FitFilter(CarFilter):
    """By the car, and by kit, verdict and state: one fitment of the car has to match all three."""

    kit = django_filters.ModelChoiceFilter(
        queryset=Kit.objects.all(), to_field_name="code", method="of_fitment", label="Kit", empty_label="all"
    )
    verdict = django_filters.ChoiceFilter(
        choices=VERDICTS, method="of_fitment", label="Verdict", empty_label="all"
    )
    state = django_filters.ChoiceFilter(choices=STATES, method="of_fitment", label="State", empty_label="all")

    def of_fitment(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:
        """Nothing yet: the three are asked together."""
        return rows

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        """Cars that match, with a fitment that matches if a fitment is asked for."""
        rows: QuerySet[Any] = super().filter_queryset(queryset)
        if any(self.form.cleaned_data.get(name) for name in ("kit", "verdict", "state")):
            rows = rows.filter(Exists(self.fitments().filter(variant=OuterRef("pk"))))
        return rows

    def chosen(self, name: str) -> Any:
        """What was chosen in a field, or None; also where another field is wrong."""
        return self.form.cleaned_data.get(name) or None if self.is_bound and self.errors is not None else None

    def fitments(self) -> QuerySet[Fitment]:
        """The fitments that match kit, verdict and state."""
        asked = Q()
        if kit := self.chosen("kit"):
            asked &= Q(kit=kit)
        if verdict := self.chosen("verdict"):
            asked &= Q(sized__verdict=verdict)
        state = self.chosen("state")
        if state == "stale":
            asked &= Q(sized__isnull=True) | out_of_date(timezone.localdate(), "sized__")
        elif state == "unsized":
            asked &= Q(sized__isnull=True)
        elif state:
            asked &= Q(**{f"sized__{state}_count__gt": 0})
        return Fitment.objects.filter(asked).order_by()
