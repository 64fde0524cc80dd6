"""The filters over the list of vehicles."""

from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from vehicles.catalogue.models import ModelLine, Variant


class VariantFilter(django_filters.FilterSet):
    """By words and by model line."""

    text = django_filters.CharFilter(
        method="by_text", label="Name, code or option", widget=forms.TextInput(attrs={"type": "search"})
    )
    line = django_filters.ModelChoiceFilter(
        queryset=ModelLine.objects.all(), to_field_name="code", label="Model line", empty_label="all"
    )

    class Meta:
        model = Variant
        fields: list[str] = []

    def by_text(self, rows: QuerySet[Variant], name: str, value: str) -> QuerySet[Variant]:
        """Each word has to stand somewhere in name, code, line, powertrain or an option."""
        for word in value.split()[:8]:
            rows = rows.filter(
                Q(name__icontains=word)
                | Q(code__icontains=word)
                | Q(line__name__icontains=word)
                | Q(powertrain__name__icontains=word)
                | Q(variant_options__option__name__icontains=word)
            ).distinct()
        return rows

    @property
    def form(self) -> Any:
        """The form, marked so that its fields are not called optional."""
        form = super().form
        form.is_filter = True
        return form
