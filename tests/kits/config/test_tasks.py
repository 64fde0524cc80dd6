"""The chores of a day are done once and forget only what nobody needs."""

from datetime import date, timedelta

import pytest
from django.contrib.sessions.models import Session
from django.utils import timezone

from kits.config.tasks import ask_for_chores
from kits.exchange.models import ImportPlan
from kits.files.actions import keep
from kits.files.models import File
from kits.work.models import Work

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
DAY = date(2026, 3, 1)
LONG_AGO = timedelta(days=31)


def a_plan(state, age):
    plan = ImportPlan.objects.create(
        file_name=f"{state}.xlsx", sha256="0" * 64, state=state, plan={}, catalogue_stamp=1
    )
    ImportPlan.objects.filter(pk=plan.pk).update(made_at=timezone.now() - age)
    return plan


def test_they_forget_old_works_and_plans_sessions_that_ended_and_files_without_use():
    now = timezone.now()
    old = Work.objects.create(
        kind="k", key="k", title="t", state="done", asked_at=now, ended_at=now - LONG_AGO,
        file=keep(b"of the old work", now - LONG_AGO),
    )  # fmt: skip
    applied, young = a_plan("applied", LONG_AGO), a_plan("refused", timedelta(days=1))
    gone = [a_plan(state, LONG_AGO) for state in ("refused", "ready", "overtaken")]
    Session.objects.create(session_key="ended", session_data="", expire_date=now - timedelta(days=1))
    Session.objects.create(session_key="lives", session_data="", expire_date=now + timedelta(days=1))
    work = ask_for_chores(DAY)
    work.refresh_from_db()
    assert work.sentence == "Tidied away: 1 works, 3 plans, 1 files."
    assert set(ImportPlan.objects.all()) == {applied, young}.difference(gone)
    assert [s.session_key for s in Session.objects.all()] == ["lives"]
    assert not File.objects.exists()
    assert not Work.objects.filter(pk=old.pk).exists()


def test_they_are_asked_for_once_a_day():
    assert ask_for_chores(DAY)
    assert ask_for_chores(DAY) is None
    assert ask_for_chores(DAY + timedelta(days=1))
