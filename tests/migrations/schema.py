"""Prints the tables of a fresh database as JSON: made by the migrations, or as the models have them.

A process of its own: the tests' connection has a database already. `python -m tests.migrations.schema migrations`
"""

import json
import os
import re
import sys

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kits.config.settings")
django.setup()

from django.db import connection  # noqa: E402

POSTGRESQL = r"""
    SELECT table_name, concat_ws(' ', column_name, data_type, is_nullable, character_maximum_length,
        numeric_precision, numeric_scale) FROM information_schema.columns WHERE table_schema = 'public'
    UNION ALL SELECT conrelid::regclass::text, conname || ' ' || pg_get_constraintdef(oid) FROM pg_constraint
        WHERE conrelid <> 0
    UNION ALL SELECT tablename, regexp_replace(indexdef, 'INDEX \S+ ON', 'INDEX ON') FROM pg_indexes
        WHERE schemaname = 'public'
"""
"""An index keeps the name it got from its column's first name, so it is told without."""


def definitions(sql):
    """The columns and constraints of a CREATE TABLE: what stands between the commas outside of brackets."""
    inside = sql[sql.index("(") + 1 : sql.rindex(")")]
    depth, found = 0, [""]
    for sign in inside:
        depth += {"(": 1, ")": -1}.get(sign, 0)
        if sign == "," and depth == 0:
            found.append("")
        else:
            found[-1] += sign
    return [re.sub(r"\s+", " ", part).strip() for part in found]


def told(cursor):
    """Each table with its columns, constraints and indexes as the database itself words them."""
    if connection.vendor == "postgresql":
        cursor.execute(POSTGRESQL)
        rows = cursor.fetchall()
    else:
        cursor.execute("SELECT tbl_name, type, sql FROM sqlite_master WHERE sql IS NOT NULL")
        rows = [
            (table, part)
            for table, kind, sql in cursor.fetchall()
            for part in (definitions(sql) if kind == "table" else [sql])
        ]
    tables = {}
    for table, part in rows:
        if table.startswith(("kits_", "vehicles_")):
            tables.setdefault(table, []).append(part)
    return {table: sorted(parts) for table, parts in tables.items()}


def main(made_by):
    name = f"made_by_{made_by}_{os.getpid()}" if connection.vendor == "postgresql" else None
    connection.settings_dict["TEST"] |= {"MIGRATE": made_by == "migrations", "NAME": name}
    before = connection.settings_dict["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    try:
        with connection.cursor() as cursor:
            print(json.dumps(told(cursor)))
    finally:
        connection.creation.destroy_test_db(before, verbosity=0)


if __name__ == "__main__":
    main(sys.argv[1])
