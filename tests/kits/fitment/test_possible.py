"""Form, action and importer take and refuse the same numbers: all of them read the table of ranges.

The survey writes through the importer's rules.
"""

import pytest
from django.core.exceptions import ValidationError

from kits.exchange.bridge import rules_of
from kits.fitment.actions import record_air_trial, record_charge, record_route_length
from kits.fitment.air.forms import AirTrialForm
from kits.fitment.forms import ChargeForm, RouteLengthForm
from kits.fitment.models import Fitment
from kits.fitment.plateau.forms import StepForm
from tests.kits.fitment.conftest import ON
from tests.kits.fitment.test_actions_refused import CHARGE, LENGTH, TRIAL, recorded
from vehicles.physics.ranges import possible

RECORDED = [
    ("Lengths", "RouteLength", "length_mm", RouteLengthForm, record_route_length, LENGTH),
    ("Lengths", "RouteLength", "spread_mm", RouteLengthForm, record_route_length, LENGTH),
    ("Lengths", "RouteLength", "cars_count", RouteLengthForm, record_route_length, LENGTH),
    ("Charges", "ChargeRecord", "charge_g", ChargeForm, record_charge, CHARGE),
    ("Charges", "ChargeRecord", "tolerance_g", ChargeForm, record_charge, CHARGE),
    ("Air trials", "AirTrial", "airflow_m3_h", AirTrialForm, record_air_trial, TRIAL),
    ("Air trials", "AirTrial", "blower_static_pa", AirTrialForm, record_air_trial, TRIAL),
    ("Air trials", "AirTrial", "motor_voltage_v", AirTrialForm, record_air_trial, TRIAL),
    ("Air trials", "AirTrial", "air_c", AirTrialForm, record_air_trial, TRIAL),
]
PLATEAU = ("charge_g", "engine_rpm", "ambient_c", "subcooling_k", "high_side_bar_g", "vent_c")


def ends(model, field):
    """Each end of the range with a number just beyond it, a whole one for a count."""
    least, most = possible(model, field)
    if field.endswith("_count"):
        return (int(least), int(least) - 1), (int(most), int(most) + 1)
    return (least, least - 1e-5), (most, most + 1e-5)


def importer_refuses(sheet, field, value):
    return any(rule.broken_by({field: value}) for rule in rules_of(sheet) if rule.fields == (field,))


def form_refuses(form, field, value, **options):
    return field in form({field: f"{value}"}, **options).errors


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("sheet", "model", "field", "form", "record", "values"), RECORDED, ids=[f"{m}.{f}" for _, m, f, *_ in RECORDED]
)  # fmt: skip
def test_form_action_and_importer_agree_at_both_ends(sheet, model, field, form, record, values):
    for last, beyond in ends(model, field):
        # what is possible gets as far as the fitment, and there is none
        with pytest.raises(Fitment.DoesNotExist):
            recorded("manager", record, {**values, field: last})
        with pytest.raises(ValidationError, match="must be from"):
            recorded("manager", record, {**values, field: beyond})
        for value, is_refused in ((last, False), (beyond, True)):
            assert form_refuses(form, field, value) == is_refused, value
            assert importer_refuses(sheet, field, value) == is_refused, value


@pytest.mark.parametrize("field", PLATEAU)
def test_the_form_of_a_filling_and_the_importer_agree_at_both_ends(field):
    for last, beyond in ends("PlateauStep", field):
        for value, is_refused in ((last, False), (beyond, True)):
            assert form_refuses(StepForm, field, value, today=ON) == is_refused, value
            assert importer_refuses("Plateau steps", field, value) == is_refused, value
