"""The page of a fitment's air side: the prediction beside trials, a trial recorded, vent readings turned back."""

import pytest
from django.urls import reverse

from kits.editing.actions import record
from kits.editing.changes import RowEdit
from kits.fitment import tasks
from kits.fitment.actions import WorkedOut
from kits.fitment.air.queries import air_side
from kits.fitment.models import Fitment
from tests.kits.fitment.conftest import ON
from tests.kits.fitment.pages import text

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]

TRIAL = {"airflow_m3_h": 340.0, "blower_static_pa": 285.0, "motor_voltage_v": 13.4, "air_c": 22.0}


@pytest.fixture
def fitment() -> Fitment:
    return Fitment.objects.get(variant__code="CP12L")


@pytest.fixture
def unsized(monkeypatch) -> None:
    """Spare the sizing after a trial; the bridge's tests look at what it makes of one."""
    monkeypatch.setattr(tasks, "worked_out", lambda on, keys: WorkedOut(0, ()))


def key(fitment) -> list[str]:
    return [fitment.kit.code, fitment.variant.line.code, fitment.variant.code]


def address(fitment, name="fitment-air") -> str:
    return reverse(name, args=key(fitment))


def side_of(fitment):
    return air_side(*key(fitment), ON)


def readings(side, at_step=None, **changes) -> dict[str, str]:
    """What an anemometer would read if the prediction were right."""
    at = next(one for one in side.steps if one.step == at_step) if at_step else side.full
    speeds = zip(at.clean.outlet_codes, at.clean.outlet_velocity_m_s, strict=True)
    return {
        "step": str(at.step),
        "mean_share": "1",
        **{f"vent_{code}": f"{v!r}" for code, v in speeds},
        **changes,
    }


@pytest.mark.parametrize("role", ["installer", "production", "owner", "manager"])
def test_every_role_reads_the_prediction_and_only_a_manager_sees_the_link_to_the_form(request, role, fitment):
    page = text(request.getfixturevalue(f"{role}_client").get(address(fitment)))
    flow = side_of(fitment).full.clean
    assert f"the blower moves {flow.total_m3_h:.0f} m³/h against {flow.blower_static_pa:.0f} Pa" in page
    assert "predicted, no trial calibrates it yet" in page
    assert ("Record a trial" in page) == (role == "manager")


def test_a_recorded_trial_counts_and_calibrates(manager, manager_client, unsized, fitment):
    before = side_of(fitment).full.clean.total_m3_h
    row = {
        "kit": "S4-DASH",
        "variant": "CP12L",
        "origin_kind": "measured",
        "origin_source": "chassis 20418",
        "origin_on": ON,
        **TRIAL,
    }
    edits = [RowEdit("add", "Air trials", values=row)]
    assert record(actor=manager, fitment=tuple(key(fitment)), edits=edits, reason="x", on=ON).count == 1
    page = text(manager_client.get(address(fitment)))
    assert "calibrated by the trial that counts" in page
    assert "counts 13.4 22.0 340" in page
    side = side_of(fitment)
    assert side.full.clean.calibrated
    assert side.full.clean.total_m3_h != pytest.approx(before, rel=1e-3)
    # what the parts alone give for the trial does not move with the trial
    (trial,) = side.trials
    assert trial.predicted_m3_h == pytest.approx(before * 13.4 / 13.5, rel=0.01)
    assert trial.apart_share == pytest.approx(340 / trial.predicted_m3_h - 1)


def test_vent_readings_as_predicted_give_back_the_predicted_flow(owner_client, fitment):
    side = side_of(fitment)
    for one in side.steps:
        page = text(owner_client.get(address(fitment), readings(side, one.step)))
        flow = f"{one.clean.total_m3_h:.0f} m³/h"
        assert f"Together {flow} read, {flow} predicted at that step: +0 %" in page


def test_a_flow_from_vent_readings_is_offered_to_the_trial(manager_client, fitment):
    side = side_of(fitment)
    page = manager_client.get(address(fitment), readings(side, mean_share="0.8")).content.decode()
    offered = f"{0.8 * side.full.clean.total_m3_h:.0f}"
    assert f"airflow_m3_h={offered}&amp;" in page


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"vent_1": ""}, "Type a number in m/s."),
        ({"vent_1": "fast"}, "no number; type one in m/s"),
        ({"vent_2": "-1"}, "Below 0 m/s can’t be right"),
        ({"vent_2": "500"}, "Above 40 m/s can’t be right"),
        ({"mean_share": "0"}, "A mean below 0.3"),
        ({"step": "99"}, "Choose one of the steps"),
        ({f"vent_{n}": "0" for n in range(1, 5)}, "No vent gives any air"),
    ],
)
def test_readings_that_make_no_sense_are_refused_with_a_sentence(owner_client, fitment, changes, sentence):
    answer = owner_client.get(address(fitment), readings(side_of(fitment), **changes))
    assert answer.status_code == 422
    page = text(answer)
    assert sentence in page
    assert "Together" not in page


def test_a_fitment_that_lacks_the_voltage_names_it_and_predicts_nothing(owner_client, fitment):
    Fitment.objects.filter(pk=fitment.pk).update(blower_voltage_v=None)
    page = text(owner_client.get(address(fitment), {"vent_1": "8"}))
    assert "The voltage at the blower's plug is not recorded." in page
    assert "the blower moves" not in page


def test_there_is_no_page_of_a_fitment_that_is_not_there(owner_client):
    assert owner_client.get("/fitments/S4-DASH/S4/NONE/air/").status_code == 404
