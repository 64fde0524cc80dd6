"""A length, a charge and a trial that are possible and not usual are asked about, and kept with who said so."""

import re

import pytest

from kits.exchange.models import UnusualValue
from kits.fitment.models import AirTrial, ChargeRecord, Fitment, RouteLength
from tests.kits.fitment.pages import text

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]
THERE = "/fitments/S4-DASH/S4/CP12L/"
ORIGIN = {"origin_kind": "measured", "origin_source": "chassis 20418"}
CASES = {
    "lengths": (
        "lengths/{route}/",
        RouteLength,
        {**ORIGIN, "length_mm": "45", "cars_count": "1"},
        ("Lengths", "length_mm", "45.0"),
        "is 45 mm; usual are 60 to 12,000 mm. Were these cm?",
    ),
    "charge": (
        "charge/",
        ChargeRecord,
        {**ORIGIN, "origin_kind": "weighed", "charge_g": "4500", "tolerance_g": "25"},
        ("Charges", "charge_g", "4500.0"),
        "is 4,500 g; usual are 200 to 4,000 g.",
    ),
    "air trial": (
        "air/trial/",
        AirTrial,
        {**ORIGIN, "airflow_m3_h": "300", "blower_static_pa": "250", "motor_voltage_v": "13", "air_c": "55"},
        ("Air trials", "air_c", "55.0"),
        "is 55 °C; usual are 0 to 50 °C.",
    ),
}


def posted(client, address, typed):
    version = Fitment.objects.get(kit__code="S4-DASH", variant__code="CP12L").version
    return client.post(address, typed | {"version": f"{version}"})


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_it_is_asked_once_and_kept_when_it_is_meant(manager_client, manager, case):
    path, model, typed, kept, words = case
    route = RouteLength.objects.filter(fitment__variant__code="CP12L", fitment__kit__code="S4-DASH").first()
    address = THERE + path.format(route=route.route.code)
    count = model.objects.count()
    asked = posted(manager_client, address, typed)
    assert asked.status_code == 422
    assert words in text(asked)
    assert (model.objects.count(), UnusualValue.objects.count()) == (count, 0)
    tokens = re.findall(r'name="meant" value="(\w+)"', asked.content.decode())
    assert len(tokens) == 1
    assert posted(manager_client, address, typed | {"meant": tokens}).status_code == 302
    assert model.objects.count() == count + 1
    found = UnusualValue.objects.get()
    assert (found.sheet, found.field, found.value) == kept
    assert found.act.person == manager
    assert posted(manager_client, address, typed | {"origin_source": "chassis 20500"}).status_code == 302


def test_what_is_refused_keeps_no_answer(manager_client):
    typed = CASES["charge"][2]
    asked = posted(manager_client, f"{THERE}charge/", typed)
    tokens = re.findall(r'name="meant" value="(\w+)"', asked.content.decode())
    stale = manager_client.post(f"{THERE}charge/", typed | {"meant": tokens, "version": "0"})
    assert stale.status_code == 409
    assert not UnusualValue.objects.exists()
