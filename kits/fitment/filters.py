"""The filters over the fit table."""

from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from kits.fitment.models import VERDICTS
from vehicles.catalogue.models import ModelLine, Variant


class FitFilter(django_filters.FilterSet):
    """By verdict of any kit, by model line, by words of name or code."""

    text = django_filters.CharFilter(
        method="by_text", label="Variant or line", widget=forms.TextInput(attrs={"type": "search"})
    )
    line = django_filters.ModelChoiceFilter(
        queryset=ModelLine.objects.all(), to_field_name="code", field_name="line", label="Model line",
        empty_label="all",
    )  # fmt: skip
    verdict = django_filters.ChoiceFilter(
        choices=VERDICTS,
        field_name="fitments__sized__verdict",
        label="Verdict",
        empty_label="all",
        distinct=True,
    )

    class Meta:
        model = Variant
        fields: list[str] = []

    def by_text(self, rows: QuerySet[Variant], name: str, value: str) -> QuerySet[Variant]:
        """Each word has to stand somewhere in the names or codes."""
        for word in value.split()[:8]:
            rows = rows.filter(
                Q(name__icontains=word)
                | Q(code__icontains=word)
                | Q(line__name__icontains=word)
                | Q(line__code__icontains=word)
                | Q(line__maker__icontains=word)
            )
        return rows

    @property
    def form(self) -> Any:
        """The form, marked so that its fields are not called optional."""
        form = super().form
        form.is_filter = True
        return form
