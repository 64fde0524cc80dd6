"""The list of parts."""

from functools import cached_property
from typing import Any

import django_tables2 as tables
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.html import format_html

from kits.bom.used.queries import with_kit_count
from kits.parts.models import Part
from vehicles.records.tables import ListTable, nothing_last

NUM = {"th": {"class": "num"}, "td": {"class": "num"}}


class PartTable(ListTable):
    """One row per part."""

    number = tables.Column(verbose_name="Part number")
    name = tables.Column(attrs={"td": {"class": "wide"}})
    kind = tables.Column()
    unit = tables.Column()
    supply = tables.Column()
    newest = tables.Column(verbose_name="Newest revision", default="none")
    kits = tables.Column(accessor="pk", verbose_name="Kits that use it", attrs=NUM)

    label = "Parts"

    class Meta:
        empty_text = "No part matches these filters."
        attrs = {"class": "sticky-first"}
        order_by = "number"
        per_page = 50

    def render_number(self, value: str) -> str:
        """The number, leading to the part."""
        return format_html('<a class="code" href="{}">{}</a>', reverse("part", args=[value]), value)

    def render_newest(self, value: str, record: Any) -> str:
        """The revision with its maturity."""
        return format_html('{} <span class="soft">{}</span>', value, record.newest_maturity)

    def order_newest(self, rows: QuerySet[Any], is_descending: bool) -> tuple[QuerySet[Any], bool]:
        """By the newest revision; parts without one last."""
        return nothing_last(rows, "newest", is_descending)

    def order_kits(self, rows: QuerySet[Any], is_descending: bool) -> tuple[QuerySet[Any], bool]:
        """By how many kits use the part."""
        return with_kit_count(rows).order_by("-kit_count" if is_descending else "kit_count", "number"), True

    @cached_property
    def kit_counts(self) -> dict[int, int]:
        """In how many kits each part of the page is used: counted for the page, not for the whole list."""
        shown: QuerySet[Any] = Part.objects.filter(pk__in=[row.record.pk for row in self.page])
        return dict(with_kit_count(shown).values_list("pk", "kit_count"))

    def render_kits(self, record: Part) -> int:
        """The number of kits."""
        return self.kit_counts[record.pk]
