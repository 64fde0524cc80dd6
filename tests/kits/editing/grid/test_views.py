"""The entries of a position as one form: saved at once, refused beside the cell, never over somebody else's change."""

import json
import re
from html import unescape

import pytest

from kits.bom.models import Entry, Position
from kits.exchange.models import RowChange
from tests.kits.fitment.pages import text

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]

WHERE = "/kits/S4-DASH/positions/101/"


def form_of(answer):
    """The fields of the page's entries form, as a browser would send them."""
    body = answer.content.decode()
    start = body.index('<form class="form" method="post"')
    form = body[start : body.index("</form>", start)]
    fields: dict[str, object] = {"rows": re.findall(r'name="rows" value="([en]\d+)"', form)}
    for tag in re.findall(r"<input[^>]*>", form):
        name, value = (re.search(rf'{word}="([^"]*)"', tag) for word in ("name", "value"))
        held = unescape(value.group(1)) if value else ""
        if name is None or name.group(1) in ("rows", "csrfmiddlewaretoken"):
            continue
        if 'type="checkbox"' not in tag:
            fields[name.group(1)] = held
        elif "checked" in tag:
            fields.setdefault(name.group(1), []).append(held)  # type: ignore[attr-defined]
    for name, options in re.findall(r'<select name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields[name] = chosen.group(1) if chosen else ""
    return fields


def entries(number=101):
    found = Entry.objects.filter(position__kit__code="S4-DASH", position__number=number)
    return {
        e.number: (e.part.number, sorted((t.option.code, t.excluded) for t in e.terms.all())) for e in found
    }


def test_the_page_shows_every_entry_with_its_ticks_and_what_each_car_gets(manager_client):
    answer = manager_client.get(WHERE)
    fields = form_of(answer)
    assert fields["rows"] == ["e1", "e2", "n1"]
    assert (fields["e1-part_number"], fields["e1-option:steering"]) == ("BM30-200", ["left"])
    assert (fields["n1-number"], fields["n1-part_number"]) == ("3", "")
    page = text(answer)
    assert "left entry 1: BM30-200" in page and "right entry 2: BM30-205" in page
    assert '<option value="BM30-200">' in answer.content.decode()


def test_an_untouched_form_writes_nothing(manager_client):
    answer = manager_client.post(WHERE, form_of(manager_client.get(WHERE)), follow=True)
    assert "Nothing was different" in text(answer)
    assert not RowChange.objects.filter(act__reason="entries changed on screen").exists()


def test_rows_are_changed_added_and_removed_in_one_act(manager_client):
    fields = form_of(manager_client.get(WHERE))
    fields |= {
        "e1-quantity": "2", "e1-option:steering": ["right"], "e1-option:steering-not": "not", "e2-remove": "yes",
        "n1-part_number": "bm30-205", "n1-option:steering": ["right"], "n1-in_force_from": "2026-05-01",
        "reason": "new bracket",
    }  # fmt: skip
    assert manager_client.post(WHERE, fields).status_code == 302
    assert entries() == {1: ("BM30-200", [("right", True)]), 3: ("BM30-205", [("right", False)])}
    acts = RowChange.objects.filter(act__reason="new bracket").values_list("act", flat=True)
    assert (len(acts), len(set(acts))) == (3, 1)
    page = text(manager_client.get(WHERE + "?on=2026-04-30"))
    assert "right gap nothing" in page
    assert "right entry 3: BM30-205" in text(manager_client.get(WHERE + "?on=2026-05-01"))


def test_a_gap_and_an_overlap_are_seen_after_saving(manager_client):
    fields = form_of(manager_client.get(WHERE)) | {"e1-option:steering": []}
    page = text(manager_client.post(WHERE, fields, follow=True))
    assert "Position 101 Compressor bracket set has entry 1 as well as entry 2 for" in page
    assert "right overlap entry 1" in page
    kit = manager_client.get("/kits/S4-DASH/").content.decode()
    head = kit[kit.index('id="position-101"') :][:2500]
    assert "overlap" in head and "has entry 1 as well as entry 2" in head


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("e1-quantity", "a few", "Quantity must be a number"),
        ("e1-quantity", "-1", "Quantity must be above 0"),
        ("e1-quantity", "1.23456", "more than 3 decimals"),
        ("e1-part_number", "NO-SUCH", "There is no no-such in Parts"),
        ("e1-part_number", "", "Part number must not be empty"),
        ("e1-in_force_from", "next spring", "must be a date"),
        ("e1-number", "2", "Number 2 stands twice"),
        ("e2-number", "9999999", "must be from 0 to 32767"),
        ("n1-in_force_until", "2026-01-01", "Part number must not be empty"),
    ],
)
def test_nonsense_is_refused_beside_its_cell_and_all_that_was_typed_is_kept(
    manager_client, field, typed, sentence
):
    before = entries()
    fields = form_of(manager_client.get(WHERE)) | {"e2-option:body": ["tourer"], "e2-remove": ["yes"]}
    if field.startswith("e2") or field == "e1-number":
        del fields["e2-remove"]
    answer = manager_client.post(WHERE, fields | {field: typed})
    assert answer.status_code == 422
    assert sentence in text(answer)
    kept = form_of(answer)
    assert kept[field] == typed
    assert (kept["e2-option:body"], kept.get("e2-remove")) == (["tourer"], fields.get("e2-remove"))
    named = (
        "n1-part_number" if field == "n1-in_force_until" else "e2-number" if field == "e1-number" else field
    )
    assert f'href="#id_{named}"' in answer.content.decode()
    assert entries() == before


