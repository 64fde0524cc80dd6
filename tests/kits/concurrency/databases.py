"""A database of its own for tests in which several people write: a file on SQLite, a database on PostgreSQL.

The tests' usual one won't do: on SQLite it lies in memory, where connections lock otherwise than in a file, and
a test holds all it does there in one transaction that no other connection sees.
"""

import sqlite3
from contextlib import contextmanager
from pathlib import Path

from django.db import connection, connections


@contextmanager
def another(folder: Path, ending: str = "another"):
    """The name of an empty database with all tables, as settings call it; thrown away at the end."""
    if connection.vendor == "sqlite":
        path = folder / f"{ending}.sqlite3"
        connection.ensure_connection()
        target = sqlite3.connect(path)
        connection.connection.backup(target)
        target.close()
        yield str(path)
        return
    usual = connection.settings_dict["NAME"]
    connection.close()  # PostgreSQL copies no database that somebody uses
    with connection._nodb_cursor() as cursor:
        cursor.execute(f'DROP DATABASE IF EXISTS "{usual}_{ending}" WITH (FORCE)')
        cursor.execute(f'CREATE DATABASE "{usual}_{ending}" TEMPLATE "{usual}"')
    yield f"{usual}_{ending}"
    with connection._nodb_cursor() as cursor:
        cursor.execute(f'DROP DATABASE "{usual}_{ending}" WITH (FORCE)')


@contextmanager
def used(name: str):
    """Every connection that is made from here on, by any thread, is one to this database."""
    usual, settings = connections["default"], connections.settings["default"]
    connections.settings["default"] = {**settings, "NAME": name}
    connections["default"] = connections.create_connection("default")
    try:
        yield
    finally:
        connections["default"].close()
        connections.settings["default"] = settings
        connections["default"] = usual
