"""The filters over the list of vehicles."""

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from vehicles.catalogue.models import ModelLine, Variant
from vehicles.records.filters import PageFilter


class VariantFilter(PageFilter):
    """By words and by model line."""

    searched = ("name", "code", "line__name", "powertrain__name", "variant_options__option__name")

    text = django_filters.CharFilter(
        method="by_text", label="Name, code or option", widget=forms.TextInput(attrs={"type": "search"})
    )
    line = django_filters.ModelChoiceFilter(
        queryset=ModelLine.objects.all(), to_field_name="code", label="Model line", empty_label="all"
    )

    class Meta:
        model = Variant
        fields: list[str] = []

    def by_text(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Each word may stand in an option: a variant is found once for all its options."""
        return super().by_text(rows, name, value).distinct()
