"""A work is done once, step by step, whatever messages come and whatever happens to its worker."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import OperationalError
from django.utils import timezone
from django_q.models import OrmQ

from kits.files.queries import content_of
from kits.files.store import drop
from kits.work import actions
from kits.work.actions import ask, cancel, run, sweep, tidy_works
from kits.work.kind import CANCELLED, DONE, FAILED, LOST_AFTER, MOST_OPEN, MOST_TRIES, RUNNING, WAITING
from kits.work.models import Work
from kits.work.queries import done_since
from tests.kits.work.counting import at, fault, fresh, made, refuse
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db


def messages():
    """The works that the queue's messages name, in order."""
    return [row.task["args"][0] for row in OrmQ.objects.order_by("pk")]


def lose(work):
    """Let its worker have been silent for too long."""
    Work.objects.filter(pk=work.pk).update(beat_at=timezone.now() - LOST_AFTER - timedelta(seconds=1))


def raised(error):
    raise error


def test_a_work_is_done_step_by_step_and_tells_how_it_ended(asked):
    work = asked()
    assert (work.state, messages()) == (WAITING, [work.pk])
    run(work.pk)
    ended = fresh(work)
    assert (ended.state, ended.sentence, ended.result) == (DONE, "Made 3 markets.", {"last": 3})
    assert (ended.done_count, ended.of_count, ended.tries_count) == (3, 3, 1)
    assert made() == [1, 2, 3]


def test_the_page_sees_each_step_as_soon_as_it_is_written(asked, happens):
    work, seen = asked(), []
    happens("computing", lambda number: seen.append((fresh(work).done_count, fresh(work).state)))
    run(work.pk)
    assert seen == [(0, RUNNING), (1, RUNNING), (2, RUNNING)]


def test_messages_that_come_again_do_nothing(asked, happens):
    work = asked()
    happens("computing", at(2, lambda: run(work.pk)))
    for _ in range(3):
        run(work.pk)
    assert made() == [1, 2, 3]
    assert fresh(work).tries_count == 1


def test_the_same_kind_and_key_waits_once(asked, owner):
    first = asked()
    assert asked().pk == first.pk
    assert asked("other").pk != first.pk
    assert messages().count(first.pk) == 1


def test_what_is_asked_for_while_the_same_runs_waits_for_it_and_is_announced_at_its_end(asked, happens):
    first, later = asked(), []
    happens("computing", at(2, lambda: later.append(asked(last=0))))
    OrmQ.objects.all().delete()
    happens("writing", at(2, lambda: (run(later[0].pk), OrmQ.objects.all().delete())))
    run(first.pk)
    assert fresh(later[0]).state == WAITING
    assert messages() == [later[0].pk]
    run(later[0].pk)
    assert fresh(later[0]).state == DONE


def test_a_lost_work_is_taken_again_and_goes_on_where_it_was(asked, happens):
    work = asked()
    happens("computing", at(3, lambda: raised(OperationalError("the database is away"))))
    with pytest.raises(OperationalError):
        run(work.pk)
    happens("computing", lambda number: None)
    run(work.pk)
    assert fresh(work).state == RUNNING, "its worker may still live"
    lose(work)
    run(work.pk)
    assert (made(), fresh(work).state, fresh(work).tries_count) == ([1, 2, 3], DONE, 2)


def test_a_worker_that_was_taken_for_lost_writes_nothing_more(asked, happens):
    work = asked()

    def overtaken():
        happens("computing", lambda number: None)
        lose(work)
        run(work.pk)

    happens("computing", at(2, overtaken))
    run(work.pk)
    assert made() == [1, 2, 3]
    assert (fresh(work).state, fresh(work).done_count) == (DONE, 3)


def test_a_worker_that_was_taken_for_lost_ends_nothing(asked, happens):
    work = asked()
    happens("computing", at(2, lambda: (actions._take(work.pk), lose(work), actions._take(work.pk), fault())))
    run(work.pk)
    assert fresh(work).state == RUNNING


