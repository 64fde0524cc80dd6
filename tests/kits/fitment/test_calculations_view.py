"""The page of calculations shows what is worked out of the answer, each figure with the docstring that explains it."""

from dataclasses import replace

import pytest
from django.db.models import F
from django.urls import reverse

from kits.bom.resolved import Finding
from kits.fitment.models import CatalogueStamp, Fitment
from kits.sizing.gas.gases import co2_equivalent_kg
from kits.topics.figure import Bar, Picture, Table, Topic, figure, given
from tests.kits.fitment.answers import store, tell

pytestmark = [pytest.mark.one_database, pytest.mark.django_db, pytest.mark.usefixtures("demonstration")]

CHARGE = given("Charge", "g", 750.0, "weighed", "charge")
TOPIC = Topic(
    "gas", "Gas", "It warms as <b>much</b> as a lot of carbon dioxide.",
    figures=(figure("Equivalent", "kg", 1072.5, co2_equivalent_kg, CHARGE),),
    tables=(Table("By gas", ("Gas", "GWP"), (("R-134a", "1,430"),)),),
    remarks=(Finding("gas-much", "warns", "charge", "That is much."),),
    cautions=("Never vent it.",),
    pictures=(Picture("by-gas", "Potential by gas", "R-134a 1,430.", "kg", bars=(Bar("R-134a", 1430.0, "1,430"),)),),
)  # fmt: skip


def page(client, fitment):
    where = [fitment.kit.code, fitment.variant.line.code, fitment.variant.code]
    return client.get(reverse("calculations", args=where))


def test_each_figure_shows_its_inputs_and_the_text_of_its_function(installer_client, monkeypatch):
    fitment = Fitment.objects.first()
    tell(monkeypatch, TOPIC)
    store(fitment)
    shown = page(installer_client, fitment).content.decode()
    for text in (
        "1,072.50 kg",
        "750 g",
        "weighed",
        "m·GWP",
        "definition; the potentials",
        "That is much.",
        "Never vent it.",
    ):
        assert text in shown, text
    assert "<b>much</b>" not in shown
    assert "Out of date" not in shown


def test_a_topic_shows_its_pictures_with_words_and_folds_all_but_the_answer(owner_client, monkeypatch):
    fitment = Fitment.objects.first()
    tell(monkeypatch, TOPIC)
    store(fitment)
    shown = page(owner_client, fitment).content.decode()
    assert "/pictures/gas/by-gas.svg?size=narrow&amp;theme=dark" in shown
    assert "R-134a 1,430." in shown and "Potential by gas" in shown
    folded = shown.index('<details class="more topic" data-open-at="gas">')
    assert shown.index("That is much.") < shown.index("Never vent it.") < folded < shown.index("by-gas.svg")


def test_a_picture_that_cannot_be_drawn_is_not_shown(owner_client, monkeypatch):
    broken = replace(TOPIC, pictures=(replace(TOPIC.pictures[0], bars=()),))
    fitment = Fitment.objects.first()
    tell(monkeypatch, broken)
    store(fitment)
    assert "by-gas.svg" not in page(owner_client, fitment).content.decode()


@pytest.mark.parametrize(("code", "is_shown"), [("outlook", True), ("gas", False)])
def test_the_sheet_shows_where_load_and_capacity_cross_and_no_other_picture(
    owner_client, monkeypatch, code, is_shown
):
    fitment = Fitment.objects.first()
    where = [fitment.kit.code, fitment.variant.line.code, fitment.variant.code]
    tell(monkeypatch, replace(TOPIC, code=code))
    store(fitment)
    shown = owner_client.get(reverse("fitment-sheet", args=where)).content.decode()
    assert (f"/pictures/{code}/by-gas.svg" in shown) is is_shown


def test_an_answer_that_is_behind_its_data_is_told(owner_client, monkeypatch):
    tell(monkeypatch, TOPIC)
    fitment = Fitment.objects.first()
    store(fitment, behind=1)
    assert "Out of date" in page(owner_client, fitment).content.decode()


def test_what_was_worked_out_is_kept_until_the_data_or_the_answer_change(owner_client, monkeypatch):
    times = []
    tell(monkeypatch, TOPIC, times)
    fitment = Fitment.objects.first()
    store(fitment)
    for _ in range(2):
        page(owner_client, fitment)
    assert len(times) == 1
    CatalogueStamp.objects.update(value=F("value") + 1)
    page(owner_client, fitment)
    assert len(times) == 2
    fitment.sized.delete()
    store(Fitment.objects.first())
    page(owner_client, fitment)
    assert len(times) == 3


def test_without_an_answer_the_page_says_what_to_do(manager_client):
    assert "size the fitment first" in page(manager_client, Fitment.objects.first()).content.decode()


def test_a_fitment_that_is_not_there_is_not_found(manager_client):
    assert manager_client.get(reverse("calculations", args=["K", "L", "V"])).status_code == 404
