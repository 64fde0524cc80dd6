"""Metrics are closed unless there is a token, and are told whatever is down."""

import re
from datetime import timedelta

import pytest
from django.db import DatabaseError
from django.utils import timezone

from kits.config import health, metrics
from kits.config.backup.label import BY_HAND
from kits.config.exposition import CONTENT_TYPE
from kits.config.health import WATCHED
from kits.work.actions import give_sign
from kits.work.models import Work
from tests.kits.config.backup.test_shelf import stand
from tests.kits.documents.fitment import make_fitment, store_answer

TOKEN = "lFq7-2xUz0aW9rKcYt5m_Ve8sBdHnJ3p"
LINE = re.compile(r'[a-z_]+(\{[a-z]+="[^"\\\n]*"\})? -?[0-9.e+]+')


@pytest.fixture
def opened(settings):
    settings.METRICS_TOKEN = TOKEN
    WATCHED.forget()


def asked(client, told=f"Bearer {TOKEN}", **more):
    return client.get("/metrics", headers={"Authorization": told, **more})


def figures(answer):
    """The samples by name with their labels; each line is as the standard has it."""
    lines = [line for line in answer.content.decode().splitlines() if not line.startswith("#")]
    assert [line for line in lines if not LINE.fullmatch(line)] == []
    return {name: float(value) for name, value in (line.rsplit(" ", 1) for line in lines)}


def test_without_a_token_in_the_settings_there_is_nothing(client, settings):
    settings.METRICS_TOKEN = ""
    for told in ("Bearer ", "Bearer x", f"Bearer {TOKEN}"):
        assert asked(client, told).status_code == 404


@pytest.mark.parametrize(
    "told", ["", "Bearer", "Bearer ", "Bearer x", f"Basic {TOKEN}", TOKEN, f"Bearer {TOKEN}x", f"Bearer {TOKEN[:-1]}é"]
)  # fmt: skip
def test_whoever_does_not_carry_it_gets_nothing(client, opened, told):
    answer = asked(client, told)
    assert (answer.status_code, answer["WWW-Authenticate"]) == (401, "Bearer")
    assert b"kitwright_" not in answer.content


def test_other_methods_are_not_known(client, opened):
    assert client.post("/metrics").status_code == 405


@pytest.mark.django_db
def test_they_tell_how_works_and_answers_stand(client, opened):
    now = timezone.now()
    Work.objects.create(kind="size", key="a", title="a", asked_at=now - timedelta(seconds=90))
    give_sign(now - timedelta(seconds=20))
    store_answer(make_fitment(), stamp=6)
    answer = asked(client, Host="10.0.0.9")
    assert (answer.status_code, answer["Content-Type"]) == (200, CONTENT_TYPE)
    told = figures(answer)
    assert told['kitwright_works{state="waiting"}'] == 1 and told['kitwright_works{state="failed"}'] == 0
    assert 90 <= told["kitwright_work_oldest_waiting_seconds"] < 100
    assert "kitwright_work_youngest_beat_seconds" not in told
    assert 20 <= told["kitwright_worker_beat_seconds"] < 30
    assert told['kitwright_fitments{verdict="not enough"}'] + told["kitwright_fitments_out_of_date"] == 2
    assert told["kitwright_files_free_bytes"] > 0
    assert told['kitwright_check_ok{check="database"}'] == 1


@pytest.mark.django_db
def test_what_is_down_is_left_out_and_the_rest_is_told(client, opened, monkeypatch):
    def gone():
        raise DatabaseError("connection to server at 10.0.0.7 failed")

    monkeypatch.setattr(metrics, "verdict_counts", gone)
    told = figures(asked(client))
    assert not [name for name in told if name.startswith("kitwright_fitments")]
    assert told["kitwright_files_free_bytes"] > 0 and told['kitwright_works{state="done"}'] == 0


@pytest.mark.django_db
def test_where_the_database_does_not_answer_nothing_more_is_asked_of_it(client, opened, monkeypatch):
    monkeypatch.setattr(health, "CHECKS", {**health.CHECKS, "database": lambda: 1 / 0})
    told = figures(asked(client))
    assert told['kitwright_check_ok{check="database"}'] == 0 == told['kitwright_check_ok{check="worker"}']
    assert {name.partition("{")[0] for name in told} == {"kitwright_check_ok", "kitwright_files_free_bytes"}


@pytest.mark.one_database
def test_a_backup_of_a_clock_that_is_a_little_ahead_is_of_just_now(client, opened, settings, tmp_path, db):
    settings.BACKUP_DIR = tmp_path
    stand(tmp_path, timezone.now() + timedelta(minutes=5), BY_HAND)
    assert figures(asked(client))["kitwright_backup_age_seconds"] == 0
    stand(tmp_path / "other", timezone.now() + timedelta(days=900), BY_HAND)
    settings.BACKUP_DIR = tmp_path / "other"
    assert "kitwright_backup_age_seconds" not in figures(asked(client))
