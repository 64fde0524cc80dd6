"""The demonstration's first model line, imported and sized once a run and then put back for each journey."""

from functools import cache
from io import BytesIO

import openpyxl
from django.apps import apps
from django.core import serializers
from django.core.management.color import no_style
from django.db import connection, transaction
from django.utils import timezone
from openpyxl.workbook import Workbook

from kits.exchange.actions import DEMONSTRATION, DEMONSTRATIONS, import_demonstration
from kits.fitment.actions import size_all
from vehicles.records.access import CONSOLE

APPS = ("vehicles", "kits")
# Sizing takes seconds of one core; on a busy machine many.
SIZING_MS = 180_000


def put_demonstration() -> None:
    """Fill the empty database with the imported and sized model line."""
    rows = _sized()
    with transaction.atomic():
        for row in serializers.deserialize("json", rows):
            row.save()
        _renew_sequences()


@cache
def _sized() -> str:
    """Import and size in a transaction that is thrown away; returns all rows as text."""
    with transaction.atomic():
        import_demonstration(CONSOLE, DEMONSTRATIONS[:1])
        now = timezone.now()
        size_all(actor=CONSOLE, on=now.date(), now=now)
        models = serializers.sort_dependencies([(apps.get_app_config(app), None) for app in APPS])
        rows = (row for model in models for row in model._default_manager.order_by("pk"))
        text = serializers.serialize("json", rows)
        transaction.set_rollback(True)
    return text


def _renew_sequences() -> None:
    models = [model for app in APPS for model in apps.get_app_config(app).get_models()]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)


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
