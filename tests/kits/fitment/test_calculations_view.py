"""The page of calculations shows what was stored with the answer, each figure with the docstring that explains it."""

from dataclasses import replace

import pytest
from django.urls import reverse

from kits.bom.resolved import Finding
from kits.fitment.models import Fitment
from kits.sizing.gas.gases import co2_equivalent_kg
from kits.sizing.verdict.record import SizingRecord
from kits.topics.figure import Bar, Picture, Table, Topic, figure, given
from tests.kits.fitment.answers import RECORD, store

pytestmark = [pytest.mark.one_database, pytest.mark.django_db, pytest.mark.usefixtures("demonstration")]

CHARGE = given("Charge", "charge_g", 750.0, "weighed", "charge")
TOPIC = Topic(
    "gas", "Gas", "It warms as <b>much</b> as a lot of carbon dioxide.",
    (figure("Equivalent", "co2_kg", 1072.5, co2_equivalent_kg, CHARGE),),
    (Table("By gas", ("Gas", "GWP"), (("R-134a", "1,430"),)),),
    (Finding("gas-much", "warns", "charge", "That is much."),),
    ("Never vent it.",),
    (Picture("by-gas", "Potential by gas", "R-134a 1,430.", "kg", bars=(Bar("R-134a", 1430.0, "1,430"),)),),
)  # fmt: skip


def page(client, fitment):
    where = [fitment.kit.code, fitment.variant.line.code, fitment.variant.code]
    return client.get(reverse("calculations", args=where))


def test_a_topic_comes_back_from_json_as_it_was():
    record = replace(RECORD, topics=(TOPIC,))
    assert SizingRecord.from_json(record.as_json()).topics == (TOPIC,)


def test_an_answer_stored_before_there_were_topics_is_still_read():
    stored = RECORD.as_json()
    del stored["topics"]
    assert SizingRecord.from_json(stored).topics == ()


@pytest.mark.parametrize("who", ["installer", "manager"])
def test_a_column_of_costs_in_an_answer_of_former_times_is_shown_to_nobody(clients, who):
    fitment = Fitment.objects.first()
    priced = Table("Changes", ("change", "cost, GBP", "work, h"), (("film", "310", "2.0"),))
    store(fitment, replace(RECORD, topics=(replace(TOPIC, tables=(priced,)),)))
    shown = page(clients[who], fitment).content.decode()
    assert "<td>2.0</td>" in shown
    assert not {word for word in ("cost", "GBP", "310") if word in shown}


def test_each_figure_shows_its_inputs_and_the_text_of_its_function(installer_client):
    fitment = Fitment.objects.first()
    store(fitment, replace(RECORD, topics=(TOPIC,)))
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


def test_a_topic_shows_its_pictures_with_words_and_folds_all_but_the_answer(owner_client):
    fitment = Fitment.objects.first()
    store(fitment, replace(RECORD, topics=(TOPIC,)))
    shown = page(owner_client, fitment).content.decode()
    assert "/pictures/gas/by-gas.svg?size=narrow&amp;theme=dark" in shown
    assert "R-134a 1,430." in shown and "Potential by gas" in shown
    folded = shown.index('<details class="more topic" data-open-at="gas">')
    assert shown.index("That is much.") < shown.index("Never vent it.") < folded < shown.index("by-gas.svg")


def test_a_picture_that_cannot_be_drawn_is_not_shown(owner_client):
    broken = replace(TOPIC, pictures=(replace(TOPIC.pictures[0], bars=()),))
    fitment = Fitment.objects.first()
    store(fitment, replace(RECORD, topics=(broken,)))
    assert "by-gas.svg" not in page(owner_client, fitment).content.decode()


@pytest.mark.parametrize(("code", "is_shown"), [("outlook", True), ("gas", False)])
def test_the_sheet_shows_where_load_and_capacity_cross_and_no_other_picture(owner_client, code, is_shown):
    fitment = Fitment.objects.first()
    where = [fitment.kit.code, fitment.variant.line.code, fitment.variant.code]
    store(fitment, replace(RECORD, topics=(replace(TOPIC, code=code),)))
    shown = owner_client.get(reverse("fitment-sheet", args=where)).content.decode()
    assert (f"/pictures/{code}/by-gas.svg" in shown) is is_shown


def test_a_function_the_program_has_no_more_is_told(owner_client):
    gone = replace(TOPIC, figures=(replace(TOPIC.figures[0], function="kits.sizing.gas.gases:gone"),))
    fitment = Fitment.objects.first()
    store(fitment, replace(RECORD, topics=(gone,)), behind=1)
    shown = page(owner_client, fitment).content.decode()
    assert "no longer has the calculation" in shown and "Out of date" in shown


def test_without_an_answer_the_page_says_what_to_do(manager_client):
    assert "size the fitment first" in page(manager_client, Fitment.objects.first()).content.decode()


def test_a_fitment_that_is_not_there_is_not_found(manager_client):
    assert manager_client.get(reverse("calculations", args=["K", "L", "V"])).status_code == 404
