"""The list of vehicles."""

from typing import Any

import django_tables2 as tables
from django.db.models import QuerySet

from vehicles.catalogue.models import Variant
from vehicles.records.tables import ListTable, nothing_last


class VariantTable(ListTable):
    """One row per variant."""

    name = tables.TemplateColumn(
        template_name="catalogue/_name.html", verbose_name="Variant", order_by=("name", "code")
    )
    line = tables.Column(accessor="line__name", order_by=("line__name", "code"), verbose_name="Model line")
    options = tables.Column(
        accessor="pk", orderable=False, verbose_name="Options", attrs={"td": {"class": "wide"}}
    )
    cabin = tables.Column(accessor="cabin__name", order_by="cabin__name", verbose_name="Cabin")
    powertrain = tables.Column(
        accessor="powertrain__name", order_by="powertrain__name", verbose_name="Powertrain"
    )
    built = tables.Column(accessor="pk", verbose_name="Built")

    label = "Vehicles"

    class Meta:
        empty_text = "No vehicle matches these filters."
        attrs = {"class": "sticky-first"}
        order_by = ("line", "name")
        per_page = 50

    def render_options(self, record: Variant) -> str:
        """The names of the car's options."""
        return ", ".join(held.option.name for held in record.variant_options.all())

    def render_built(self, record: Variant) -> str:
        """From year to year."""
        years = [str(day.year) if day else "?" for day in (record.built_from, record.built_until)]
        return "not recorded" if years == ["?", "?"] else " to ".join(years)

    def order_built(self, rows: QuerySet[Any], is_descending: bool) -> tuple[QuerySet[Any], bool]:
        """By the first year; those without one last."""
        return nothing_last(rows, "built_from", is_descending)
