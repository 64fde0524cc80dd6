"""Expected readings of a fitment, as the paper of a job has them."""

from dataclasses import replace

import pytest

from kits.sizing.topics.readings import readings
from tests.kits.sizing.topics.contexts import contexts

pytestmark = pytest.mark.django_db


def test_the_grid_has_bands_where_they_are_known_and_says_where_not(world):
    topic = readings(next(c for c in contexts(world) if c.kit.settings["refrigerant"] == "R-134a"))
    rows = {(row[0], row[1]): row[2:] for row in topic.tables[0].rows}
    assert len(rows) == 15
    assert rows["20", "50"] == ("1.4 to 2.3", "9.0 to 11.0", "3.0 to 6.0")
    assert rows["20", "30"] == ("not known",) * 3
    assert rows["40", "70"] == ("not known",) * 3


def test_another_refrigerant_has_no_bands_and_that_is_said(world):
    context = next(iter(contexts(world)))
    kit = replace(context.kit, settings={**context.kit.settings, "refrigerant": "R-1234yf"})
    topic = readings(replace(context, kit=kit))
    assert topic.tables == ()
    assert [r.code for r in topic.remarks] == ["readings-other-gas"]
