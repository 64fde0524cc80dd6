"""Health tells what is down, in whatever way it is, and always as JSON."""

from datetime import timedelta
from threading import Event, Thread

import pytest
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from kits.config import health
from kits.config.backup.standing import BackupStanding
from kits.config.health import CHECKS, FAILED, LATE, OK, WATCHED, Watched
from kits.work.actions import give_sign
from kits.work.kind import SILENT_AFTER, WAITS_TOO_LONG
from kits.work.models import Work

IDLE = {"oldest_waiting_s": None, "youngest_beat_s": None}


@pytest.fixture(autouse=True)
def asked_anew():
    """No answer of another test is given again."""
    WATCHED.forget()


@pytest.fixture
def applied(db, settings, monkeypatch):
    """The migrations of a real site, all recorded as applied; the tests' own tables come from the models."""
    settings.MIGRATION_MODULES = {}
    recorded = dict.fromkeys(MigrationLoader(None).graph.nodes)
    monkeypatch.setattr(MigrationRecorder, "applied_migrations", lambda _: recorded)
    return recorded


@pytest.fixture
def backed_up(monkeypatch):
    """The newest backup is of just now; its age in hours may be set."""
    age = {"hours": 0}
    monkeypatch.setattr(
        "kits.config.health.backup_standing",
        lambda: BackupStanding(timezone.now() - timedelta(**age) if age else None, None),
    )
    return age


@pytest.fixture
def with_worker(settings):
    """Works are done by a worker."""
    settings.WORK_AT_ONCE = False


def test_a_healthy_site_says_so(client, applied, backed_up):
    assert len(applied) > 20
    response = client.get("/health")
    assert response.status_code == 200
    assert response.json() == {"status": "ok", **dict.fromkeys(CHECKS, "ok"), "work": IDLE}
    assert response["Cache-Control"] == "no-store"
    assert client.head("/health").status_code == 200


def test_health_tells_how_long_works_wait_and_when_one_last_gave_a_sign_of_life(client, applied):
    now = timezone.now()
    for key, state, seconds in (
        ("a", "waiting", 40),
        ("b", "waiting", 90),
        ("c", "running", 7),
        ("d", "running", 20),
    ):
        at = now - timedelta(seconds=seconds)
        Work.objects.create(kind="size", key=key, title=key, state=state, asked_at=at, beat_at=at)
    told = client.get("/health").json()["work"]
    assert 90 <= told["oldest_waiting_s"] < 100
    assert 7 <= told["youngest_beat_s"] < 17


@pytest.mark.parametrize("app", ["kits", "sessions"])
def test_a_migration_that_is_missing_is_found(client, applied, app):
    del applied[max(key for key in applied if key[0] == app)]
    response = client.get("/health")
    assert response.status_code == 503
    assert response.json()["migrations"] == FAILED


@pytest.mark.parametrize("what", ["a file in its place", "no room", "read-only"])
def test_a_folder_of_files_that_can_not_be_written_is_found(
    client, applied, settings, tmp_path, monkeypatch, what
):
    settings.FILES_DIR = tmp_path / "files"
    assert client.get("/health").json()["files"] == OK
    WATCHED.forget()
    if what == "no room":
        monkeypatch.setattr(health, "ROOM_BYTES", 2**63)
    elif what == "read-only":

        def refused(**_):
            raise OSError(30, "Read-only file system")

        monkeypatch.setattr(health.tempfile, "TemporaryFile", refused)
    else:
        settings.FILES_DIR.rmdir()
        settings.FILES_DIR.write_bytes(b"")
    response = client.get("/health")
    assert (response.status_code, response.json()["files"]) == (503, FAILED)


