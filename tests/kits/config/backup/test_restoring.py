"""What is not restored: each with its reason in a sentence, and nothing is touched."""

import os
import re
import sqlite3
from contextlib import closing

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connections

from kits.config.backup import restoring
from kits.config.backup.label import BY_HAND, POSTGRESQL, SQLITE, NotRestored
from kits.config.backup.making import make_backup
from kits.config.backup.restoring import checked, restore
from kits.config.backup.shelf import labels
from kits.files.store import path_of
from kits.fitment.models import Market
from tests.architecture.tree import ROOT
from tests.kits.config.backup.rows import all_rows, relabel


@pytest.fixture
def backup(site):
    return make_backup(made_by=BY_HAND)


def refused(place):
    with pytest.raises(CommandError) as refusal:
        call_command("restore", str(place))
    return str(refusal.value)


@pytest.mark.one_database
def test_a_folder_that_is_no_backup(site, settings, tmp_path):
    assert "is no backup of Kitwright" in refused(tmp_path)
    assert "is no backup of Kitwright" in refused(tmp_path / "missing")


def test_another_kind_of_database(backup):
    other = {SQLITE: POSTGRESQL, POSTGRESQL: SQLITE}[backup.label.database]
    relabel(backup.place, database=other)
    assert "holds a database of" in refused(backup.place)
    assert "KITWRIGHT_DATABASE_URL names one of" in refused(backup.place)


@pytest.mark.one_database
def test_one_that_is_newer_than_the_code(backup):
    relabel(backup.place, migrations=["kits.9999_later"], program="9.0")
    assert "is of version 9.0 of Kitwright, which is newer" in refused(backup.place)
    assert "kits.9999_later" in refused(backup.place)


@pytest.mark.one_database
def test_one_of_before_an_app_went_is_not_newer(backup):
    applied = ["axes.0001_initial", *backup.label.migrations]
    changed(
        backup,
        "INSERT INTO django_migrations (app, name, applied) VALUES ('axes', '0001_initial', '2026-01-01')",
    )
    relabel(backup.place, migrations=sorted(applied))
    checked(backup.place)


@pytest.mark.one_database
def test_one_of_this_code_is_not_newer(backup):
    assert len(backup.label.migrations) > 20
    checked(backup.place)


def changed(backup, *statements):
    """Let the database of a backup be another one, whose digest and size the label says."""
    file = backup.place / backup.label.database_file
    with closing(sqlite3.connect(file)) as held:
        for statement in statements:
            held.execute(statement)
        held.commit()
    relabel(backup.place, sha256=restoring.sha256_of(file), size_bytes=file.stat().st_size)


@pytest.mark.one_database
@pytest.mark.parametrize(
    ("statement", "said"),
    [
        (
            "CREATE TRIGGER evil AFTER INSERT ON auth_user BEGIN DELETE FROM auth_user; END",
            "has the trigger evil",
        ),
        ("CREATE VIEW evil AS SELECT 1", "has the view evil"),
        ("DROP TABLE django_migrations", "is no database of Kitwright"),
        ("DELETE FROM django_migrations", "is no database of Kitwright"),
        ("DROP TABLE auth_user", "is no database of Kitwright"),
        ("DROP TABLE kits_market", "lacks the table kits_market"),
        (
            "INSERT INTO django_migrations VALUES (9999, 'kits', '9999_later', '2026-01-01')",
            "kits.9999_later",
        ),
        ("DELETE FROM django_migrations WHERE app = 'kits' AND name = '0001_initial'", "kits.0001_initial"),
        (
            "UPDATE kits_file SET sha256 = printf('%064d', 7) WHERE id = (SELECT MIN(id) FROM kits_file)",
            "files that the backup doesn't hold",
        ),
    ],
)
def test_a_database_that_is_not_what_its_label_says(backup, statement, said):
    before = all_rows()
    changed(backup, statement)
    assert said in refused(backup.place)
    assert all_rows() == before


@pytest.mark.one_database
@pytest.mark.parametrize("content", ["empty", "foreign"])
def test_a_database_that_is_none_of_ours(backup, content):
    (backup.place / backup.label.database_file).write_bytes(b"")
    changed(backup, *(["CREATE TABLE django_session (id)"] if content == "foreign" else []))
    assert "is no database of Kitwright" in refused(backup.place)


@pytest.mark.one_database
def test_what_it_holds_is_counted_in_the_database_itself(backup):
    relabel(backup.place, holds={"cars": 999_999})
    assert checked(backup.place).holds == backup.label.holds
    assert "999999" not in checked(backup.place).sentence


