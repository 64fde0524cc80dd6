"""A stored answer holds from the last day on which something that it was made from began or ended to the next one."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps

from kits.bom.models import Entry, Kit, Position
from kits.config.tasks import ask_for_chores
from kits.documents.queries import document_source
from kits.documents.stop import stop_of
from kits.fitment import queries, tasks
from kits.fitment.actions import ask_to_size, size_all
from kits.fitment.calculations.queries import calculated
from kits.fitment.models import CatalogueStamp, Fitment, Market, SizedFitment
from kits.fitment.study.queries import study_of
from kits.parts.models import Part, PartRevision
from kits.work.actions import run
from kits.work.kind import DONE
from kits.work.models import Work
from tests.kits.documents.fitment import make_fitment, offer
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
TODAY = date(2026, 6, 1)
TOMORROW = TODAY + DAY
KEY = ("DASH/1", "S4", "S4-LC")


class Clock:
    """The clock of the site, which a test sets."""

    def __init__(self):
        self.now = datetime(2026, 6, 1, 12, tzinfo=UTC)

    def set(self, day):
        self.now = datetime.combine(day, self.now.timetz())


@pytest.fixture
def clock(monkeypatch):
    clock = Clock()
    monkeypatch.setattr("django.utils.timezone.now", lambda: clock.now)
    return clock


@pytest.fixture
def fitment(clock):
    """A kit with one position, whose entry gives way to another one tomorrow."""
    fitment = make_fitment()
    position = Position.objects.create(kit=fitment.kit, number=10, name="Bracket", rule="exactly one")
    for number, (start, end) in enumerate([(None, TOMORROW), (TOMORROW, None)], start=1):
        part = Part.objects.create(number=f"B-{number}", name="Bracket", kind="bracket")
        PartRevision.objects.create(part=part, revision="A", maturity="released")
        Entry.objects.create(
            position=position, number=number, part=part, quantity=Decimal(1), in_force_from=start, in_force_until=end
        )  # fmt: skip
    return fitment


def sized(clock):
    size_all(actor=CONSOLE, on=clock.now.date(), now=clock.now)
    return SizedFitment.objects.get()


def told(day):
    """Whether the answer is out of date, as each place tells it that asks."""
    listed = Fitment.objects.filter(queries.out_of_date(day, "sized__")).exists()
    sheet, source = queries.fitment_sheet(*KEY, day), document_source(*KEY, day)
    stopped = any("out of date" in reason for reason in stop_of(source).reasons)
    is_one = queries.is_out_of_date(SizedFitment.objects.get(), day, queries.current_stamp())
    return {
        "freshness": queries.freshness(day).is_stale, "list": listed, "sheet": sheet.is_stale, "paper": source.is_stale,
        "gate": stopped, "calculations": calculated(*KEY, day).is_stale, "count": bool(
            queries.out_of_date_count(day)), "study": study_of(*KEY, day).is_stale, "one": is_one,
        "to size": bool(queries.still_to_size(*("",) * 3, SizedFitment.objects.get().sized_at, day)),
        "chores": queries.kits_to_renew(day) == ["DASH/1"],
    }  # fmt: skip


def test_it_is_true_up_to_the_day_on_which_an_entry_begins(fitment, clock):
    answer = sized(clock)
    assert (answer.holds_from, answer.holds_until) == (None, TOMORROW)
    for day in (TODAY - 400 * DAY, TODAY):
        assert set(told(day).values()) == {False}, day
    for day in (TOMORROW, TOMORROW + 400 * DAY):
        assert set(told(day).values()) == {True}, day


def test_the_chores_of_that_day_renew_it(fitment, clock):
    sized(clock)
    assert ask_for_chores(TODAY)
    assert not Work.objects.filter(kind="size").exists(), "today it is true"
    clock.set(TOMORROW)
    assert ask_for_chores(TOMORROW)
    chores = Work.objects.get(kind="tidy", key=TOMORROW.isoformat())
    assert chores.sentence.endswith("Something began or ended: 1 kits are sized again.")
    assert Work.objects.get(kind="size").state == DONE
    answer = SizedFitment.objects.get()
    assert (answer.holds_from, answer.holds_until, answer.sized_at) == (TOMORROW, None, clock.now)
    assert set(told(TOMORROW).values()) == {False}


def test_a_clock_that_is_set_back_puts_it_out_of_date_and_the_chores_of_that_day_renew_it(fitment, clock):
    clock.set(TOMORROW)
    sized(clock)
    clock.set(TODAY)
    assert set(told(TODAY).values()) == {True}
    assert ask_for_chores(TODAY)
    assert set(told(TODAY).values()) == {False}
    assert SizedFitment.objects.get().holds_until == TOMORROW


def test_a_work_that_waited_over_midnight_is_done_for_the_new_day(fitment, clock, settings):
    settings.WORK_AT_ONCE = False
    work = ask_to_size(actor=CONSOLE, on=TODAY)
    clock.set(TOMORROW)
    run(work.pk)
    work.refresh_from_db()
    assert work.sentence == "Sized 1 fitment; the answers are up to date."
    assert set(told(TOMORROW).values()) == {False}


def test_midnight_within_a_work_overtakes_what_it_has_stored(fitment, clock, settings, monkeypatch):
    settings.WORK_AT_ONCE = False
    work = ask_to_size(actor=CONSOLE, on=TODAY)
    at_hand = tasks.worked_out

    def over_midnight(on, keys):
        made = at_hand(on, keys)
        clock.set(TOMORROW)
        return made

    monkeypatch.setattr(tasks, "worked_out", over_midnight)
    run(work.pk)
    assert SizedFitment.objects.get().holds_from == TOMORROW


def test_a_rule_of_a_market_that_begins_is_such_a_day_and_so_is_a_revision(fitment, clock):
    offer(fitment, "home")
    Market.objects.get().rules.update(in_force_from=TOMORROW + DAY)
    Entry.objects.filter(number=2).delete()
    Entry.objects.update(in_force_until=None)
    assert sized(clock).holds_until == TOMORROW + DAY
    PartRevision.objects.filter(part__number="B-1").update(in_force_until=TOMORROW)
    assert sized(clock).holds_until == TOMORROW


def test_days_of_a_kit_say_nothing_of_another_ones_answer(fitment, clock):
    other = Kit.objects.create(code="WARM", name="Heater kit", refrigerant="none", oil="")
    Fitment.objects.create(kit=other, variant=fitment.variant)
    size_all(actor=CONSOLE, on=TODAY, now=clock.now)
    until = dict(SizedFitment.objects.values_list("fitment__kit__code", "holds_until"))
    assert until == {"DASH/1": TOMORROW, "WARM": None}
    assert queries.kits_to_renew(TOMORROW) == ["DASH/1"]


def test_an_answer_of_before_it_told_its_days_is_out_of_date_after_the_migration(fitment, clock):
    """The migration counts the stamp up, so that what was stored before is sized again."""
    sized(clock)
    stamp = CatalogueStamp.objects.get().value
    module = import_module("kits.migrations.0017_answers_hold_until_a_day_and_workers_beat")
    module.count_up(apps, None)
    assert CatalogueStamp.objects.get().value == stamp + 1
    assert queries.freshness(TODAY).is_stale