def test_the_third_loss_is_a_failure_that_says_so(asked):
    work = asked()
    for tries in range(1, MOST_TRIES + 1):
        assert actions._take(work.pk).tries_count == tries
        assert actions._take(work.pk) is None
        lose(work)
    assert actions._take(work.pk) is None
    sweep()
    assert fresh(work).state == FAILED
    assert "begun 3 times" in fresh(work).sentence


def test_cancelling_stops_after_the_step_in_hand_and_leaves_nothing_half(asked, happens, manager):
    work = asked()
    happens("computing", at(3, lambda: cancel(actor=manager, work=work)))
    run(work.pk)
    assert (fresh(work).state, made()) == (CANCELLED, [1, 2])
    assert "Cancelled by manager" in fresh(work).sentence
    assert not cancel(actor=manager, work=work), "it has ended"


def test_who_asked_and_a_manager_may_cancel(asked, manager, installer):
    work = asked()
    with pytest.raises(PermissionDenied):
        cancel(actor=installer, work=work)
    Work.objects.filter(pk=work.pk).update(by=installer)
    assert cancel(actor=installer, work=fresh(work))
    assert cancel(actor=manager, work=asked(actor=CONSOLE))


def test_the_right_is_asked_for_when_it_is_asked_for(installer, stranger):
    for person in (installer, stranger):
        with pytest.raises(PermissionDenied):
            ask(actor=person, kind="count", key="k", title="x", wanted={"last": 1})
    assert not Work.objects.exists()


def test_the_right_is_asked_for_again_when_it_runs(asked, manager):
    work = asked()
    manager.groups.clear()
    run(work.pk)
    assert (fresh(work).state, made()) == (FAILED, [])
    assert fresh(work).sentence.startswith("manager asked for this, but may not")


def test_nothing_is_done_for_a_closed_account(asked, manager):
    work = asked()
    type(manager).objects.filter(pk=manager.pk).update(is_active=False)
    run(work.pk)
    assert (fresh(work).state, made()) == (FAILED, [])


def test_the_console_may_ask(asked):
    work = asked(actor=CONSOLE)
    run(work.pk)
    assert fresh(work).state == DONE


def test_a_kind_that_the_program_does_not_know_fails_in_a_sentence(asked, settings):
    work = asked()
    settings.WORK_KINDS = {}
    run(work.pk)
    assert "knows no work called" in fresh(work).sentence


@pytest.mark.parametrize("when", ["computing", "writing"])
def test_a_fault_of_ours_is_told_and_takes_back_its_own_step_alone(asked, happens, when):
    work = asked()
    happens(when, at(2, fault))
    run(work.pk)
    assert (fresh(work).state, fresh(work).done_count, made()) == (FAILED, 1, [1])
    assert "fault of ours" in fresh(work).sentence


def test_what_can_not_be_done_says_why(asked, happens):
    work = asked()
    happens("computing", at(2, refuse))
    run(work.pk)
    assert (fresh(work).state, fresh(work).sentence) == (FAILED, "There is no such thing.")


def test_an_ordered_end_hands_the_work_back_without_counting_the_try(asked):
    work = asked()
    OrmQ.objects.all().delete()
    run(work.pk, is_to_stop=lambda: True)
    assert (fresh(work).state, fresh(work).tries_count, made()) == (WAITING, 0, [1])
    assert messages() == [work.pk]
    run(work.pk)
    assert made() == [1, 2, 3]


def test_a_work_handed_back_while_one_like_it_waits_can_be_taken_at_once(asked, happens):
    work, later = asked(), []
    happens("computing", at(1, lambda: later.append(asked(last=0))))
    run(work.pk, is_to_stop=lambda: True)
    assert fresh(later[0]).state == WAITING
    run(work.pk)
    assert (fresh(work).state, made()) == (DONE, [1, 2, 3])


def test_the_sweep_announces_what_waits_without_a_message_and_what_was_lost(asked):
    waiting, lost, living = asked("a"), asked("b"), asked("c")
    for work in (lost, living):
        actions._take(work.pk)
    lose(lost)
    OrmQ.objects.all().delete()
    for _ in range(2):
        sweep()
    assert messages() == [waiting.pk, lost.pk]