def test_the_check_of_a_folder_leaves_nothing_behind(tmp_path):
    health.can_be_written(tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.one_database  # which is a file on SQLite only
@pytest.mark.parametrize("what", ["gone", "not to be written"])
def test_a_file_of_the_database_that_is_gone_or_may_not_be_written_is_found(
    file_database, monkeypatch, tmp_path, what
):
    health.database_can_be_written()
    if what == "gone":
        monkeypatch.setitem(connection.settings_dict, "NAME", str(tmp_path / "gone.sqlite3"))
    else:  # a test may run as root, who may write everything
        monkeypatch.setattr(health.os, "access", lambda path, mode: False)
    with pytest.raises(health.Unwell, match="gone or may not be written"):
        health.database_can_be_written()


def test_no_worker_that_ever_gave_a_sign_is_found(client, applied, with_worker):
    assert client.get("/health").json()["worker"] == FAILED


@pytest.mark.parametrize(
    ("ago", "told"),
    [
        (timedelta(0), OK),
        (SILENT_AFTER - timedelta(seconds=9), OK),
        (SILENT_AFTER + timedelta(seconds=1), FAILED),
        # the clock was set back: what seems to come from later says nothing
        (-timedelta(hours=1), FAILED),
    ],
)
def test_a_worker_that_is_silent_is_found_though_nothing_waits(client, applied, with_worker, ago, told):
    give_sign(timezone.now() - timedelta(days=1))
    give_sign(timezone.now() - ago)
    assert client.get("/health").json()["worker"] == told


def test_a_worker_that_lives_and_takes_nothing_is_found(client, applied, with_worker):
    now = timezone.now()
    give_sign(now)
    work = Work.objects.create(kind="size", key="a", title="a", asked_at=now - WAITS_TOO_LONG)
    assert client.get("/health").json()["worker"] == FAILED
    WATCHED.forget()
    Work.objects.filter(pk=work.pk).update(asked_at=now - WAITS_TOO_LONG + timedelta(seconds=30))
    assert client.get("/health").json()["worker"] == OK


def test_production_without_collected_files_is_found(settings):
    settings.PRODUCTION = True
    with pytest.raises(health.Unwell, match="collectstatic"):
        health.static_files_are_collected()


class Gone:
    """A database that does not answer."""

    vendor = "postgresql"

    def cursor(self):
        raise DatabaseError("connection to server at 10.0.0.7 failed for user kitwright")


@pytest.mark.parametrize("fault", [DatabaseError, OSError, RuntimeError, KeyError])
def test_whatever_a_check_raises_the_others_answer_and_the_answer_names_nothing(client, monkeypatch, fault):
    def check():
        raise fault("secret detail at 10.0.0.7")

    monkeypatch.setattr(health, "CHECKS", {"database": check, "files": CHECKS["files"]})
    monkeypatch.setattr(health, "standing", check)
    answer = client.get("/health")
    assert answer.status_code == 503
    assert answer.json() == {"status": FAILED, "database": FAILED, "files": OK, "work": {}}
    assert answer["Content-Type"] == "application/json"


def test_a_database_that_is_away_is_told_with_a_session_cookie_too(
    client, db, monkeypatch, django_assert_num_queries
):
    client.cookies["sessionid"] = "x" * 32
    monkeypatch.setattr(health, "connection", Gone())
    with django_assert_num_queries(0):
        told = client.get("/health").json()
    failed = {name for name in told if told[name] == FAILED}
    assert failed == {"status", "database", "writing", "migrations", "worker", "backup"}
    assert told["files"] == OK


def test_a_server_that_can_only_be_read_is_found(monkeypatch):
    class Standby:
        vendor = "postgresql"

        def cursor(self):
            return self

        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

        def execute(self, sql):
            assert sql == "SHOW transaction_read_only"

        def fetchone(self):
            return ("on",)

    monkeypatch.setattr(health, "connection", Standby())
    with pytest.raises(health.Unwell, match="only be read"):
        health.database_can_be_written()


def test_any_host_name_and_plain_http_will_do(client, applied, settings):
    settings.SECURE_SSL_REDIRECT = True
    for host in ("10.0.0.9", "evil.example", "a_b:80"):
        answer = client.get("/health", headers={"Host": host})
        assert answer.status_code == 200
        assert host not in answer.content.decode()


def test_other_methods_are_not_known_and_nearly_right_addresses_are_none(client, db):
    answer = client.post("/health")
    assert (answer.status_code, answer["Allow"]) == (405, "GET, HEAD")
    assert client.get("/health/x").status_code == 404


def test_an_answer_is_given_again_for_a_moment(monkeypatch):
    asked, clock = [], [100.0]
    monkeypatch.setattr(health, "CHECKS", {"one": lambda: asked.append(1)})
    monkeypatch.setattr(health, "standing", lambda: 1 / 0)
    monkeypatch.setattr(health.time, "monotonic", lambda: clock[0])
    watched = Watched()
    for after, count in ((0.0, 1), (health.KEPT_S - 0.1, 1), (0.2, 2)):
        clock[0] += after
        assert watched.health().is_well
        assert len(asked) == count


def test_checks_that_never_end_are_told_as_failed_to_who_asks_next(monkeypatch):
    begun, end = Event(), Event()

    def hangs():
        begun.set()
        end.wait(20)

    monkeypatch.setattr(health, "CHECKS", {"database": hangs})
    monkeypatch.setattr(health, "standing", lambda: 1 / 0)
    monkeypatch.setattr(health, "PATIENCE_S", 0.05)
    watched = Watched()
    first = Thread(target=watched.health)
    first.start()
    assert begun.wait(5)
    assert not watched.health().is_well
    end.set()
    first.join()
    assert watched.health().is_well


def test_why_a_check_fails_is_logged_once_when_it_begins_and_when_it_is_over(monkeypatch, caplog):
    well = [False]

    def check():
        if not well[0]:
            raise health.Unwell("the disk is full")

    monkeypatch.setattr(health, "CHECKS", {"files": check})
    monkeypatch.setattr(health, "standing", lambda: 1 / 0)
    monkeypatch.setattr(health, "KEPT_S", 0.0)
    watched = Watched()
    watched.health()
    watched.health()
    well[0] = True
    watched.health()
    assert [record.msg["message"] for record in caplog.records] == [
        "health: files is failed",
        "health: files is well again",
    ]
    assert "the disk is full" in caplog.records[0].msg["reason"]


@pytest.mark.parametrize(("hours", "told"), [(35, OK), (37, LATE), (None, LATE)])
def test_a_backup_that_is_late_is_told_though_the_site_works(client, applied, backed_up, hours, told):
    backed_up.clear() if hours is None else backed_up.update(hours=hours)
    response = client.get("/health")
    assert response.json()["backup"] == told
    assert (response.status_code, response.json()["status"]) == (200, OK)
