"""Sizing as a work: what is sized, in which chunks, and what another worker does again."""

from datetime import timedelta

import pytest
from django.utils import timezone

from kits.fitment import tasks
from kits.fitment.actions import WorkedOut, ask_to_size, touch_catalogue
from kits.fitment.bridge import Sized
from kits.fitment.models import CatalogueStamp, Fitment, SizedFitment
from kits.work.actions import run
from kits.work.kind import DONE
from kits.work.models import Work
from tests.kits.fitment.answers import RECORD, store
from tests.kits.fitment.conftest import ON
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.usefixtures("demonstration")


@pytest.fixture
def chunks(monkeypatch, settings):
    """Works wait; each fitment has an answer at hand, and the codes of the cars of each chunk are noted."""
    settings.WORK_AT_ONCE = False
    noted = Noted()

    def answered(on, keys):
        noted.append([variant for _, _, variant in keys])
        stamp = CatalogueStamp.objects.get().value
        ids = [Fitment.objects.get(kit__code=k, variant__code=v).pk for k, _, v in keys]
        return WorkedOut(stamp, [Sized(pk, RECORD, 0, is_worked_out=pk not in noted.broken) for pk in ids])

    monkeypatch.setattr(tasks, "worked_out", answered)
    return noted


class Noted(list):
    """The chunks; broken: keys of fitments that can't be worked out."""

    def __init__(self):
        super().__init__()
        self.broken: set[int] = set()


def test_every_fitment_is_sized_in_chunks_that_are_stored_one_by_one(chunks):
    work = ask_to_size(actor=CONSOLE, on=ON)
    run(work.pk)
    work.refresh_from_db()
    count = Fitment.objects.count()
    assert (work.state, work.done_count, work.of_count) == (DONE, count, count)
    assert work.sentence == f"Sized {count} fitments; the answers are up to date."
    assert len(chunks) > 1 and len(chunks[0]) == tasks.FIRST_COUNT
    assert SizedFitment.objects.filter(catalogue_stamp=CatalogueStamp.objects.get().value).count() == count


def test_it_says_how_many_could_not_be_worked_out(chunks):
    chunks.broken |= set(Fitment.objects.values_list("pk", flat=True)[:2])
    work = ask_to_size(actor=CONSOLE, on=ON)
    run(work.pk)
    work.refresh_from_db()
    assert ", of which 2 could not be worked out: see those that are not sized; the answers" in work.sentence


@pytest.mark.parametrize(
    ("scope", "cars"),
    [
        ({"kit": "S4-WARM"}, {"CP6L", "CP6R", "TR6L"}),
        ({"fitment": ("S4-DASH", "S4", "CP12L")}, {"CP12L"}),
    ],
)
def test_only_what_lies_in_the_scope_is_sized(chunks, scope, cars):
    run(ask_to_size(actor=CONSOLE, on=ON, **scope).pk)
    assert {car for chunk in chunks for car in chunk} == cars


def test_another_worker_sizes_only_what_the_lost_one_left(chunks):
    work = ask_to_size(actor=CONSOLE, on=ON)
    run(work.pk, is_to_stop=lambda: True)
    assert SizedFitment.objects.count() == len(chunks[0])
    run(work.pk)
    sized = [car for chunk in chunks for car in chunk]
    assert len(sized) == Fitment.objects.count() == SizedFitment.objects.count()


def test_answers_from_before_the_question_or_from_older_rows_are_made_again(chunks):
    fitment = Fitment.objects.get(variant__code="CP12L")
    asked_for = {"actor": CONSOLE, "on": ON, "fitment": ("S4-DASH", "S4", "CP12L")}
    held = store(fitment)
    run(ask_to_size(**asked_for).pk)
    assert len(chunks) == 1, "its answer was made before"
    work = ask_to_size(**asked_for)
    Work.objects.filter(pk=work.pk).update(asked_at=held.sized_at - timedelta(days=1))
    run(work.pk)
    assert len(chunks) == 1, "its answer was made since, from the rows of today"
    work = ask_to_size(**asked_for)
    SizedFitment.objects.update(sized_at=timezone.now() + timedelta(hours=1))
    touch_catalogue()
    run(work.pk)
    assert len(chunks) == 2, "the rows have changed since"


@pytest.mark.parametrize(
    ("times", "sentence"),
    [(1, "the answers are up to date"), (9, "meanwhile the data of 1 changed, which are out of date again")],
)
def test_what_a_change_overtakes_is_worked_out_again_three_times_at_most(
    chunks, monkeypatch, times, sentence
):
    work = ask_to_size(actor=CONSOLE, on=ON, fitment=("S4-DASH", "S4", "CP12L"))
    left, at_hand = [times], tasks.worked_out

    def while_somebody_writes(on, keys):
        answers = at_hand(on, keys)
        if left[0]:
            left[0] -= 1
            touch_catalogue()
        return answers

    monkeypatch.setattr(tasks, "worked_out", while_somebody_writes)
    run(work.pk)
    work.refresh_from_db()
    assert sentence in work.sentence
    assert len(chunks) == min(times + 1, tasks.MOST_ROUNDS)


def test_where_there_is_nothing_to_size_it_says_so(chunks):
    SizedFitment.objects.all().delete()
    run(ask_to_size(actor=CONSOLE, on=ON, kit="NONE").pk)
    assert Work.objects.get().sentence == "Sized 0 fitments; the answers are up to date."


def test_the_chunks_give_the_answers_that_one_batch_gives(settings):
    """One of the heater kit's cars, since it is quick."""
    settings.WORK_AT_ONCE = True
    work = ask_to_size(actor=CONSOLE, on=ON, fitment=("S4-WARM", "S4", "CP6L"))
    assert work.state == DONE
    assert SizedFitment.objects.get().verdict == "strong enough"
