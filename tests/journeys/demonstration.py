"""The demonstration's first model line, imported and sized once a run and then put back for each journey."""

from datetime import UTC, date, datetime, time
from functools import cache
from io import BytesIO

import openpyxl
from django.db import connection, transaction
from openpyxl.workbook import Workbook

from kits.exchange.actions import DEMONSTRATION, DEMONSTRATIONS, import_demonstration
from kits.fitment.actions import size_all
from kits.fitment.models import SizedFitment
from tests import snapshot
from tests.kept import kept
from vehicles.records.access import CONSOLE

SIZED_ON = date(2026, 11, 25)
# Sizing takes seconds of one core; on a busy machine many.
SIZING_MS = 180_000


def put_back(*, demonstrated: bool) -> None:
    """Make our tables hold the demonstration, or nothing."""
    snapshot.put_back(sized_rows() if demonstrated else {})


@cache
def sized_rows() -> snapshot.Rows:
    """The rows of the first line, as the importer writes and the sizing answers them."""
    return kept(f"sized_line_{connection.vendor}", _import_and_size)


def _import_and_size() -> snapshot.Rows:
    with transaction.atomic():
        snapshot.put_back({})
        import_demonstration(CONSOLE, DEMONSTRATIONS[:1])
        size_all(actor=CONSOLE, on=SIZED_ON, now=datetime.combine(SIZED_ON, time(12), UTC))
        # what journeys find holds whatever the day of their run
        SizedFitment.objects.update(holds_from=None, holds_until=None)
        found = snapshot.take()
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
