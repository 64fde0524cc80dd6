"""The page of a work follows it, can be left and found again, and stops it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from kits.work import actions
from kits.work.actions import ask, run
from kits.work.kind import CANCELLED, DONE, RUNNING
from kits.work.models import Work
from tests.kits.fitment.pages import main_text
from tests.kits.work.counting import fresh

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
BY_HTMX = {"HX-Request": "true", "HX-Current-URL": "http://testserver/fit/?page=2"}


def address(work):
    return f"/works/{work.pk}/"


def running(work, done, of, since_s):
    """Let it have been taken a while ago, with some of it done."""
    began = timezone.now() - timedelta(seconds=since_s)
    Work.objects.filter(pk=work.pk).update(
        state=RUNNING,
        done_count=done,
        of_count=of,
        taken_at=began,
        beat_at=timezone.now(),
        step_at=timezone.now(),
    )


def test_it_says_how_far_it_is_and_how_long_it_may_take(asked, owner_client):
    work = asked()
    running(work, done=20, of=80, since_s=60)
    page = main_text(owner_client.get(address(work)))
    assert "20 of 80 done; about 3 min left." in page
    assert "Asked for by manager" in page


def test_it_follows_the_work_by_itself_until_it_has_ended(asked, owner_client):
    work = asked()
    page = owner_client.get(address(work)).content.decode()
    assert f'hx-get="{address(work)}' in page and 'hx-trigger="every' in page
    assert f'href="{address(work)}?next=/">Look again' in page, "works without a script too"
    part = owner_client.get(address(work), headers=BY_HTMX).content.decode()
    assert "<html" not in part and "hx-get" in part
    run(work.pk)
    part = owner_client.get(address(work), headers=BY_HTMX).content.decode()
    assert "Made 3 markets." in part and "hx-get" not in part


def test_at_its_end_it_leads_back_to_the_page_that_asked_if_that_is_ours(asked, owner_client):
    work = asked()
    run(work.pk)
    for sent, shown in (("/fit/?page=2", "/fit/?page=2"), ("https://evil.example/", "/")):
        page = owner_client.get(address(work), {"next": sent}).content.decode()
        assert f'href="{shown}">See the answer' in page


def test_a_line_on_another_page_follows_it_too_and_leads_to_the_new_answer(asked, owner_client):
    work = asked()
    running(work, done=1, of=3, since_s=5)
    line = owner_client.get(address(work) + "?line", headers=BY_HTMX).content.decode()
    assert "Being worked out: 1 of 3, about 10 s left." in line and "<section" not in line
    Work.objects.update(state=DONE)
    line = owner_client.get(address(work) + "?line", headers=BY_HTMX).content.decode()
    assert 'href="/fit/?page=2">Show the new answer' in line and "hx-get" not in line


def test_who_may_cancels_from_the_page(asked, manager_client, owner_client, installer_client):
    work = asked()
    assert "Cancel" in main_text(manager_client.get(address(work)))
    assert "Cancel" not in main_text(owner_client.get(address(work)))
    refused = main_text(installer_client.post(f"{address(work)}cancel/", follow=True))
    assert "Only who asked for a work, or a manager" in refused
    page = main_text(manager_client.post(f"{address(work)}cancel/", follow=True))
    assert "Cancelled by manager" in page
    assert fresh(work).state == CANCELLED
    assert "nothing to cancel" in main_text(manager_client.post(f"{address(work)}cancel/", follow=True))


def test_where_nothing_takes_it_the_page_says_so(asked, owner_client):
    work = asked()
    assert "It begins in a moment." in main_text(owner_client.get(address(work)))
    Work.objects.update(asked_at=timezone.now() - timedelta(seconds=31))
    assert "no worker seems to run" in main_text(owner_client.get(address(work)))
    actions._take(asked("other").pk)
    assert "It begins when" in main_text(owner_client.get(address(work))), "another one runs"


def test_a_work_that_was_begun_again_says_so(asked, owner_client):
    work = asked()
    running(work, done=1, of=3, since_s=5)
    Work.objects.update(tries_count=2)
    assert "Begun again" in main_text(owner_client.get(address(work)))


def test_an_unknown_work_is_not_found(owner_client):
    assert owner_client.get("/works/999/").status_code == 404


def test_a_work_that_is_asked_to_goes_on_to_what_it_made_and_back_to_where_one_came_from(
    asked, owner, owner_client
):
    work = ask(actor=owner, kind="short", key="k", title="Paper", wanted={}, page="/paper/")
    going = f"{address(work)}?next=/fit/&go=1"
    page = owner_client.get(going).content.decode()
    assert "data-goes-to" not in page
    assert f'hx-get="{address(work)}?next=/fit/&amp;go=1"' in page
    run(work.pk)
    part = owner_client.get(going, headers=BY_HTMX).content.decode()
    assert 'data-goes-to="/made/"' in part and 'href="/made/">Open it' in part and 'href="/fit/">Back' in part
    assert "data-goes-to" not in owner_client.get(address(work)).content.decode(), "who only looks stays"


def test_a_long_work_that_lets_a_short_one_go_first_says_how_far_it_had_come(asked, owner_client):
    work = asked()
    Work.objects.update(done_count=2, of_count=3)
    actions._take(asked("before it").pk)
    page = main_text(owner_client.get(address(work)))
    assert "Waiting. 2 of 3 done. It goes on when the one that comes before it is done." in page


def test_who_may_not_ask_for_such_a_work_and_did_not_ask_for_this_one_sees_nothing_of_it(
    asked, settings, owner, owner_client, installer_client, manager_client
):
    work = asked()
    for client, status in ((manager_client, 200), (installer_client, 200)):
        assert client.get(address(work)).status_code == status, "it is everybody's"
    settings.WORK_KINDS = {**settings.WORK_KINDS, "count": "tests.kits.work.counting.OF_MANAGERS"}
    assert installer_client.get(address(work)).status_code == 404
    assert installer_client.post(f"{address(work)}cancel/").status_code == 404
    assert manager_client.get(address(work)).status_code == 200
    Work.objects.update(by=owner)
    assert owner_client.get(address(work)).status_code == 200, "he asked for it"


def test_a_work_of_a_kind_that_is_not_known_any_more_is_the_managers_to_see(
    asked, settings, installer_client, manager_client
):
    work = asked()
    settings.WORK_KINDS = {}
    assert [c.get(address(work)).status_code for c in (installer_client, manager_client)] == [404, 200]


def test_it_says_how_many_come_before_it(asked, owner_client):
    for key in ("one", "two"):
        asked(key)
    page = main_text(owner_client.get(address(asked("three"))))
    assert "It begins when the 2 that come before it are done." in page


def test_who_comes_back_to_a_file_that_is_made_can_open_it(asked, owner, owner_client, settings):
    settings.WORK_KINDS = {**settings.WORK_KINDS, "file": "tests.kits.work.counting.FILE"}
    work = ask(actor=owner, kind="file", key="k", title="Paper", wanted={}, page="/paper/")
    run(work.pk)
    page = owner_client.get(f"{address(work)}?next=/fit/").content.decode()
    assert 'href="/made/">Open it' in page and 'href="/fit/">Back' in page
    assert "data-goes-to" not in page, "who only looks stays"
