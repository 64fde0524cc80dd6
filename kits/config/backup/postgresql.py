"""A PostgreSQL database in a backup: pg_dump, pg_restore and psql, never through a shell, passwords never in sight."""

import os
import re
import shutil
import subprocess
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final, cast

import psycopg
from psycopg.conninfo import make_conninfo

from kits.config.backup.facts import Facts, facts
from kits.config.backup.label import NotBackedUp, NotRestored

SCHEMA: Final = "public"
_TABLES: Final = "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
_OTHERS: Final = (
    "SELECT COALESCE(NULLIF(application_name, ''), 'a program without a name'), COUNT(*) FROM pg_stat_activity "
    "WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend' "
    "GROUP BY 1 ORDER BY 1"
)
# In one transaction with all that the dump makes: what only today's database has goes as well.
_FIRST: Final = f"BEGIN;\nSET client_min_messages = warning;\nDROP SCHEMA IF EXISTS {SCHEMA} CASCADE;\n"
# As in a new database; then its planner is told how full the tables are.
_LAST: Final = (
    f"\nGRANT USAGE ON SCHEMA {SCHEMA} TO PUBLIC;\nALTER SCHEMA {SCHEMA} OWNER TO pg_database_owner;\n"
    "COMMIT;\nANALYZE;\n"
)
_KNOWN: Final = frozenset(option.keyword.decode() for option in psycopg.pq.Conninfo.get_defaults())
# What acts by itself once the database is used, in a line of a dump's list: number; ids KIND schema name owner.
_ACTING: Final = re.compile(
    r"^\d+; \d+ \d+ (EVENT TRIGGER|TRIGGER|MATERIALIZED VIEW|VIEW|FUNCTION|PROCEDURE|RULE) \S+ (.+) \S+$",
    re.MULTILINE,
)
_BLOCK: Final = 1024**2


class ToolFailed(Exception):
    """A program of PostgreSQL is missing, too old, or failed; in a sentence."""


@dataclass(frozen=True)
class Server:
    """How a database is reached, in the words of libpq."""

    parameters: Mapping[str, str]

    @classmethod
    def of(cls, settings: Mapping[str, Any]) -> "Server":
        """From the settings of a connection of Django."""
        named = {"dbname": "NAME", "user": "USER", "password": "PASSWORD", "host": "HOST", "port": "PORT"}
        found = {word: str(settings[key]) for word, key in named.items() if settings.get(key)}
        options = settings.get("OPTIONS") or {}
        return cls({**{word: str(value) for word, value in options.items() if word in _KNOWN}, **found})

    @property
    def visible(self) -> str:
        """The address as a program is given it: everybody on the machine sees it."""
        return make_conninfo(**{word: value for word, value in self.parameters.items() if word != "password"})

    @property
    def environment(self) -> dict[str, str]:
        """What the program finds around it."""
        password = self.parameters.get("password")
        return {**os.environ, "LC_MESSAGES": "C", **({"PGPASSWORD": password} if password else {})}

    def session(self) -> "psycopg.Connection[tuple[Any, ...]]":
        """A session of its own. Raises psycopg.Error."""
        return psycopg.connect(make_conninfo(**self.parameters))


def is_empty(server: Server) -> bool:
    """Whether there is nothing to back up. Raises NotBackedUp."""
    try:
        with server.session() as session:
            return not session.execute(_TABLES).fetchall()
    except psycopg.Error as problem:
        raise NotBackedUp(f"The database can't be read: {_line(str(problem))}") from None


