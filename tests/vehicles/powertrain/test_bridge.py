"""Temperatures on the engine's side: of several rows for one place the best origin wins, each place by itself."""

from datetime import date

import pytest
from django.db import transaction

from tests.vehicles.rows import make_line
from vehicles.powertrain.bridge import engine_temperatures
from vehicles.powertrain.models import EngineTemperature, Powertrain

pytestmark = pytest.mark.django_db

MAY, JUNE = date(2025, 5, 3), date(2025, 6, 11)

# (origin, date, °C) of rows for one place in the order in which they were recorded, and the one that holds
ONE_PLACE = {
    "one row alone": ([("estimate", None, 61.0)], 61.0),
    "measured beats an estimate": ([("measured", None, 72.0), ("estimate", None, 60.0)], 72.0),
    "also one recorded later and dated later": ([("measured", MAY, 72.0), ("estimate", JUNE, 60.0)], 72.0),
    "data sheet beats calculated": ([("calculated", JUNE, 70.0), ("data sheet", MAY, 66.0)], 66.0),
    "calculated beats an estimate": ([("calculated", None, 64.0), ("estimate", JUNE, 60.0)], 64.0),
    "an estimate beats a default": ([("estimate", None, 58.0), ("default", JUNE, 80.0)], 58.0),
    "of two measured the later day": ([("measured", JUNE, 75.0), ("measured", MAY, 72.0)], 75.0),
    "a day beats no day": ([("measured", MAY, 72.0), ("measured", None, 79.0)], 72.0),
    "of one day the last recorded": ([("measured", MAY, 72.0), ("measured", MAY, 73.5)], 73.5),
    "of no day the last recorded": ([("estimate", None, 60.0), ("estimate", None, 55.0)], 55.0),
    "weighed is as strong as measured": ([("measured", MAY, 72.0), ("weighed", JUNE, 74.0)], 74.0),
    "nought and below are temperatures": ([("estimate", None, 20.0), ("measured", None, 0.0)], 0.0),
    "the same row again changes nothing": ([("measured", MAY, 72.0), ("measured", MAY, 72.0)], 72.0),
}


def make_engine(line, code: str, **values: object) -> Powertrain:
    return Powertrain.objects.create(line=line, code=code, name=code, **values)


def record(engine: Powertrain, state: str, boundary: str, kind: str, on: date | None, value_c: float) -> None:
    EngineTemperature.objects.create(
        powertrain=engine, engine_state=state, boundary=boundary, temperature_c=value_c, origin_kind=kind,
        origin_on=on,
    )  # fmt: skip


@pytest.fixture(scope="module")
def engines(django_db_setup, django_db_blocker) -> dict[str, Powertrain]:
    """Engines with their temperatures, made and fetched once for all tests of this file; nothing stays stored."""
    with django_db_blocker.unblock(), transaction.atomic():
        line = make_line()
        for number, (recorded, _) in enumerate(ONE_PLACE.values()):
            engine = make_engine(line, f"one-{number}")
            for kind, on, value_c in recorded:
                record(engine, "cruise", "bulkhead", kind, on, value_c)
        make_engine(line, "none", drive="electric")
        several = make_engine(line, "several")
        record(several, "idle", "bulkhead", "estimate", None, 78.0)
        record(several, "cruise", "bulkhead", "measured", MAY, 55.0)
        record(several, "idle", "tunnel", "estimate", None, 81.0)
        record(several, "idle", "bulkhead", "measured", JUNE, 74.0)
        found = {engine.code: engine for engine in Powertrain.objects.prefetch_related("engine_temperatures")}
        transaction.set_rollback(True)
    return found


@pytest.mark.parametrize("number", range(len(ONE_PLACE)), ids=list(ONE_PLACE))
def test_of_several_rows_for_one_place_the_best_holds(engines, number):
    _, expected = list(ONE_PLACE.values())[number]
    assert engine_temperatures(engines[f"one-{number}"]).by_state == {"cruise": {"bulkhead": expected}}


def test_each_state_and_each_place_has_its_own_winner(engines):
    assert engine_temperatures(engines["several"]).by_state == {
        "idle": {"bulkhead": 74.0, "tunnel": 81.0},
        "cruise": {"bulkhead": 55.0},
    }


def test_without_a_row_nothing_is_known_but_the_drive(engines):
    found = engine_temperatures(engines["none"])
    assert (found.drive, found.by_state, found.outside_c) == ("electric", {}, None)
    assert engine_temperatures(engines["several"]).drive == "combustion"


def test_rows_that_were_fetched_are_not_asked_for_again(engines, django_assert_num_queries):
    with django_assert_num_queries(0):
        engine_temperatures(engines["several"])
