"""The demonstration's first model line, imported and sized once a run and then put back for each journey."""

from functools import cache
from io import BytesIO
from typing import Any

import openpyxl
from django.apps import apps
from django.db import transaction
from django.utils import timezone
from openpyxl.workbook import Workbook

from kits.exchange.actions import DEMONSTRATION, DEMONSTRATIONS, import_demonstration
from kits.fitment.actions import size_all
from tests import snapshot
from vehicles.records.access import CONSOLE

# Sizing takes seconds of one core; on a busy machine many.
SIZING_MS = 180_000


def put_back(*, demonstrated: bool) -> None:
    """Make our tables hold the demonstration, or nothing."""
    rows = sized_rows() if demonstrated else {}
    snapshot.put_back({apps.get_model(label): table for label, table in rows.items()})


@cache
def sized_rows() -> dict[str, tuple[list[str], list[tuple[Any, ...]]]]:
    """Import and size in a transaction that is thrown away: a model's label -> (columns, rows)."""
    with transaction.atomic():
        snapshot.put_back({})
        import_demonstration(CONSOLE, DEMONSTRATIONS[:1])
        now = timezone.now()
        size_all(actor=CONSOLE, on=now.date(), now=now)
        found = {model._meta.label: table for model, table in snapshot.take().items()}
        transaction.set_rollback(True)
    return found


def open_workbook() -> Workbook:
    """The demonstration workbook, to edit."""
    return openpyxl.load_workbook(DEMONSTRATION)


def upload(book: Workbook, name: str = "solenne-s4.xlsx") -> dict[str, object]:
    """The workbook as a file that a browser can choose."""
    content = BytesIO()
    book.save(content)
    return {
        "name": name,
        "mimeType": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        "buffer": content.getvalue(),
    }