def dump(server: Server, target: Path) -> Facts:
    """Write the database as it stands at one moment, whoever writes meanwhile. Raises NotBackedUp."""
    try:
        with server.session() as session:
            session.isolation_level = psycopg.IsolationLevel.REPEATABLE_READ
            session.read_only = True
            program = _program("pg_dump", session.info.server_version // 10_000)
            (snapshot,) = session.execute("SELECT pg_export_snapshot()").fetchone() or ("",)
            tables = {name for (name,) in session.execute(_TABLES)}
            found = facts(tables, lambda question: session.execute(question.encode()).fetchall())
            _run(
                server, program, "--no-password", "--format=custom", f"--schema={SCHEMA}",
                f"--snapshot={snapshot}", f"--file={target}", f"--dbname={server.visible}",
            )  # fmt: skip
    except ToolFailed as problem:
        raise NotBackedUp(str(problem)) from None
    except psycopg.Error as problem:
        raise NotBackedUp(f"The database can't be read: {_line(str(problem))}") from None
    return found


def check(file: Path) -> None:
    """Make sure that pg_restore can read a file, and that nothing in it acts by itself. Raises NotRestored."""
    try:
        listing = _run(Server({}), _program("pg_restore"), "--list", str(file))
    except ToolFailed as problem:
        raise NotRestored(f"{file} can't be read. {problem}") from None
    acting = _ACTING.search(listing)
    if acting:
        raise NotRestored(
            f"{file} has the {acting[1].lower()} {acting[2]}, which Kitwright doesn't make: it was changed. "
            "Take another backup."
        )


def refuse_if_used(server: Server) -> None:
    """Make sure that nobody else is connected to the database. Raises NotRestored."""
    try:
        with server.session() as session:
            others = session.execute(_OTHERS).fetchall()
    except psycopg.Error as problem:
        raise NotRestored(f"The database can't be reached: {_line(str(problem))}") from None
    if others:
        told = ", ".join(f"{count} of {name}" for name, count in others)
        raise NotRestored(
            f"The database has other sessions: {told}. Stop the site on every machine, end them, and try again."
        )


def put_back(server: Server, file: Path) -> None:
    """Let the dump take the place of all that is in the database, in one transaction. Raises NotRestored."""
    try:
        with server.session() as session:
            newest = session.info.server_version // 10_000
        writing = _program("pg_restore", newest)
        command = [
            _program("psql", newest), "--no-psqlrc", "--no-password", "--quiet", "--output=/dev/null",
            "--set=ON_ERROR_STOP=1", f"--dbname={server.visible}",
        ]  # fmt: skip
        _replay(server, [writing, "--no-owner", "--no-acl", "--file=-", str(file)], command)
    except ToolFailed as problem:
        raise NotRestored(f"The database is as it was. {problem}") from None
    except psycopg.Error as problem:
        raise NotRestored(f"The database can't be reached: {_line(str(problem))}") from None


def _replay(server: Server, writing: list[str], reading: list[str]) -> None:
    """Let one program write the statements and the other one do them; committed only if the first one ended well."""
    with (
        subprocess.Popen(writing, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as source,  # noqa: S603
        subprocess.Popen(  # noqa: S603
            reading, stdin=subprocess.PIPE, stderr=subprocess.PIPE, env=server.environment
        ) as sink,
    ):
        statements, ours = _pipe(source.stdout), _pipe(sink.stdin)
        with suppress(BrokenPipeError):  # psql has ended, and says below why
            ours.write(_FIRST.encode())
            shutil.copyfileobj(statements, ours, _BLOCK)
            if not source.wait():
                ours.write(_LAST.encode())
        with suppress(BrokenPipeError):
            ours.close()
        refused = _pipe(sink.stderr).read().decode(errors="replace")
        if sink.wait():
            source.kill()
            raise ToolFailed(f"psql says: {_line(refused)}")
        if source.returncode:
            raise ToolFailed(
                f"pg_restore says: {_line(_pipe(source.stderr).read().decode(errors='replace'))}"
            )


def _pipe(pipe: IO[bytes] | None) -> IO[bytes]:
    return cast(IO[bytes], pipe)  # each was asked for


def _program(name: str, at_least: int = 0) -> str:
    """Where a program of PostgreSQL lies. Raises ToolFailed where it is missing or older than the server."""
    path = shutil.which(name)
    if path is None:
        raise ToolFailed(
            f"The program {name} is missing. Install PostgreSQL’s client programs, on Debian: "
            "apt-get install postgresql-client"
        )
    told = _run(Server({}), path, "--version")
    version = re.search(r"\b(\d+)", told)
    if version is None or int(version[1]) < at_least:
        raise ToolFailed(
            f"{path} says “{told.strip()}”, but the server is of version {at_least}. "
            f"Install the client programs of PostgreSQL {at_least}."
        )
    return path


def _run(server: Server, program: str, *arguments: str) -> str:
    """What a program prints. Raises ToolFailed."""
    try:
        ran = subprocess.run(  # noqa: S603 - found on the path, and told by settings only
            [program, *arguments], env=server.environment, capture_output=True, check=False
        )
    except OSError as problem:
        raise ToolFailed(f"{program} can't be started: {problem.strerror}.") from None
    if ran.returncode:
        raise ToolFailed(f"{Path(program).name} says: {_line(ran.stderr.decode(errors='replace'))}")
    return ran.stdout.decode(errors="replace")


def _line(told: str) -> str:
    """The first line that says what went wrong."""
    lines = [line.strip() for line in told.splitlines() if line.strip()]
    wrong = [line for line in lines if "error" in line.lower() or "fatal" in line.lower()]
    return (wrong or lines or ["nothing more is known"])[0]
