"""Forms and addresses of editing that no page of ours sent: refused in a sentence, with what was typed kept."""

from urllib.parse import quote

import pytest
from django.urls import reverse

from kits.exchange.models import RowChange
from kits.fitment.models import Market
from kits.parts.models import Part
from tests.kits.fitment.pages import main_text
from vehicles.records.asked import LOST_STATE

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demonstration")]
DIGITS = "9" * 5000
POSITION = "/kits/S4-DASH/positions/100/"
ORDER = "/kits/S4-DASH/steps/order/"
MARKET = {"row-code": "XX", "row-name": "A market", "seen": ""}


def markets():
    return reverse("edit-row", args=["-", "markets"])


@pytest.mark.parametrize(
    "key",
    [
        "[[]]", '[{"a":1}]', "[null]", "[1]", "[true]", "[NaN]", "[1e999]", f"[{DIGITS}]", '["\\ud800"]', '["\\u0000"]',
        "[" * 5000, "[" * 50_000 + "]" * 50_000, '{"a":' * 5000, "", "x", "\x00", '["PS10-001","x"]',
    ],
)  # fmt: skip
@pytest.mark.parametrize("page", ["", "remove/"])
def test_a_key_that_is_none_is_an_address_without_a_row(manager_client, page, key):
    answer = manager_client.get(f"/edit/-/parts/{page}?key={quote(key)}")
    assert answer.status_code == 404


@pytest.mark.parametrize(
    "text", ["x", "//evil.example/", "fit-table", "https://evil.example", "/a\x00", "/" + "x" * 5000]
)
def test_an_address_to_go_to_that_is_none_of_ours_leads_to_the_history_and_the_row_is_written(
    manager_client, text
):
    answer = manager_client.post(markets(), {**MARKET, "next": text})
    assert (answer.status_code, answer["Location"]) == (302, reverse("edit-history"))
    assert Market.objects.filter(code="XX").exists()


@pytest.mark.parametrize(
    "seen",
    [
        "[]", "{", '{"name":[]}', '{"name":{"a":1}}', '{"name":1}', '{"no such field":""}', '{"name":"\\ud800"}',
        '{"name":"\\u0000"}', f'{{"name":{DIGITS}}}', "[" * 50_000,
    ],
)  # fmt: skip
def test_a_state_that_is_none_is_told_and_what_was_typed_is_kept(manager_client, seen):
    answer = manager_client.post(markets(), {**MARKET, "seen": seen})
    assert answer.status_code == 422
    assert LOST_STATE in main_text(answer)
    assert 'value="A market"' in answer.content.decode()
    assert not Market.objects.filter(code="XX").exists()


@pytest.mark.parametrize(
    ("reason", "told"),
    [("r" * 201, "has 201 characters; at most 200 fit"), ("a\x00b", "that can’t be shown")],
)
@pytest.mark.parametrize("address", ["/edit/-/markets/", POSITION, ORDER])
def test_a_reason_that_does_not_fit_is_told_at_its_field_and_kept(manager_client, address, reason, told):
    before = RowChange.objects.count()
    held = manager_client.get(ORDER).context["form"]
    places = {f"place:{key}": f"{n}" for n, key in enumerate(reversed(held.keys), 1)}
    sent = {**MARKET, "reason": reason} if "markets" in address else {"reason": reason}
    sent |= {**places, "seen": held.seen_text} if address == ORDER else {}
    answer = manager_client.post(address, sent)
    assert answer.status_code == 422
    body = answer.content.decode()
    assert told in body.partition('id="reason_error"')[2]
    assert f'value="{reason}"' in body
    assert RowChange.objects.count() == before


def test_what_is_no_column_of_the_sheet_is_written_nowhere(manager_client, manager):
    more = {
        "row-id": "4711",
        "row-pk": "4711",
        "row-version": "99",
        "version": "99",
        "is_superuser": "1",
        "row-user": "1",
    }
    assert manager_client.post(markets(), {**MARKET, **more}).status_code == 302
    assert Market.objects.get(code="XX").pk != 4711
    manager.refresh_from_db()
    assert not manager.is_superuser


@pytest.mark.parametrize("key", ["k" * 65, "a\x00"])
@pytest.mark.parametrize("address", ["/edit/-/markets/", POSITION])
def test_a_key_of_a_form_that_is_none_of_ours_is_told_and_nothing_is_written(manager_client, address, key):
    before = RowChange.objects.count()
    answer = manager_client.post(address, {**MARKET, "idempotency_key": key})
    assert answer.status_code == 422
    assert LOST_STATE in main_text(answer)
    assert RowChange.objects.count() == before


@pytest.mark.parametrize("number", [DIGITS, f"-{DIGITS}", "²", "\x00", "1e999", "NaN"])
def test_a_number_that_is_none_is_told_at_its_field(manager_client, number):
    part = Part.objects.first()
    answer = manager_client.post(
        "/edit/-/positions/",
        {"row-kit": "S4-DASH", "row-number": number, "row-name": part.name, "seen": ""},
    )
    assert answer.status_code == 422
    assert answer.context["form"].errors["number"]
    assert answer.context["form"]["number"].value() == number


