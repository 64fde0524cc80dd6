"""The page of a study answers what is asked, refuses nonsense beside its field, and keeps nothing."""

import re

import pytest

from kits.fitment.actions import touch_catalogue
from kits.fitment.models import Fitment, FitmentNote, RouteLength, SizedFitment
from kits.fitment.study import queries
from tests.kits.fitment.answers import store
from tests.kits.fitment.pages import text
from tests.kits.fitment.study.conftest import HTMX

pytestmark = pytest.mark.one_database

TOWN = {"duty": "town-35"}


def test_the_page_starts_from_the_duty_point_as_it_is_stored(owner_client, place):
    answer = owner_client.get(f"{place}study/", TOWN)
    page = text(answer)
    assert answer.status_code == 200
    assert "Nothing is changed yet" in page
    assert "Nothing is kept unless you keep it as a note" in page
    assert 'name="outside_c" value="35"' in answer.content.decode()
    assert "no stored answer at this point" in page


def test_a_change_is_answered_beside_the_stored_answer(owner_client, fitment, place):
    store(fitment)
    page = text(owner_client.get(f"{place}study/", {**TOWN, "outside_c": "42", "levers": "film"}))
    assert "Outside temperature: 35 °C → 42 °C" in page
    assert "Solar film" in page
    assert "As stored" in page
    assert "With the change" in page


def test_what_is_left_empty_stands_as_stored(owner_client, place):
    empty = dict.fromkeys(("outside_c", "humidity_pct", "engine_rpm", "occupants", "air_mode"), "")
    assert "Nothing is changed yet" in text(owner_client.get(f"{place}study/", {**TOWN, **empty}))


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("outside_c", "NaN", "Outside temperature must be a number of °C, such as 38."),
        ("outside_c", "-300", "The outside temperature must lie within −40 to 60 °C."),
        ("outside_c", "warm", "Outside temperature must be a number of °C, such as 38."),
        ("humidity_pct", "200", "The relative humidity must lie within 0 to 100 %."),
        ("engine_rpm", "0", "at 0 nothing drives the kit."),
        ("engine_rpm", "11000", "The compressor would turn at"),
        ("occupants", "1.5", "The number of people must be a whole number, such as 2."),
        ("air_mode", "upwards", "Choose one of the air modes in the list."),
        ("levers", "warp", "“warp” is no change for this fitment."),
        ("sun_pct", "1e999", "Sun, of the duty point’s own must be a number of %, such as 80."),
    ],
)
def test_nonsense_is_refused_at_its_field_and_stays_there(owner_client, place, field, typed, sentence):
    asked = {**TOWN, "target_c": "23", field: typed}
    page = owner_client.get(f"{place}study/", asked)
    assert page.status_code == 422
    body = page.content.decode()
    beside = re.search(rf'id="wrong-{field}">(.*?)</div>', body, re.DOTALL)
    assert sentence in text_of(beside[1])
    assert 'value="23"' in body
    assert f'value="{typed}"' in body or field in ("air_mode", "levers")
    assert "With the change:" not in text(page)
    part = owner_client.get(f"{place}study/", asked, **HTMX)
    assert part.status_code == 200
    assert sentence in text(part)
    assert f'id="wrong-{field}" hx-swap-oob="true"' in part.content.decode()
    assert "kW" not in text(part)


def test_each_field_is_tied_to_its_help_and_to_what_is_wrong_with_it(owner_client, place):
    body = owner_client.get(f"{place}study/", TOWN).content.decode()
    tied = re.findall(r'aria-describedby="([^"]+)"', body)
    named = {name for names in tied for name in names.split()}
    assert {"wrong-outside_c", "wrong-engine_rpm", "help-engine_rpm", "wrong-levers"} <= named
    assert all(f'id="{name}"' in body for name in named if name.startswith(("wrong-", "help-")))


