"""A run of its own: imports that are killed at random statements, each on a copy of one database file.

Called as `python -m tests.kits.exchange.killed FOLDER SEED KILLS`; prints what each import left behind.
"""

import json
import os
import random
import shutil
import signal
import sqlite3
import sys
from pathlib import Path

import django
from django.conf import settings
from django.core.management import call_command

django.setup()

from django.db import connection, connections  # noqa: E402

from kits.exchange.actions import apply_plan  # noqa: E402
from kits.exchange.models import ImportPlan  # noqa: E402
from tests.kits.exchange.books import check, load, rows_from  # noqa: E402
from tests.kits.exchange.rows import LINE, made_rows, made_workbook  # noqa: E402
from vehicles.records.access import CONSOLE  # noqa: E402


def contents(path):
    """Every row of every table of the file, after the database has mended itself."""
    database = sqlite3.connect(path)
    try:
        assert database.execute("pragma integrity_check").fetchone() == ("ok",)
        tables = [name for (name,) in database.execute("select name from sqlite_master where type = 'table'")]
        return {name: sorted(map(repr, database.execute(f'select * from "{name}"'))) for name in tables}
    finally:
        database.close()


def prepare():
    """A line, and a plan that changes, adds and removes rows of it."""
    # The tables as the models have them, without the long way through every migration.
    settings.MIGRATION_MODULES = {"vehicles": None, "kits": None}
    call_command("migrate", run_syncdb=True, verbosity=0)
    load(made_workbook())
    rows = made_rows()
    for part in rows["Parts"].values():
        part["name"] = "another name"
    rows["Cabins"]["x9",] = {**rows["Cabins"]["x2",], "code": "x9"}
    del rows["Openings"]["x1", "x2"]
    plan = check(made_workbook(rows))
    assert all(plan.plan["counts"].values()), plan.plan["problems"]


def apply_in_child(path, last):
    """Apply the waiting plan in another process that is killed at its `last` statement; the statements it sent."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        connection.settings_dict["NAME"] = str(path)
        sent = 0

        def count(execute, sql, params, many, context):
            nonlocal sent
            sent += 1
            if sent == last:
                os.kill(os.getpid(), signal.SIGKILL)
            return execute(sql, params, many, context)

        with connection.execute_wrapper(count):
            plan = ImportPlan.objects.get(state="ready")
            apply_plan(actor=CONSOLE, plan_id=plan.pk, removals=plan.plan["counts"]["remove"])
        os.write(writing, str(sent).encode())
        os._exit(0)
    os.close(writing)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reading) as told:
        return os.WTERMSIG(status), told.read()


def copied(old, name):
    """A copy of the database under another name, without a journal of an earlier one."""
    for suffix in ("", "-wal", "-shm"):
        old.with_name(name + suffix).unlink(missing_ok=True)
    return Path(shutil.copy(old, old.with_name(name)))


def main(folder, seed, kills):
    old = folder / "old.sqlite3"
    prepare()
    connection.cursor().execute("pragma wal_checkpoint(truncate)")
    connections.close_all()
    before = contents(old)
    whole = copied(old, "whole.sqlite3")
    ended, count = apply_in_child(whole, 0)
    connection.settings_dict["NAME"] = str(whole)
    rows = rows_from(LINE)[0]
    connections.close_all()
    new = ("x9",) in rows["Cabins"] and ("x1", "x2") not in rows["Openings"]
    left = []
    # what comes last is read again when all is committed
    for last in sorted(random.Random(seed).sample(range(1, int(count) - 2), kills)):
        path = copied(old, "killed.sqlite3")
        signalled, _ = apply_in_child(path, last)
        left.append([last, signalled, contents(path) == before])
    print(json.dumps({"ended": ended, "statements": int(count), "new": new, "left": left}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
