"""What the rules that rows share let through, just inside and just outside."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from vehicles.catalogue.models import Variant
from vehicles.records.models import dates_in_order

FIRST, NEXT = date(2026, 2, 28), date(2026, 3, 1)


def told(start: date | None, end: date | None) -> None:
    """Ask the rule about a row with these dates; the database compares, nothing is stored."""
    rule = dates_in_order("in_order", "built_from", "built_until")
    rule.validate(Variant, Variant(built_from=start, built_until=end))


@pytest.mark.django_db
@pytest.mark.parametrize(("start", "end"), [(FIRST, NEXT), (FIRST, None), (None, FIRST), (None, None)])
def test_a_row_is_in_force_for_a_day_at_least_or_has_no_end(start, end):
    told(start, end)


@pytest.mark.django_db
@pytest.mark.parametrize("start", [FIRST, NEXT], ids=["until the same day", "until the day before"])
def test_a_row_that_would_be_in_force_on_no_day_is_refused(start):
    with pytest.raises(ValidationError):
        told(start, FIRST)
