"""The filters over the list of parts."""

import django_filters
from django import forms

from kits.parts.models import MATURITIES, PART_KINDS, SUPPLY, Part
from vehicles.records.filters import PageFilter


class PartFilter(PageFilter):
    """By words, kind, supply and maturity."""

    searched = ("number", "name")

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
