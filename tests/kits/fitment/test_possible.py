"""The form of a filling and the importer take and refuse the same numbers: both read the table of ranges.

All other forms write through the importer's rules.
"""

import pytest

from kits.exchange.bridge import rules_of
from kits.fitment.plateau.forms import StepForm
from tests.kits.fitment.conftest import ON
from vehicles.physics.ranges import possible

PLATEAU = ("charge_g", "engine_rpm", "ambient_c", "subcooling_k", "high_side_bar_g", "vent_c")


def ends(model, field):
    """Each end of the range with a number just beyond it, a whole one for a count."""
    least, most = possible(model, field)
    return (least, least - 1e-5), (most, most + 1e-5)


def importer_refuses(sheet, field, value):
    return any(rule.broken_by({field: value}) for rule in rules_of(sheet) if rule.fields == (field,))


def form_refuses(form, field, value, **options):
    return field in form({field: f"{value}"}, **options).errors


@pytest.mark.parametrize("field", PLATEAU)
def test_the_form_of_a_filling_and_the_importer_agree_at_both_ends(field):
    for last, beyond in ends("PlateauStep", field):
        for value, is_refused in ((last, False), (beyond, True)):
            assert form_refuses(StepForm, field, value, today=ON) == is_refused, value
            assert importer_refuses("Plateau steps", field, value) == is_refused, value
