"""What every list shares: one page of it, sorted, and sentences about what of the address could not be followed."""

from typing import Any

import django_tables2 as tables
from django.core.paginator import Paginator
from django.db.models import F, QuerySet
from django.http import HttpRequest

LONGEST_ECHO = 40


class ListTable(tables.Table):
    """A list in pages; the page's length is the table's own and can't be asked for."""

    label = "Table"
    notices: tuple[str, ...] = ()

    def configure(self, request: HttpRequest) -> None:
        """Sort and page as the address asks; what it asks in vain is answered by a notice and left out."""
        self.request = request
        notices = []
        asked = request.GET.get(self.order_by_field, "")
        if self._sorts_by(asked.removeprefix("-")):
            self.order_by = asked
        elif asked:
            notices.append(f"The list can’t be sorted by {_echo(asked)}; that is left out.")
        # rows that are equal in what is sorted by keep one order over all pages
        rows: QuerySet[Any] = self.data.data
        order = rows.query.order_by or rows.model._meta.ordering
        self.data.data = rows.order_by(*order, "pk")
        self.paginate()
        paginator: Paginator[Any] = self.paginator
        text = request.GET.get(self.page_field, "")
        number, notice = page_number(text, paginator.num_pages)
        self.page = paginator.page(number)
        self.notices = tuple([*notices, notice] if notice else notices)

    def _sorts_by(self, name: str) -> bool:
        return name in self.columns.names() and self.columns[name].orderable


def page_number(text: str, last: int) -> tuple[int, str]:
    """The page to show for what was asked, and a sentence if that is another one."""
    if not text:
        return 1, ""
    try:
        number = int(text)
    except ValueError:
        return 1, f"There is no page {_echo(text)}; this is page 1."
    shown = min(max(number, 1), last)
    return (
        shown,
        "" if shown == number else f"There is no page {_echo(text)}; this is page {shown} of {last}.",
    )


def _echo(text: str) -> str:
    cut = text if len(text) <= LONGEST_ECHO else text[:LONGEST_ECHO] + "…"
    return f"“{cut}”"


def nothing_last(rows: QuerySet[Any], name: str, is_descending: bool) -> tuple[QuerySet[Any], bool]:
    """Sort by a field that may be empty: the empty ones last both ways, on every database."""
    field = F(name)
    order = field.desc(nulls_last=True) if is_descending else field.asc(nulls_last=True)
    return rows.order_by(order), True
