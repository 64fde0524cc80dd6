"""The day is the shop's and moments are told in its time, while they are stored in UTC."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.urls import reverse

from kits.bom.models import Entry, Position
from kits.documents.queries import document_source
from kits.fitment.models import SizedFitment
from kits.management.commands.serve import Watch
from kits.parts.models import Part, PartRevision
from kits.work.models import Work
from tests.kits.documents.fitment import make_fitment, store_answer

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
MOMENT = datetime(2026, 5, 31, 23, 30, tzinfo=UTC)
"""In Auckland it is half past eleven in the morning of the first of June."""
FIRST_OF_JUNE = date(2026, 6, 1)
KEY = ("DASH/1", "S4", "S4-LC")


@pytest.fixture(autouse=True)
def in_auckland(settings, monkeypatch):
    settings.TIME_ZONE = "Pacific/Auckland"
    monkeypatch.setattr("django.utils.timezone.now", lambda: MOMENT)


def test_what_is_in_force_on_the_day_of_the_shop_goes_into_its_kit(manager_client):
    position = Position.objects.create(kit=make_fitment().kit, number=10, name="Bracket", rule="exactly one")
    for number, (start, end) in enumerate([(None, FIRST_OF_JUNE), (FIRST_OF_JUNE, None)], start=1):
        part = Part.objects.create(number=f"B-{number}", name="Bracket", kind="bracket")
        PartRevision.objects.create(part=part, revision="A", maturity="released")
        Entry.objects.create(
            position=position, number=number, part=part, quantity=Decimal(1), in_force_from=start, in_force_until=end
        )  # fmt: skip
    page = manager_client.get(reverse("fitment-sheet", args=KEY))
    assert [item.part for item in page.context["kit"].items] == ["B-2"]


def test_a_paper_bears_the_day_of_the_shop(manager_client, settings):
    settings.WORK_AT_ONCE = False
    store_answer(make_fitment())
    answer = manager_client.get(reverse("parts-list-xlsx", args=KEY))
    assert answer.status_code == 302
    assert Work.objects.get().wanted["on"] == FIRST_OF_JUNE.isoformat()


def test_the_command_sizes_for_the_day_of_the_shop(command):
    row = make_fitment()
    position = Position.objects.create(kit=row.kit, number=10, name="Bracket", rule="any")
    part = Part.objects.create(number="B-1", name="Bracket", kind="bracket")
    Entry.objects.create(
        position=position, number=1, part=part, quantity=Decimal(1), in_force_from=FIRST_OF_JUNE
    )
    command("size")
    answer = SizedFitment.objects.get()
    assert (answer.holds_from, answer.holds_until, answer.sized_at) == (FIRST_OF_JUNE, None, MOMENT)


def test_chores_are_those_of_the_day_of_the_shop(settings):
    settings.WORK_AT_ONCE = False
    Watch().look()
    assert Work.objects.get(kind="tidy").key == FIRST_OF_JUNE.isoformat()


def test_pages_and_papers_tell_moments_in_the_time_of_the_shop_with_its_name(manager_client):
    store_answer(make_fitment())
    SizedFitment.objects.update(sized_at=MOMENT)
    page = manager_client.get(reverse("fitment-sheet", args=KEY)).content.decode()
    assert "2026-06-01 11:30 NZST" in page and 'datetime="2026-06-01T11:30:00+12:00"' in page
    source = document_source(*KEY, FIRST_OF_JUNE)
    assert f"{source.sized_at:%Y-%m-%d %H:%M %Z}" == "2026-06-01 11:30 NZST"


def test_where_the_clock_is_put_forward_in_summer_the_name_follows(manager_client):
    store_answer(make_fitment())
    SizedFitment.objects.update(sized_at=datetime(2025, 12, 31, 23, 30, tzinfo=UTC))
    page = manager_client.get(reverse("fitment-sheet", args=KEY)).content.decode()
    assert "2026-01-01 12:30 NZDT" in page
