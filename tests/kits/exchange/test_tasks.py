"""Applying tells how far it is: what is read and put together first holds no lock, and the writing is one step."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kits.exchange.tasks import APPLY
from kits.exchange.writer import write_workbook
from kits.models import CatalogueStamp, Part, PartRevision, RowChange
from kits.work.kind import Asked
from tests.kits.exchange.books import check, load
from tests.kits.exchange.rows import LINE, made_rows, sheets
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db


def workbook(count, version):
    """A workbook with so many more parts, each with a revision."""
    rows = made_rows()
    part, revision = (next(iter(rows[name].values())) for name in ("Parts", "Revisions"))
    for n in range(count):
        number = f"P-{n:04}"
        rows["Parts"][number.casefold(),] = {**part, "number": number, "name": f"part {n} {version}"}
        rows["Revisions"][number.casefold(), "a"] = {
            **revision, "part_number": number, "revision": "A", "mass_g": 100.0 + n + version,
        }  # fmt: skip
    return write_workbook(LINE, sheets(), rows, complete=False)


def steps_of(plan):
    return APPLY.steps(Asked({"plan": plan.pk}, CONSOLE, plan.made_at))


def statements(queries, words):
    return [query["sql"] for query in queries if re.search(words, query["sql"])]


def test_reading_comes_before_the_one_step_that_writes():
    load(workbook(3, 0))
    steps = steps_of(check(workbook(3, 1)))
    with CaptureQueriesContext(
        connection,
    ) as before:
        first = next(steps)
        first.write()
    assert (first.done, first.of) == (1, 2)
    assert statements(before, 'FROM "kits_partrevision"')
    assert not statements(before, "^(INSERT|UPDATE|DELETE)")
    second = next(steps)
    assert (second.done, second.of) == (2, 2)
    with CaptureQueriesContext(connection) as during:
        second.write()
    assert {part.name for part in Part.objects.filter(number__startswith="P-")} == {
        f"part {n} 1" for n in range(3)
    }
    assert not statements(during, 'SELECT .* FROM "kits_port" ')
    with pytest.raises(StopIteration) as ended:
        next(steps)
    assert ended.value.value.sentence == "The import is done."


def test_what_changes_between_the_two_steps_overtakes_the_plan():
    load(workbook(1, 0))
    steps = steps_of(check(workbook(1, 1)))
    next(steps)
    CatalogueStamp.objects.update(value=CatalogueStamp.objects.get().value + 1)
    next(steps).write()
    with pytest.raises(StopIteration) as ended:
        next(steps)
    assert "changed since the workbook was checked" in ended.value.value.sentence
    assert Part.objects.get(number="P-0000").name == "part 0 0"


def test_the_statements_of_an_import_do_not_grow_with_its_rows():
    counts = []
    for count in (2, 300):
        load(workbook(count, 0))
        steps = steps_of(check(workbook(count, 1)))
        next(steps)
        step = next(steps)
        with CaptureQueriesContext(connection) as found:
            step.write()
        updates = statements(found, 'UPDATE "kits_part(revision)?"')
        counts.append(len(updates))
        assert not any("CASE" in sql for sql in updates)
    assert counts == [2, 2]
    assert PartRevision.objects.get(part__number="P-0299").mass_g == 400.0
    assert PartRevision.objects.get(part__number="P-0299").version == 2
    assert RowChange.objects.filter(sheet="Revisions", kind="change").count() == 2 + 302
