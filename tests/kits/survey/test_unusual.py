"""Many values at once: what is not usual among them is asked about beside its input, and nothing typed is lost."""

import re

import pytest

from kits.exchange.models import RowChange, UnusualValue
from kits.fitment.models import PlateauStep
from tests.kits.fitment.pages import text
from tests.kits.survey.pages import fields_of, input_of
from tests.kits.survey.test_views import CAR, COMMON, area_input, car
from vehicles.powertrain.models import ChargingPoint

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]
SURFACES = f"{CAR}survey/surfaces/"


def sent_again(page):
    """The form as it came back, without what was not ticked."""
    return {name: value for name, value in fields_of(page).items() if name != "meant"}


def boxes(page):
    """Tokens of the boxes that say of a value that it is as meant."""
    return re.findall(r'name="meant" value="(\w+)"', page.content.decode())


def test_an_unusual_area_is_asked_about_and_written_when_it_is_meant(manager_client, manager):
    page = manager_client.get(SURFACES)
    first, second = car().cabin.surfaces.filter(terms__isnull=True)[:2]
    typed = {area_input(page, first): "2.5", area_input(page, second): "14"}
    asked = manager_client.post(SURFACES, {**fields_of(page), **COMMON, **typed})
    assert asked.status_code == 422
    words = f"Area of {second.cabin.code} / {second.code} is 14 m²; usual are 0.005 to 12 m²."
    assert words in text(asked)
    again = sent_again(asked)
    assert {name: again[name] for name in typed} == typed
    assert again["origin_by"] == "A. Surveyor"
    assert not RowChange.objects.filter(sheet="Surfaces").exclude(act__reason__startswith="workbook").exists()
    (token,) = boxes(asked)
    assert manager_client.post(SURFACES, again).status_code == 422
    assert manager_client.post(SURFACES, again | {"meant": [token]}).status_code == 302
    first.refresh_from_db(), second.refresh_from_db()
    assert (first.area_m2, second.area_m2) == (2.5, 14)
    kept = UnusualValue.objects.get()
    assert (kept.act.person, kept.sheet, kept.value) == (manager, "Surfaces", "14.0")


def test_it_is_asked_once(manager_client):
    page = manager_client.get(SURFACES)
    name = area_input(page, car().cabin.surfaces.filter(terms__isnull=True)[0])
    asked = manager_client.post(SURFACES, {**fields_of(page), **COMMON, name: "14"})
    manager_client.post(SURFACES, sent_again(asked) | {"meant": boxes(asked)})
    for value in ("3", "14"):
        sent = {**fields_of(manager_client.get(SURFACES)), **COMMON, name: value}
        assert manager_client.post(SURFACES, sent).status_code == 302


def test_a_place_of_ones_own_is_asked_about_at_each_of_its_inputs(manager_client):
    there = f"{CAR}survey/charging/"
    page = manager_client.get(there)
    speed, current = input_of(page, "Engine, further 1"), input_of(page, "Current, further 1")
    asked = manager_client.post(there, {**fields_of(page), **COMMON, speed: "9000", current: "300"})
    assert asked.status_code == 422
    assert len(boxes(asked)) == 2
    assert manager_client.post(there, sent_again(asked) | {"meant": boxes(asked)}).status_code == 302
    assert ChargingPoint.objects.filter(engine_rpm=9000, current_a=300).exists()


def test_what_is_not_possible_at_all_is_told_at_its_own_input(manager_client):
    there = f"{CAR}survey/charging/"
    page = manager_client.get(there)
    speed, current = input_of(page, "Engine, further 1"), input_of(page, "Current, further 1")
    answer = manager_client.post(there, {**fields_of(page), **COMMON, speed: "20000", current: "30"})
    assert f'href="#id_{speed}"' in answer.content.decode()
    assert f'href="#id_{current}"' not in answer.content.decode()


def test_a_length_is_asked_about_with_the_likely_unit_and_not_once_more(manager_client):
    there = f"{CAR}survey/routes/S4-DASH/"
    page = manager_client.get(there)
    name = re.search(r'name="(length_mm-\w+)"', page.content.decode())[1]
    sent = {**fields_of(page), **COMMON, name: "45"}
    asked = manager_client.post(there, sent)
    assert asked.status_code == 422
    assert "is 45 mm; usual are 60 to 12,000 mm. Were these cm?" in text(asked)
    assert manager_client.post(there, sent_again(asked) | {"meant": boxes(asked)}).status_code == 302
    other = {**fields_of(manager_client.get(there)), **COMMON, name: "45", "origin_source": "chassis 20500"}
    assert manager_client.post(there, other).status_code == 302


def test_a_step_of_a_filling_is_asked_about(manager_client):
    there = "/fitments/S4-DASH/S4/CP12L/plateau/"
    step = {
        "trial": "A-1", "charge_g": "600", "engine_rpm": "5000", "ambient_c": "25", "subcooling_k": "4",
        "high_side_bar_g": "12", "vent_c": "9", "origin_instrument": "scale 5 g", "origin_source": "chassis 20418",
        "origin_on": "2026-05-01",
    }  # fmt: skip
    asked = manager_client.post(f"{there}step/", step)
    assert asked.status_code == 422
    assert "is 5,000 rpm; usual are 600 to 3,500 rpm." in text(asked)
    assert not PlateauStep.objects.filter(trial="A-1").exists()
    assert manager_client.post(f"{there}step/", step | {"meant": boxes(asked)}).status_code == 302
    assert PlateauStep.objects.get(trial="A-1").engine_rpm == 5000