def test_a_stale_form_is_refused_keeps_what_was_typed_and_may_be_sent_again(manager_client):
    first, second = form_of(manager_client.get(WHERE)), form_of(manager_client.get(WHERE))
    manager_client.post(WHERE, first | {"e1-quantity": "3"})
    answer = manager_client.post(WHERE, second | {"e1-quantity": "4", "e2-quantity": "5"})
    assert answer.status_code == 409
    assert "was changed in the meantime" in text(answer)
    again = form_of(answer)
    assert (again["e1-quantity"], again["e2-quantity"]) == ("4", "5")
    quantities = Entry.objects.filter(position__kit__code="S4-DASH", position__number=101).values_list
    assert [int(q) for q in quantities("quantity", flat=True)] == [3, 1]
    assert manager_client.post(WHERE, again).status_code == 302
    assert [int(q) for q in quantities("quantity", flat=True)] == [4, 5]


def test_two_people_who_change_different_rows_do_not_hinder_each_other(manager_client):
    first, second = form_of(manager_client.get(WHERE)), form_of(manager_client.get(WHERE))
    manager_client.post(WHERE, first | {"e1-quantity": "3"})
    assert manager_client.post(WHERE, second | {"e2-quantity": "5"}).status_code == 302
    rows = Entry.objects.filter(position__kit__code="S4-DASH", position__number=101)
    assert [int(e.quantity) for e in rows] == [3, 5]


def test_an_entry_that_somebody_removed_meanwhile_may_be_added_again(manager_client):
    first, second = form_of(manager_client.get(WHERE)), form_of(manager_client.get(WHERE))
    manager_client.post(WHERE, first | {"e2-remove": "yes"})
    answer = manager_client.post(WHERE, second | {"e2-quantity": "2"})
    assert answer.status_code == 409
    assert manager_client.post(WHERE, form_of(answer)).status_code == 302
    assert entries()[2] == ("BM30-205", [("right", False)])


def test_a_new_row_sent_twice_is_made_once(manager_client):
    fields = form_of(manager_client.get(WHERE)) | {
        "n1-part_number": "BM30-205",
        "n1-option:steering": ["right"],
    }
    for _ in range(2):
        assert manager_client.post(WHERE, fields).status_code == 302
    assert sorted(entries()) == [1, 2, 3]


def test_one_more_row_writes_nothing_and_keeps_what_was_typed(manager_client):
    fields = form_of(manager_client.get(WHERE)) | {"n1-part_number": "BM30-205", "more": "1"}
    again = form_of(manager_client.post(WHERE, fields))
    assert again["rows"] == ["e1", "e2", "n1", "n2"]
    assert (again["n1-part_number"], again["n2-number"]) == ("BM30-205", "4")
    assert sorted(entries()) == [1, 2]


@pytest.mark.parametrize("seen", ["", "{nonsense", "[]", json.dumps({"e1": 5})])
def test_a_form_without_its_state_changes_nothing_that_was_there(manager_client, seen):
    before = entries()
    fields = form_of(manager_client.get(WHERE)) | {"seen": seen, "e1-quantity": "7"}
    assert manager_client.post(WHERE, fields).status_code == 422
    assert entries() == before


def test_a_position_without_entries_has_an_empty_row_and_says_so(manager_client):
    position = Position.objects.get(kit__code="S4-DASH", number=101)
    position.entries.all().delete()
    fields = form_of(manager_client.get(WHERE))
    assert fields["rows"] == ["n1"]
    assert "gap nothing" in text(manager_client.get(WHERE))
    assert manager_client.post(WHERE, fields | {"n1-part_number": "BM30-200"}).status_code == 302
    assert entries() == {1: ("BM30-200", [])}


def test_a_day_that_is_none_is_said_and_an_unknown_position_is_not_found(manager_client):
    assert "“soon” is no date" in text(manager_client.get(WHERE + "?on=soon"))
    assert manager_client.get("/kits/S4-DASH/positions/31999/").status_code == 404
    assert manager_client.get("/kits/NONE/positions/101/").status_code == 404


@pytest.mark.parametrize("role", ["installer", "production", "owner", "stranger"])
def test_nobody_else_may_look_at_it_or_finds_a_link(clients, role):
    assert clients[role].get(WHERE).status_code == 403
    assert clients[role].post(WHERE, {}).status_code == 403
    kit = clients[role].get("/kits/S4-DASH/").content.decode()
    assert "/edit/" not in kit and "/positions/101/" not in kit
