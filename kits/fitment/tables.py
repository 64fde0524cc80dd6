"""The fit table: variants down, kits across."""

from collections.abc import Sequence
from typing import Any

import django_tables2 as tables
from django.db.models import F, OuterRef, QuerySet, Subquery
from django.db.models.expressions import OrderBy

from kits.bom.models import Kit
from kits.fitment.models import Fitment
from vehicles.catalogue.models import Variant
from vehicles.records.tables import ListTable

CELL = "fitment/_cell.html"
SORTS = (
    ("name", "variant"),
    ("-verdict", "worst verdict first"),
    ("verdict", "best verdict first"),
    ("margin", "smallest margin first"),
    ("-margin", "largest margin first"),
)


def sorted_by_answer(rows: QuerySet[Variant], fitments: QuerySet[Fitment], *order: str) -> QuerySet[Variant]:
    """Variants by the first of their fitments in an order of verdict_rank and margin_share, in the database.

    A variant with several fitments stands where the first of them stands; one without a value comes last.
    """
    own = fitments.filter(variant=OuterRef("pk")).order_by(
        *(_nothing_last(name, "sized__") for name in order)
    )
    names = [name.removeprefix("-") for name in order]
    rows = rows.annotate(**{f"own_{name}": Subquery(own.values(f"sized__{name}")[:1]) for name in names})
    return rows.order_by(*(_nothing_last(name, "own_") for name in order), "line__code", "code")


def _nothing_last(name: str, prefix: str) -> OrderBy:
    field = F(prefix + name.removeprefix("-"))
    return field.desc(nulls_last=True) if name.startswith("-") else field.asc(nulls_last=True)


class KitColumn(tables.TemplateColumn):
    """One kit's verdict for each variant; sorts by verdict, then by margin, in the database."""

    def __init__(self, kit: Kit) -> None:
        context = {"kit_id": kit.pk, "kit_code": kit.code}
        super().__init__(
            template_name=CELL, verbose_name=f"{kit.code} {kit.name}", extra_context=context, empty_values=(),
            orderable=True,
        )  # fmt: skip
        self.kit = kit

    def order(self, rows: QuerySet[Variant], is_descending: bool) -> tuple[QuerySet[Variant], bool]:
        """Best first, those without the kit last; backwards when descending."""
        own = Fitment.objects.filter(kit=self.kit)
        order = ("-verdict_rank", "margin_share") if is_descending else ("verdict_rank", "-margin_share")
        return sorted_by_answer(rows, own, *order), True


class FitTable(ListTable):
    """Rows are variants. Verdict and margin have no column: they sort by the fitments that match the filters."""

    name = tables.TemplateColumn(
        template_name="fitment/_variant.html", verbose_name="Variant", order_by=("line__name", "name", "code")
    )
    verdict = tables.Column(visible=False, empty_values=())
    margin = tables.Column(visible=False, empty_values=())

    label = "Fit table: variants down, kits across"
    sorts = SORTS

    class Meta:
        empty_text = "No variant matches these filters."
        attrs = {"class": "fit-table"}
        order_by = "name"
        per_page = 25

    def __init__(
        self,
        rows: QuerySet[Variant],
        kits: Sequence[Kit],
        fitments: QuerySet[Fitment],
        **more: Any,
    ) -> None:
        columns = [(f"kit{kit.pk}", KitColumn(kit)) for kit in kits]
        self.fitments = fitments
        super().__init__(rows, extra_columns=columns, **more)

    def order_verdict(self, rows: QuerySet[Variant], is_descending: bool) -> tuple[QuerySet[Variant], bool]:
        """By the best verdict and its margin; descending by the worst."""
        order = ("-verdict_rank", "margin_share") if is_descending else ("verdict_rank", "-margin_share")
        return sorted_by_answer(rows, self.fitments, *order), True

    def order_margin(self, rows: QuerySet[Variant], is_descending: bool) -> tuple[QuerySet[Variant], bool]:
        """By the smallest margin; descending by the largest."""
        return sorted_by_answer(
            rows, self.fitments, "-margin_share" if is_descending else "margin_share"
        ), True

    @property
    def sort(self) -> str:
        """What the table is sorted by, as the address says it."""
        return str(self.order_by[0]) if self.order_by else ""

    @property
    def column_sorted(self) -> str:
        """The kit whose column the table is sorted by, in words; nothing if it is sorted otherwise."""
        name = self.sort.removeprefix("-")
        if not name.startswith("kit"):
            return ""
        return f"{self.columns[name].header}, {'worst' if self.sort.startswith('-') else 'best'} first"
