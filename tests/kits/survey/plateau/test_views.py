"""A step of a filling typed on the fitment's page: a row with its history."""

import pytest

from kits.exchange.models import RowChange
from kits.fitment import tasks
from kits.fitment.actions import WorkedOut
from kits.fitment.models import Fitment, PlateauStep
from tests.keys import a_key
from tests.kits.fitment.pages import text
from tests.kits.fitment.plateau.trials import filled

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]

PAGE = "/fitments/S4-DASH/S4/CP12L/plateau/"
STEP = {
    "trial": "A-1", "charge_g": "550", "engine_rpm": "1800", "ambient_c": "27", "subcooling_k": "6.1",
    "high_side_bar_g": "13.9", "vent_c": "7.0", "origin_instrument": "scale 5 g", "origin_source": "chassis 20418",
    "origin_on": "2026-05-01",
}  # fmt: skip


@pytest.fixture(autouse=True)
def unsized(monkeypatch):
    """Spare the sizing after a step; it has tests of its own."""
    monkeypatch.setattr(tasks, "worked_out", lambda on, keys: WorkedOut(0, ()))


def test_a_step_is_written_with_its_origin_and_stands_in_the_history(manager_client):
    assert manager_client.post(f"{PAGE}step/", STEP).status_code == 302
    (row,) = PlateauStep.objects.all()
    assert (row.fitment.variant.code, row.trial, row.charge_g, row.vent_c) == ("CP12L", "A-1", 550, 7)
    assert (row.origin_kind, row.origin_by, row.origin_source) == ("measured", "manager", "chassis 20418")
    change = RowChange.objects.get(sheet="Plateau steps")
    assert change.act.reason == "filling in steps, trial A-1: 550 g"
    assert "550" in text(manager_client.get(PAGE))


def test_the_next_step_begins_with_what_the_last_one_had(manager_client):
    manager_client.post(f"{PAGE}step/", STEP)
    page = manager_client.get(PAGE).content.decode()
    for value in ("A-1", "1800", "chassis 20418"):
        assert f'value="{value}"' in page


def test_a_step_of_the_same_grams_is_refused_and_what_was_typed_is_kept(manager_client):
    manager_client.post(f"{PAGE}step/", STEP)
    again = manager_client.post(f"{PAGE}step/", {**STEP, "vent_c": "8.5"})
    assert again.status_code == 422
    assert "Trial A-1 has a step at 550 g already" in text(again)
    assert 'value="8.5"' in again.content.decode()
    assert PlateauStep.objects.count() == 1


def test_a_form_that_is_sent_twice_writes_once(manager_client):
    sent = {**STEP, "idempotency_key": a_key("one")}
    assert [manager_client.post(f"{PAGE}step/", sent).status_code for _ in range(2)] == [302, 302]
    assert PlateauStep.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("charge_g", "0", "Below 20 g can’t be right"),
        ("charge_g", "nan", "This is no number"),
        ("engine_rpm", "", "Type a number in rpm"),
        ("subcooling_k", "300", "Above 40 K can’t be right"),
        ("vent_c", "cold", "This is no number"),
        ("trial", "<b>", "Begin with a letter or digit"),
        ("origin_on", "2999-01-01", "still to come"),
        ("origin_source", "", "Say on which car"),
    ],
)
def test_nonsense_is_refused_at_its_field(manager_client, field, value, sentence):
    answer = manager_client.post(f"{PAGE}step/", {**STEP, field: value})
    assert answer.status_code == 422
    assert sentence in text(answer)
    assert not PlateauStep.objects.exists()


def test_only_a_manager_writes_steps(installer_client):
    assert installer_client.post(f"{PAGE}step/", STEP).status_code == 403


def test_no_fitment_no_step(manager_client):
    filled(Fitment.objects.get(variant__code="CP12L"))
    assert manager_client.post("/fitments/S4-DASH/S4/NONE/plateau/step/", STEP).status_code == 404
