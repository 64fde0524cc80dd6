"""The filters over the fit table."""

import django_filters
from django import forms

from kits.fitment.models import VERDICTS
from vehicles.catalogue.models import ModelLine, Variant
from vehicles.records.filters import PageFilter


class FitFilter(PageFilter):
    """By verdict of any kit, by model line, by words of name or code."""

    searched = ("name", "code", "line__name", "line__code", "line__maker")

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
