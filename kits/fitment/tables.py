"""The fit table: variants down, kits across."""

from collections.abc import Sequence
from typing import Any

import django_tables2 as tables
from django.db.models import F, OuterRef, QuerySet, Subquery

from kits.bom.models import Kit
from kits.fitment.models import SizedFitment
from vehicles.catalogue.models import Variant

CELL = "fitment/_cell.html"


class KitColumn(tables.TemplateColumn):
    """One kit's verdict for each variant; sorts by verdict, then by margin, in the database."""

    def __init__(self, kit: Kit) -> None:
        super().__init__(
            template_name=CELL, verbose_name=f"{kit.code} {kit.name}", extra_context={"kit_id": kit.pk,
            "kit_code": kit.code}, empty_values=(), orderable=True,
        )  # fmt: skip
        self.kit = kit

    def order(self, rows: QuerySet[Variant], is_descending: bool) -> tuple[QuerySet[Variant], bool]:
        """Best first, those without the kit last; backwards when descending."""
        own = SizedFitment.objects.filter(fitment__variant=OuterRef("pk"), fitment__kit=self.kit)
        rows = rows.annotate(
            own_rank=Subquery(own.values("verdict_rank")[:1]),
            own_margin=Subquery(own.values("margin_share")[:1]),
        )
        rank, margin = F("own_rank"), F("own_margin")
        if is_descending:
            order = (rank.desc(nulls_last=True), margin.asc(nulls_last=True))
        else:
            order = (rank.asc(nulls_last=True), margin.desc(nulls_last=True))
        return rows.order_by(*order, "line__code", "code"), True


class FitTable(tables.Table):
    """Rows are variants."""

    name = tables.TemplateColumn(
        template_name="fitment/_variant.html", verbose_name="Variant", order_by=("line__name", "name", "code")
    )

    label = "Fit table: variants down, kits across"

    class Meta:
        empty_text = "No variant matches these filters."
        attrs = {"class": "fit-table"}
        order_by = "name"
        per_page = 25

    def __init__(self, rows: QuerySet[Variant], kits: Sequence[Kit], **more: Any) -> None:
        columns = [(f"kit{kit.pk}", KitColumn(kit)) for kit in kits]
        super().__init__(rows, extra_columns=columns, **more)
