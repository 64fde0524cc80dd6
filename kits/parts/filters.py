"""The filters over the list of parts."""

from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from kits.parts.models import MATURITIES, PART_KINDS, SUPPLY, Part


class PartFilter(django_filters.FilterSet):
    """By words, kind, supply and maturity."""

    text = django_filters.CharFilter(
        method="by_text", label="Number or name", widget=forms.TextInput(attrs={"type": "search"})
    )
    kind = django_filters.ChoiceFilter(choices=PART_KINDS, label="Kind", empty_label="all")
    supply = django_filters.ChoiceFilter(choices=SUPPLY, label="Supply", empty_label="all")
    maturity = django_filters.ChoiceFilter(
        choices=MATURITIES,
        field_name="revisions__maturity",
        label="Maturity",
        empty_label="all",
        distinct=True,
    )

    class Meta:
        model = Part
        fields: list[str] = []

    def by_text(self, rows: QuerySet[Part], name: str, value: str) -> QuerySet[Part]:
        """Each word has to stand in the number or the name."""
        for word in value.split()[:8]:
            rows = rows.filter(Q(number__icontains=word) | Q(name__icontains=word))
        return rows

    @property
    def form(self) -> Any:
        """The form, marked so that its fields are not called optional."""
        form = super().form
        form.is_filter = True
        return form
