"""What is asked of a database that is backed up, by plain SQL: it may be older than this code."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model

from kits.bom.models import Kit
from kits.files.models import File
from kits.fitment.models import Fitment
from vehicles.catalogue.models import Variant

COUNTED: dict[str, type[Model]] = {"cars": Variant, "kits": Kit, "fitments": Fitment, "people": User}
_MIGRATIONS = "django_migrations"


@dataclass(frozen=True)
class Facts:
    """What a database says of itself.

    tables: the names of those that are there; migrations: those applied, as "app.name"; holds: rows by what they are;
    files: the sha256 that rows name.
    """

    tables: frozenset[str]
    migrations: tuple[str, ...]
    holds: dict[str, int]
    files: frozenset[str]


def facts(tables: Collection[str], ask: Callable[[str], list[tuple[Any, ...]]]) -> Facts:
    """Read them; a table that is not there yet holds nothing.

    tables: the names of those that are there; ask: answers a question in SQL with rows.
    """

    def rows(table: str, what: str) -> list[tuple[Any, ...]]:
        return ask(f'SELECT {what} FROM "{table}"') if table in tables else []  # noqa: S608 - names of our own

    holds = {
        name: sum(count for (count,) in rows(model._meta.db_table, "COUNT(*)"))
        for name, model in COUNTED.items()
    }
    migrations = sorted(f"{app}.{name}" for app, name in rows(_MIGRATIONS, "app, name"))
    files = frozenset(sha256 for (sha256,) in rows(File._meta.db_table, "sha256"))
    return Facts(frozenset(tables), tuple(migrations), holds, files)
