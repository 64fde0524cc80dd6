"""What the actions of a fitment refuse before they read anything: these tests meet no database."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from kits.fitment.actions import ask_to_size, record_air_trial, record_charge, record_route_length, size_all
from tests.conftest import unsaved
from tests.kits.fitment.conftest import ON

NAN, ENDLESS = float("nan"), float("inf")
ORIGIN = {"origin_kind": "measured", "origin_source": "bench car", "on": ON}
NOW = timezone.now()

LENGTH = {
    "route_code": "R1",
    "length_mm": 1500.0,
    "cars_count": 2,
    "spread_mm": 12.0,
    "instrument": "dummy hose",
}
CHARGE = {"charge_g": 640.0, "tolerance_g": 25.0}
TRIAL = {"airflow_m3_h": 340.0, "blower_static_pa": 285.0, "motor_voltage_v": 13.4, "air_c": 22.0}
RECORDS = ((record_route_length, LENGTH), (record_charge, CHARGE), (record_air_trial, TRIAL))


def recorded(role, record, values):
    return record(actor=unsaved(role), fitment_id=1, expected_version=1, **ORIGIN, **values)


@pytest.mark.parametrize("role", ["production", "installer", "owner", "stranger"])
@pytest.mark.parametrize(("record", "values"), RECORDS, ids=lambda it: getattr(it, "__name__", ""))
def test_only_a_manager_records(role, record, values):
    with pytest.raises(PermissionDenied, match="Only a manager"):
        recorded(role, record, values)


@pytest.mark.parametrize("role", ["production", "installer", "owner", "stranger"])
def test_only_a_manager_sizes(role):
    for size, which in ((size_all, {"now": NOW}), (ask_to_size, {"fitment": ("K", "L", "V")})):
        with pytest.raises(PermissionDenied, match="Only a manager"):
            size(actor=unsaved(role), on=ON, **which)


@pytest.mark.parametrize(
    ("record", "values", "changes", "sentence"),
    [
        *(
            (record_route_length, LENGTH, {"length_mm": mm}, "from 1 to 30,000 mm")
            for mm in (0.0, -3.0, NAN, ENDLESS, 3e4 + 1)
        ),
        *((record_route_length, LENGTH, {"spread_mm": mm}, "from 0 to 2,000 mm") for mm in (-1.0, NAN, 2001.0)),
        *((record_route_length, LENGTH, {"cars_count": cars}, "from 1 to 1,000; it is") for cars in (0, 1001)),
        *((record_charge, CHARGE, {"charge_g": g}, "from 1 to 20,000 g") for g in (0.0, -1.0, NAN, ENDLESS, 2e4 + 1)),
        *((record_charge, CHARGE, {"tolerance_g": g}, "from 0 to 1,000 g") for g in (-1.0, NAN, 1001.0)),
        *(
            (record_air_trial, TRIAL, {"airflow_m3_h": flow}, "from 1 to 10,000 m³/h")
            for flow in (0.0, -1.0, NAN, 10001.0)
        ),
        (record_air_trial, TRIAL, {"blower_static_pa": -5.0}, "from 0.1 to 5,000 Pa"),
        (record_air_trial, TRIAL, {"motor_voltage_v": 400.0}, "from 0.5 to 60 V"),
        *((record_air_trial, TRIAL, {"air_c": c}, "from -40 to 70") for c in (-41.0, 71.0, NAN)),
    ],
)  # fmt: skip
def test_a_number_that_cannot_be_is_refused(record, values, changes, sentence):
    with pytest.raises(ValidationError, match=sentence):
        recorded("manager", record, values | changes)
