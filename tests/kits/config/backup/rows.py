"""All rows of all tables, to be compared row by row, and what a backup's folder is made to say."""

import json

from django.db import connection

from kits.config.backup.label import LABEL_FILE


def all_rows():
    """Name of each table -> its rows in order, each with all its columns; read by plain SQL."""
    with connection.cursor() as cursor:
        found = {}
        for table in sorted(connection.introspection.table_names(cursor)):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            columns = tuple(column[0] for column in cursor.description)
            found[table] = (columns, sorted(cursor.fetchall(), key=repr))
    connection.close()
    return found


def relabel(place, **changed):
    """Let the label of a backup say something else."""
    path = place / LABEL_FILE
    path.write_text(json.dumps({**json.loads(path.read_text()), **changed}))