def test_a_work_whose_sign_of_life_is_of_times_to_come_is_lost_since_the_clock_was_set_back(asked):
    ahead, nearly = asked("a"), asked("b")
    for work, seconds in ((ahead, 1), (nearly, -9)):
        actions._take(work.pk)
        at = timezone.now() + LOST_AFTER + timedelta(seconds=seconds)
        Work.objects.filter(pk=work.pk).update(beat_at=at)
    OrmQ.objects.all().delete()
    sweep()
    assert messages() == [ahead.pk]


def test_the_sweep_says_nothing_of_a_work_that_has_to_wait_for_one_like_it(asked, happens):
    first, second = asked(), []
    happens("computing", at(1, lambda: (second.append(asked()), OrmQ.objects.all().delete(), sweep())))
    run(first.pk, is_to_stop=lambda: bool(messages()))
    assert fresh(first).state == DONE


def test_a_message_that_a_cluster_took_and_lost_is_sent_again(asked):
    work = asked()
    OrmQ.objects.update(lock=timezone.now() + timedelta(hours=1))
    sweep()
    assert messages() == [work.pk, work.pk]


def test_without_a_worker_a_work_is_done_within_the_call(asked, settings):
    settings.WORK_AT_ONCE = True
    work = asked()
    assert (work.state, made(), messages()) == (DONE, [1, 2, 3], [])


def test_without_a_worker_what_was_kept_waiting_is_done_after_it(asked, happens, settings):
    settings.WORK_AT_ONCE = True
    later = []
    happens("computing", at(2, lambda: later.append(asked(last=0))))
    asked()
    assert fresh(later[0]).state == DONE


def short(actor, key="k"):
    return ask(actor=actor, kind="short", key=key, title="Paper", wanted={})


def test_a_long_work_lets_a_short_one_go_first_and_goes_on_where_it_was(asked, happens, manager, owner):
    work = asked()
    happens("computing", at(2, lambda: short(owner)))
    run(work.pk)
    left = fresh(work)
    assert (left.state, left.done_count, left.tries_count) == (WAITING, 2, 0)
    paper = Work.objects.get(kind="short")
    assert messages()[-2:] == [paper.pk, work.pk], "the short one first"
    run(paper.pk)
    run(work.pk)
    assert (fresh(paper).state, fresh(work).state, made()) == (DONE, DONE, [1, 2, 3])


def test_short_works_do_not_wait_for_each_other_in_turns(owner):
    first, second = short(owner, "a"), short(owner, "b")
    run(first.pk)
    assert (fresh(first).state, fresh(second).state) == (DONE, WAITING)


def test_what_a_work_made_is_found_again_for_a_while_and_while_it_is_there(owner):
    work, before = short(owner), timezone.now()
    assert done_since("short", "k", before) is None
    run(work.pk)
    found = done_since("short", "k", before)
    assert (found.pk, found.page, content_of(found.file)) == (work.pk, "/made/", b"made")
    assert done_since("short", "other", before) is None
    assert done_since("short", "k", timezone.now()) is None
    drop(settings.FILES_DIR, found.file.sha256)
    assert done_since("short", "k", before) is None


def test_ended_works_are_tidied_away_after_a_while_and_open_ones_never(asked):
    done, waits = asked("done"), asked("waits")
    run(done.pk)
    assert tidy_works(timezone.now() - timedelta(days=1)) == 0
    assert tidy_works(timezone.now() + timedelta(seconds=1)) == 1
    assert set(Work.objects.all()) == {waits}


def test_a_person_has_so_many_works_waiting_and_no_more_and_holds_up_nobody_else(owner, manager):
    for number in range(MOST_OPEN):
        short(owner, f"{number}")
    with pytest.raises(PermissionDenied, match="You have 10 works waiting"):
        short(owner, "one more")
    assert short(owner, "3").state == WAITING, "it waits already"
    assert short(manager, "one more").state == WAITING
    run(Work.objects.filter(by=owner).first().pk)
    assert short(owner, "another").state == WAITING


def test_what_follows_of_itself_is_not_refused(asked):
    for number in range(MOST_OPEN + 2):
        assert asked(f"{number}").state == WAITING