def text_of(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_while_a_field_is_changed_the_answer_alone_is_sent_with_the_address_that_asks_it(owner_client, place):
    part = owner_client.get(f"{place}study/", {**TOWN, "outside_c": "40", "humidity_pct": "40"}, **HTMX)
    body = part.content.decode()
    assert "<html" not in body
    assert 'id="study-answer"' in body
    # only what differs is in the address: 40 % is the duty point's own humidity
    assert part["HX-Push-Url"] == f"{place}study/?duty=town-35&outside_c=40"
    assert "HX-Request" in part["Vary"]
    assert "no-store" in part["Cache-Control"]
    again = owner_client.get(part["HX-Push-Url"])
    assert 'name="outside_c" value="40"' in again.content.decode()


def test_the_back_button_gets_the_whole_page(owner_client, place):
    page = owner_client.get(f"{place}study/", TOWN, **HTMX, HTTP_HX_HISTORY_RESTORE_REQUEST="true")
    assert "<html" in page.content.decode()


def test_what_it_holds_is_asked_for_apart_and_without_script_by_a_link(owner_client, place):
    page = owner_client.get(f"{place}study/", TOWN).content.decode()
    assert f'hx-get="{place}study/holds/?duty=town-35"' in page
    assert f'href="{place}study/?duty=town-35&amp;whole=1"' in page
    assert "Cabin it holds" not in page
    for answer in (
        owner_client.get(f"{place}study/holds/", TOWN, **HTMX),
        owner_client.get(f"{place}study/", {**TOWN, "whole": "1"}),
    ):
        assert re.search(r"Cabin it holds – \d+ °C", text(answer))
        assert "Limited by" in text(answer)
    assert "Nothing was worked out" in text(
        owner_client.get(f"{place}study/holds/", {**TOWN, "outside_c": "x"})
    )


def test_nothing_is_written_by_asking(owner_client, fitment, place):
    store(fitment)
    before = SizedFitment.objects.get().record
    owner_client.get(f"{place}study/", {**TOWN, "outside_c": "45"})
    owner_client.get(f"{place}study/gases/")
    assert SizedFitment.objects.get().record == before
    assert not FitmentNote.objects.exists()


def test_an_unknown_duty_point_or_fitment_is_not_found(owner_client, place):
    assert owner_client.get(f"{place}study/", {"duty": "nonsense"}).status_code == 404
    assert owner_client.get("/fitments/S4-DASH/S4/NONE/study/").status_code == 404


def test_a_fitment_without_a_plant_says_what_is_missing(owner_client, fitment, place):
    RouteLength.objects.filter(fitment=fitment).delete()
    page = text(owner_client.get(f"{place}study/"))
    assert "not sized" in page
    assert " Fix " in page
    assert "Work it out" not in page
    assert "technical data are missing" in text(owner_client.get(f"{place}study/gases/"))
    assert owner_client.get(f"{place}study/holds/").status_code == 404


def test_a_point_that_lacks_a_value_is_not_sized_and_leads_to_the_place_that_mends_it(
    owner_client, fitment, place
):
    powertrain = fitment.variant.powertrain
    type(powertrain).objects.filter(pk=powertrain.pk).update(crank_pulley_mm=None)
    page = owner_client.get(f"{place}study/", TOWN)
    assert "not sized" in text(page)
    assert f'href="/vehicles/S4/{fitment.variant.code}/#powertrain"' in page.content.decode()
    assert owner_client.get(f"{place}study/load.svg", TOWN).status_code == 404


def test_every_role_may_look_and_costs_are_nowhere(clients, place):
    for role in ("installer", "production", "owner", "manager"):
        page = text(clients[role].get(f"{place}study/", TOWN))
        assert ("Keep it" in page) is (role == "manager")
        assert "EUR" not in page


def test_the_sheet_leads_to_the_study(installer_client, fitment, place):
    store(fitment)
    assert f'href="{place}study/"' in installer_client.get(place).content.decode()


def test_hostile_questions_are_shown_as_text(owner_client, place):
    evil = '"><script>alert(1)</script>'
    for name in ("outside_c", "levers", "air_mode", "engine_rpm"):
        for headers in ({}, HTMX):
            body = owner_client.get(f"{place}study/", {**TOWN, name: evil}, **headers).content.decode()
            assert "<script>alert" not in body
    assert owner_client.get(f"{place}study/", {"duty": evil}).status_code == 404


def test_gases_are_compared_as_a_study(owner_client, place):
    page = text(owner_client.get(f"{place}study/gases/"))
    assert "A gas is not a change one makes alone" in page
    for words in ("R-134a", "R-1234yf", "R-152a", "refused as a kit", "burns in air from 0.289 kg/m³"):
        assert words in page
    assert "what the law says of a gas in this car are not judged here" in page


def test_the_answer_is_quick_to_ask_again_and_the_number_of_queries_is_fixed(
    owner_client, place, django_assert_max_num_queries
):
    owner_client.get(f"{place}study/", TOWN)
    with django_assert_max_num_queries(8):
        owner_client.get(f"{place}study/", {**TOWN, "outside_c": "41"}, **HTMX)


def test_a_changed_catalogue_is_never_answered_from_what_was_kept(owner_client, fitment, place):
    first = text(owner_client.get(f"{place}study/", TOWN, **HTMX))
    Fitment.objects.filter(pk=fitment.pk).update(air_on_rise_idle_k=25, air_on_rise_cruise_k=20)
    touch_catalogue()
    assert text(owner_client.get(f"{place}study/", TOWN, **HTMX)) != first


def test_what_is_kept_in_the_process_is_bounded():
    for kept in (queries._case, queries.answered, queries.gases):
        assert kept.cache_info().maxsize <= 256


def test_the_picture_follows_the_question(owner_client, place):
    as_it_is = owner_client.get(f"{place}study/load.svg", TOWN)
    assert as_it_is["Content-Type"] == "image/svg+xml; charset=utf-8"
    hot = owner_client.get(f"{place}study/load.svg", {**TOWN, "outside_c": "44"})
    assert hot.content != as_it_is.content
    assert owner_client.get(f"{place}study/load.svg", {**TOWN, "outside_c": "x"}).status_code == 404
