"""The database of the settings, whatever its kind: what a backup does with it."""

from dataclasses import dataclass
from pathlib import Path

from django.db import connection, connections

from kits.config.backup import postgresql, sqlite
from kits.config.backup.facts import Facts
from kits.config.backup.label import POSTGRESQL, SQLITE, NotBackedUp
from kits.config.backup.postgresql import Server


@dataclass(frozen=True)
class SqliteFile:
    """A database of SQLite in a file."""

    path: Path
    kind: str = SQLITE

    def is_empty(self) -> bool:
        """Whether there is nothing to back up."""
        return sqlite.is_empty(self.path)

    def dump(self, target: Path) -> Facts:
        """Write it as it stands now. Raises NotBackedUp, OSError."""
        return sqlite.dump(self.path, target)

    def refuse_if_used(self) -> None:
        """Raises NotRestored while another program has it open."""
        sqlite.refuse_if_used(self.path)

    def put_back(self, file: Path) -> None:
        """Let what was backed up take its place. Raises OSError."""
        sqlite.put_back(file, self.path)


@dataclass(frozen=True)
class PostgresqlDatabase:
    """A database on a server of PostgreSQL."""

    server: Server
    kind: str = POSTGRESQL

    def is_empty(self) -> bool:
        """Whether there is nothing to back up. Raises NotBackedUp."""
        return postgresql.is_empty(self.server)

    def dump(self, target: Path) -> Facts:
        """Write it as it stands now. Raises NotBackedUp."""
        return postgresql.dump(self.server, target)

    def refuse_if_used(self) -> None:
        """Raises NotRestored while somebody else is connected to it."""
        postgresql.refuse_if_used(self.server)

    def put_back(self, file: Path) -> None:
        """Let what was backed up take its place. Raises NotRestored."""
        postgresql.put_back(self.server, file)


Database = SqliteFile | PostgresqlDatabase


def database() -> Database:
    """The one that the settings name. Raises NotBackedUp for one that lies in memory."""
    if connection.vendor == "postgresql":
        return PostgresqlDatabase(Server.of(connection.settings_dict))
    path = sqlite_path()
    if path is None:
        raise NotBackedUp("The database lies in memory only: there is nothing to back up.")
    return SqliteFile(path)


def sqlite_path() -> Path | None:
    """Where the database of SQLite lies; None for another kind, or one in memory."""
    if connection.vendor != "sqlite" or connection.is_in_memory_db():  # type: ignore[attr-defined]
        return None
    return Path(str(connection.settings_dict["NAME"])).resolve()


def check(kind: str, file: Path) -> Facts | None:
    """Make sure that the database's file of a backup can be read. Raises NotRestored.

    Returns what is in it; None of a dump of PostgreSQL, which says so only when it is put back.
    """
    if kind == SQLITE:
        return sqlite.check(file)
    postgresql.check(file)
    return None


def let_go() -> None:
    """Close our own connections to it."""
    connections.close_all()
