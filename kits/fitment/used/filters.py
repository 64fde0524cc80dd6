"""The filters over the list of parts."""

from typing import Any

import django_filters
from django.db.models import Exists, OuterRef, QuerySet

from kits.bom.models import Kit
from kits.bom.used.queries import in_kits, of_kits, used_nowhere
from kits.parts.models import MATURITIES, PART_KINDS, SUPPLY, Part, PartRevision
from vehicles.records.filters import PageFilter, text_filter

USES = [("none", "used nowhere"), ("one", "in one kit"), ("several", "in several kits")]


def kits(request: Any) -> QuerySet[Any]:
    """The kits to choose from."""
    return Kit.objects.order_by("code")


class PartFilter(PageFilter):
    """By words, kind, supply, maturity of a revision, and use."""

    searched = ("number", "name")

    text = text_filter("Number or name")
    kind = django_filters.ChoiceFilter(choices=PART_KINDS, label="Kind", empty_label="all")
    supply = django_filters.ChoiceFilter(choices=SUPPLY, label="Supply", empty_label="all")
    maturity = django_filters.ChoiceFilter(
        choices=MATURITIES, method="by_maturity", label="Has a revision that is", empty_label="all"
    )
    kit = django_filters.ModelChoiceFilter(
        queryset=kits, to_field_name="code", method="by_kit", label="Used in kit", empty_label="all"
    )
    use = django_filters.ChoiceFilter(choices=USES, method="by_use", label="Use", empty_label="all")

    class Meta:
        model = Part
        fields: list[str] = []

    def by_maturity(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Parts that have a revision of the maturity."""
        return rows.filter(Exists(PartRevision.objects.filter(part=OuterRef("pk"), maturity=value)))

    def by_kit(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:
        """Parts of the kit, whatever the car, and what those are made of."""
        return of_kits(rows, [value.code])

    def by_use(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Parts by how many kits use them, themselves or in an assembly."""
        return used_nowhere(rows) if value == "none" else in_kits(rows, several=value == "several")