@pytest.mark.parametrize("place", [DIGITS, "²", "٣", "\x00", "-1", "0", "1.5"])
def test_a_place_that_is_none_is_told_at_its_step(manager_client, place):
    held = manager_client.get(ORDER).context["form"]
    places = {f"place:{key}": f"{n}" for n, key in enumerate(held.keys, 1)}
    places[f"place:{held.keys[0]}"] = place
    answer = manager_client.post(ORDER, {**places, "seen": held.seen_text})
    assert answer.status_code == 422
    assert set(answer.context["form"].wrong) == {held.keys[0]}


@pytest.mark.parametrize(
    "seen",
    [
        '{"e1":7}', '{"e1":[]}', '{"e1":{}}', '{"e1":{"number":[]}}', '{"e1":{"number":"1"}}', '{"e1":{"number":true}}',
        '{"e1":{"number":1,"quantity":1}}', '{"e1":{"number":1,"quantity":"1E999999999"}}',
        '{"e1":{"number":1,"in_force_from":[]}}', '{"e1":{"number":1,"in_force_from":"2026-02-30"}}',
        '{"e1":{"number":1,"alternate":"yes"}}', '{"e1":{"number":1,"part_number":"\\ud800"}}',
    ],
)  # fmt: skip
def test_a_state_of_entries_that_is_none_is_told_and_what_was_typed_is_kept(manager_client, seen):
    answer = manager_client.post(
        POSITION, {"seen": seen, "rows": "e1", "e1-number": "1", "e1-part_number": "typed"}
    )
    assert answer.status_code == 422
    assert LOST_STATE in main_text(answer)
    assert 'value="typed"' in answer.content.decode()


@pytest.mark.parametrize("number", [DIGITS, "²", "-1", "NaN"])
def test_one_more_row_counts_on_from_the_numbers_that_can_be_read(manager_client, number):
    answer = manager_client.post(
        POSITION, {"rows": ["n1", "n2"], "n1-number": number, "n2-number": "7", "more": "1"}
    )
    assert answer.status_code == 200
    assert answer.context["form"].rows[-1]["number"].value() == "8"


def test_more_new_rows_than_a_form_takes_are_told(manager_client):
    answer = manager_client.post(POSITION, {"rows": [f"n{n}" for n in range(300)]})
    assert answer.status_code == 422
    assert "at most 200 new rows" in main_text(answer)


def test_a_form_that_was_corrected_after_it_was_saved_is_refused_and_can_be_saved_again(manager_client):
    key = manager_client.get(markets()).context["idempotency_key"]
    manager_client.post(markets(), {**MARKET, "idempotency_key": key})
    other = {**MARKET, "row-code": "YY", "idempotency_key": key}
    refused = manager_client.post(markets(), other)
    assert refused.status_code == 409
    assert "Nothing was written this time" in main_text(refused)
    assert not Market.objects.filter(code="YY").exists()
    fresh = refused.context["idempotency_key"]
    assert fresh != key
    assert manager_client.post(markets(), {**other, "idempotency_key": fresh}).status_code == 302
    assert Market.objects.filter(code="YY").exists()


def test_a_form_that_comes_back_with_an_error_has_a_key_of_its_own(manager_client):
    for address in (markets(), POSITION, "/vehicles/S4/CP12L/survey/surfaces/"):
        key = manager_client.get(address).context["idempotency_key"]
        again = manager_client.post(address, {"reason": "r" * 201, "seen": "[", "idempotency_key": key})
        assert again.status_code == 422
        assert again.context["idempotency_key"] not in (key, "")
    for address in ("/lines/S4/copy/", "/vehicles/S4/CP12L/copy/", "/fitments/S4-DASH/S4/CP12L/notes/"):
        again = manager_client.post(address, {"idempotency_key": "k"})
        form = again.context["note"] if "notes" in address else again.context["form"]
        assert form["idempotency_key"].value() not in ("k", "")


@pytest.mark.parametrize("given", ["kit=a%00", "kit=S4-DASH&position=%1b", "name=" + "x" * 3000])
def test_fields_given_in_an_address_that_no_row_can_hold_are_an_address_without_a_row(manager_client, given):
    assert manager_client.get(f"/edit/-/entries/?{given}").status_code == 404


@pytest.mark.parametrize("name", ["line", "who", "text", "sheet"])
@pytest.mark.parametrize("text", ["a%00", "x" * 70_000])
def test_what_cannot_be_searched_in_the_history_is_told_and_left_out(manager_client, name, text):
    manager_client.post(markets(), MARKET)
    answer = manager_client.get(f"/history/?{name}={text}")
    assert answer.status_code == 200
    assert "It is left out." in main_text(answer)
    assert answer.context["page"].object_list
