"""The page that judges readings: a form whose address carries them."""

import re

import pytest

from kits.fitment.models import Fitment
from tests.kits.fitment.pages import text

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]

PAGE = "/fitments/S4-DASH/S4/CP12L/readings/"
# common practice, no source: the middle of a healthy car's bands at 35 °C and 30 %
HEALTHY = {
    "ambient_c": "35", "humidity_pct": "30", "air": "recirculated", "blower": "highest", "doors": "open",
    "engine_rpm": "1500", "minutes": "12", "low_bar_g": "2.2", "high_bar_g": "17", "vent_c": "9",
}  # fmt: skip


def test_every_role_finds_an_empty_form_with_the_cautions(clients):
    for role in ("manager", "production", "installer", "owner"):
        page = clients[role].get(PAGE)
        assert page.status_code == 200
        assert "Judge the readings" in text(page)
        assert "licence" in text(page)
        assert "Nothing was judged" not in text(page)


def test_healthy_readings_are_shown_beside_their_bands(installer_client):
    page = text(installer_client.get(PAGE, HEALTHY))
    assert "Healthy, as far as it was read" in page
    assert "High side 17.0 bar g 15.0 to 19.0 bar g in its band" in page


def test_a_fault_comes_with_what_to_check_next(installer_client):
    page = text(installer_client.get(PAGE, {**HEALTHY, "high_bar_g": "24", "subcooling_k": "17"}))
    assert "Overcharged, or air in it Pressure at rest against the air's temperature" in page


def test_the_form_keeps_what_the_address_says(installer_client):
    page = installer_client.get(PAGE, HEALTHY).content.decode()
    assert re.search(r'name="high_bar_g"[^>]*value="17"|value="17"[^>]*name="high_bar_g"', page)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"ambient_c": "hot"}, "This is no number"),
        ({"ambient_c": "nan"}, "This is no number"),
        ({"ambient_c": "-300"}, "Below -30 °C can’t be right"),
        ({"humidity_pct": "200"}, "Above 100 % can’t be right"),
        ({"engine_rpm": "0"}, "Below 200 rpm can’t be right"),
        ({"engine_rpm": ""}, "Type a number in rpm"),
        ({"vent_c": "inf"}, "This is no number"),
        ({"low_bar_g": "18"}, "The high side must be above the low side"),
        ({"air": "<script>"}, "Choose one of the list"),
    ],
)
def test_nonsense_is_refused_at_its_field_and_kept(installer_client, changes, sentence):
    page = installer_client.get(PAGE, {**HEALTHY, **changes})
    assert page.status_code == 422
    assert sentence in text(page)
    assert "Healthy, as far" not in text(page)
    assert "<script>" not in page.content.decode().split("<form", 1)[1].split("</form>")[0]


def test_a_state_outside_the_table_is_said_so(installer_client):
    page = installer_client.get(PAGE, {**HEALTHY, "doors": "closed", "ambient_c": "12"})
    assert page.status_code == 200
    assert "can’t be judged" in text(page)
    assert "The doors must be open" in text(page)
    assert "20 to 40 °C" in text(page)


def test_a_car_without_an_engine_is_not_asked_for_its_speed(installer_client):
    power = Fitment.objects.get(variant__code="CP12L").variant.powertrain
    power.drive = "electric"
    power.save()
    without = {name: value for name, value in HEALTHY.items() if name != "engine_rpm"}
    page = installer_client.get(PAGE, without)
    assert page.status_code == 200
    assert "none are held for an electric one" in text(page)


def test_no_fitment_no_page(installer_client):
    assert installer_client.get("/fitments/S4-DASH/S4/NONE/readings/").status_code == 404
