"""Rows taken once a run and put back by plain SQL before each test that starts from them.

Loading the demonstration through the importer takes seconds; putting its rows back takes a few hundredths. The
importer has tests of its own.
"""

from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, transaction

APPS = ("vehicles", "kits")
Rows = dict[str, tuple[list[str], list[tuple[Any, ...]]]]


def _models():
    return [model for app in APPS for model in apps.get_app_config(app).get_models(include_auto_created=True)]


def take():
    """All rows of our apps: name of the model -> (columns, rows)."""
    found = {}
    with connection.cursor() as cursor:
        for model in _models():
            table = connection.ops.quote_name(model._meta.db_table)
            columns = [field.column for field in model._meta.concrete_fields]
            names = ", ".join(connection.ops.quote_name(name) for name in columns)
            cursor.execute(f"SELECT {names} FROM {table}")
            if rows := cursor.fetchall():
                found[model._meta.label] = (columns, rows)
    return found


def put(snapshot):
    """Insert the rows; foreign keys are looked at when the transaction ends.

    PostgreSQL is then shown how full its tables are, as after an import: its own look at them may have come between
    two tests, when they are empty.
    """
    models = {apps.get_model(name): held for name, held in snapshot.items()}
    with connection.cursor() as cursor:
        for model, (columns, rows) in models.items():
            table = connection.ops.quote_name(model._meta.db_table)
            names = ", ".join(connection.ops.quote_name(name) for name in columns)
            if connection.vendor == "postgresql":
                with cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                    for row in rows:
                        copy.write_row(row)
            else:
                places = ", ".join(["%s"] * len(columns))
                cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({places})", rows)
        for statement in connection.ops.sequence_reset_sql(no_style(), list(models)):
            cursor.execute(statement)
        if connection.vendor == "postgresql":
            tables = [connection.ops.quote_name(model._meta.db_table) for model in models]
            cursor.execute(f"ANALYZE {', '.join(tables)}")


def put_back(snapshot):
    """Make our tables hold the rows of a snapshot and no others; a table that holds them already is left alone."""
    found = take()
    differing = [
        model for model in _models() if found.get(model._meta.label) != snapshot.get(model._meta.label)
    ]
    with transaction.atomic(), connection.cursor() as cursor:
        for model in differing:
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(model._meta.db_table)}")
        names = [model._meta.label for model in differing]
        put({name: snapshot[name] for name in names if name in snapshot})
