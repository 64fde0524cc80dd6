"""A fitment is sized again when something moved that its sizing reads, and keeps its answer otherwise."""

from datetime import UTC, date, datetime, timedelta

import pytest

from kits.fitment import bridge, queries
from kits.fitment.actions import store_answers, touch_catalogue, worked_out
from kits.fitment.models import CatalogueStamp, Fitment, SizedFitment
from kits.parts.models import Part, PartPrice
from kits.sizing.verdict.record import METHOD, SCHEMA
from tests.kits.fitment.conftest import ON
from vehicles.climate.models import DutyPoint

pytestmark = [pytest.mark.one_database, pytest.mark.django_db, pytest.mark.usefixtures("demonstration")]
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
KEYS = [("S4-DASH", "S4", "CP12L"), ("S4-DASH", "S4", "TR12R"), ("S4-WARM", "S4", "CP6L")]


@pytest.fixture(scope="module")
def answered():
    """Answers by content key: what has been sized once in this file need not be sized again."""
    return {}


@pytest.fixture
def sized(monkeypatch, answered):
    """The cars whose cases were handed to be sized."""
    noted = []
    whole = bridge.size

    def size(cases):
        noted.extend(case.key[2] for case in cases)
        for case in cases:
            key = bridge.content_key(case)
            if key not in answered:
                (answered[key],) = whole([case])
        return [answered[bridge.content_key(case)] for case in cases]

    monkeypatch.setattr(bridge, "size", size)
    return noted


def again(sized, later=0):
    """Size the three fitments; the cars that were really sized."""
    sized.clear()
    store_answers(worked_out(ON, KEYS), NOW + timedelta(hours=later))
    assert not queries.overtaken("", "", "", NOW, ON)
    assert SizedFitment.objects.filter(queries.out_of_date(ON)).count() == 0
    return sorted(sized)


def stored():
    return {row.fitment.variant.code: row for row in SizedFitment.objects.select_related("fitment__variant")}


@pytest.fixture
def before(sized):
    """The three answers as they are stored at first."""
    assert again(sized) == ["CP12L", "CP6L", "TR12R"]
    found = stored()
    assert all(len(row.content_key) == 64 for row in found.values())
    assert {(row.schema, row.method) for row in found.values()} == {(SCHEMA, METHOD)}
    return found


def test_names_notes_and_prices_size_nothing_again(sized, before):
    Part.objects.update(name="Another part")
    PartPrice.objects.update(price=99)
    for fitment in Fitment.objects.all():
        fitment.note, fitment.origin_note = "Mind the left bracket.", "asked again"
        fitment.kit.name = "Another kit"
        fitment.save()
        fitment.kit.save()
    stamp = touch_catalogue()
    assert SizedFitment.objects.filter(queries.out_of_date(ON)).count() == 3
    assert again(sized, later=1) == []
    for car, row in stored().items():
        assert row.record["duties"] == before[car].record["duties"], car
        assert row.content_key == before[car].content_key
        assert (row.catalogue_stamp, row.sized_at) == (stamp, NOW + timedelta(hours=1))
        assert (row.holds_from, row.holds_until) == (before[car].holds_from, before[car].holds_until)


def test_a_length_sizes_the_fitment_that_uses_it(sized, before):
    length = (
        Fitment.objects.get(variant__code="TR12R").route_lengths.filter(route__code__startswith="SUC").first()
    )
    length.length_mm += 500
    length.save()
    touch_catalogue()
    assert again(sized) == ["TR12R"]
    after = stored()
    assert after["TR12R"].record["duties"] != before["TR12R"].record["duties"]
    assert after["CP12L"].record == before["CP12L"].record


def test_a_name_that_the_answer_tells_is_never_an_old_one(sized, before):
    point = DutyPoint.objects.get(code=before["CP12L"].worst_duty_point)
    old, point.name = point.name, "Noon in the pass"
    point.save()
    touch_catalogue()
    assert again(sized) == ["CP12L", "TR12R"], "the heater has winter points of its own"
    for car in ("CP12L", "TR12R"):
        told = str(stored()[car].record)
        assert point.name in told
        assert old not in told


def test_what_is_wrong_with_the_kit_is_told_as_of_today_without_sizing(sized, before):
    Fitment.objects.get(variant__code="CP12L").charges.all().delete()
    touch_catalogue()
    assert again(sized) == []
    after = stored()
    assert after["CP12L"].blocking_count > before["CP12L"].blocking_count
    assert after["TR12R"].blocking_count == before["TR12R"].blocking_count


@pytest.mark.parametrize("what", ["schema", "method"])
def test_an_answer_of_another_program_is_out_of_date_and_sized_again(sized, before, what):
    car = SizedFitment.objects.filter(fitment__variant__code="CP12L")
    car.update(**{what: 0})
    one = car.get()
    assert queries.is_out_of_date(one, ON, one.catalogue_stamp)
    assert [row.pk for row in SizedFitment.objects.filter(queries.out_of_date(ON))] == [one.pk]
    assert queries.out_of_date_count(ON) == Fitment.objects.count() - 2
    assert queries.kits_to_renew(ON) == ["S4-DASH"]
    assert again(sized) == ["CP12L"]
    assert queries.kits_to_renew(ON) == []


def test_an_answer_that_cannot_be_read_is_sized_again(sized, before):
    row = SizedFitment.objects.get(fitment__variant__code="CP12L")
    SizedFitment.objects.filter(pk=row.pk).update(record={**row.record, "verdict": 7})
    touch_catalogue()
    assert again(sized) == ["CP12L"]


def test_another_day_is_no_other_case(sized, before):
    sized.clear()
    store_answers(worked_out(date(2026, 11, 26), KEYS), NOW)
    assert sized == []
    assert CatalogueStamp.objects.get().value == min(row.catalogue_stamp for row in stored().values())