@pytest.mark.one_database
def test_no_migration_makes_what_a_restore_refuses():
    """Where one is to, `sqlite.check` has to learn of it: it takes triggers and views for somebody else's."""
    folders = [ROOT / "kits" / "migrations", ROOT / "vehicles" / "migrations"]
    texts = {path: path.read_text().lower() for folder in folders for path in folder.glob("*.py")}
    assert len(texts) > 10
    making = re.compile(r"create (or replace |temp |temporary )*(trigger|view|virtual)")
    assert [path.name for path, text in texts.items() if making.search(text)] == []


@pytest.mark.one_database
def test_a_database_that_was_changed(backup):
    with (backup.place / backup.label.database_file).open("ab") as file:
        file.write(b"x")
    assert "was changed since the backup was made" in refused(backup.place)


@pytest.mark.one_database
def test_a_database_that_is_missing(backup):
    (backup.place / backup.label.database_file).unlink()
    assert "can't be read: No such file" in refused(backup.place)


def test_a_database_that_is_none_though_its_digest_is_right(backup):
    file = backup.place / backup.label.database_file
    file.write_bytes(b"neither of them" * 1000)
    relabel(backup.place, sha256=restoring.sha256_of(file), size_bytes=file.stat().st_size)
    assert str(file) in refused(backup.place)


@pytest.mark.one_database
def test_a_file_that_is_missing(backup, site):
    path_of(backup.place / "files", site[1].sha256).unlink()
    assert "A file of the backup is missing or damaged" in refused(backup.place)


@pytest.mark.one_database
@pytest.mark.parametrize("content", [b"", b"\xff\xfe"])
def test_a_list_of_files_that_was_changed(backup, content):
    (backup.place / "files.txt").write_bytes(content)
    assert "files.txt was changed" in refused(backup.place)


def test_a_database_that_another_program_uses(backup, settings):
    connections["default"].close()
    other = connections.create_connection("default")
    try:
        with other.cursor() as cursor:
            cursor.execute("SELECT * FROM kits_market")
        wanted = {SQLITE: "Another program has", POSTGRESQL: "The database has other sessions: 1 of"}
        assert wanted[backup.label.database] in refused(backup.place)
    finally:
        other.close()
    assert len(list(labels(settings.BACKUP_DIR))) == 1, "it was refused before anything was done"
    restore(checked(backup.place), lambda _: None)


def test_without_a_backup_of_what_is_there_nothing_is_changed_unless_one_says_so(
    backup, settings, tmp_path, command
):
    Market.objects.create(code="LATER", name="later")
    before = all_rows()
    settings.BACKUP_DIR = tmp_path / "a file"
    settings.BACKUP_DIR.touch()
    said = refused(backup.place)
    assert "could not be backed up, so nothing was changed" in said and "--without-backup" in said
    assert all_rows() == before
    command("restore", str(backup.place), "--without-backup")
    assert all_rows() != before


@pytest.mark.one_database
def test_somebody_who_is_not_the_user_of_the_site(backup, monkeypatch):
    monkeypatch.setattr(restoring.os, "geteuid", lambda: os.getuid() + 1)
    assert "belongs to another user. Run this as the user who runs the site" in refused(backup.place)


@pytest.mark.one_database
@pytest.mark.django_db
def test_a_site_whose_database_lies_in_memory(folders, tmp_path):
    relabelled = tmp_path / "kitwright-2026-03-01T0015Z"
    relabelled.mkdir()
    from kits.config.backup.label import LABEL_FILE, label_text
    from tests.kits.config.backup.test_label import LABEL

    (relabelled / LABEL_FILE).write_text(label_text(LABEL))
    with pytest.raises(NotRestored, match="in memory only"):
        checked(relabelled)


def test_a_server_that_is_away_is_told(monkeypatch):
    from kits.config.backup import postgresql

    def away(*_, **__):
        raise psycopg.OperationalError("connection to server failed: Connection refused")

    monkeypatch.setattr(postgresql.psycopg, "connect", away)
    with pytest.raises(NotRestored, match="can't be reached: connection to server failed"):
        postgresql.refuse_if_used(postgresql.Server({}))


@pytest.mark.one_database
def test_what_is_told_does_not_steer_the_terminal(site, tmp_path):
    said = refused(tmp_path / "kitwright\x1b[2J")
    assert "\x1b" not in said and r"kitwright\x1b[2J is no backup" in said


@pytest.mark.one_database
def test_one_of_a_time_to_come_is_told_so(backup):
    assert "is to come" not in checked(backup.place).sentence
    relabel(backup.place, made_at="2099-01-01T00:00:00+00:00")
    assert "Its date is to come" in checked(backup.place).sentence
