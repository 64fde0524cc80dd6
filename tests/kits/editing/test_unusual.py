"""A row's form asks about a value that is possible but not usual, and keeps who said that it is as meant."""

import re

import pytest
from django.urls import reverse

from kits.editing.actions import edit_rows, undo_act
from kits.editing.changes import RowEdit
from kits.editing.slugs import key_param
from kits.exchange.models import RowChange, UnusualValue
from kits.exchange.sheets.bridge import SHEETS
from kits.exchange.unusual import ranged
from tests.kits.editing.test_views import form_of
from tests.kits.fitment.pages import text
from vehicles.models import Cabin, CabinLeakage

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]
LINE = "S4"


def a_cabin():
    return Cabin.objects.filter(line__code=LINE).order_by("pk").first()


def asked(volume):
    return f"Volume of {a_cabin().code} is {volume} m³; usual are 1.5 to 15 m³."


@pytest.fixture
def where():
    return f"{reverse('edit-row', args=[LINE, 'cabins'])}?key={key_param((a_cabin().code.casefold(),))}"


def meant_of(page):
    """The boxes that say of a value that it is as meant, and whether each is ticked."""
    tags = re.findall(r'<input type="checkbox" name="meant"[^>]*>', page.content.decode())
    return {re.search(r'value="(\w+)"', tag)[1]: "checked" in tag for tag in tags}


def test_it_comes_back_with_the_question_and_is_written_with_the_tick(manager_client, manager, where):
    fields = form_of(manager_client.get(where)) | {"row-volume_m3": "26", "row-name": "Kept name"}
    page = manager_client.post(where, fields)
    assert page.status_code == 422
    assert asked(26) in text(page)
    assert 'value="26"' in page.content.decode() and 'value="Kept name"' in page.content.decode()
    assert list(meant_of(page).values()) == [False]
    assert a_cabin().volume_m3 != 26
    assert manager_client.post(where, form_of(page)).status_code == 422, "not ticked"
    again = form_of(page) | {"meant": list(meant_of(page))}
    assert manager_client.post(where, again).status_code == 302
    cabin, kept = a_cabin(), UnusualValue.objects.get()
    assert (cabin.volume_m3, cabin.name) == (26, "Kept name")
    assert (kept.act.person, kept.line, kept.key, kept.value) == (
        manager,
        "s4",
        [cabin.code.casefold()],
        "26.0",
    )
    assert kept.act == RowChange.objects.first().act
    assert f"Not usual; confirmed by {manager} on" in text(manager_client.get(where))


def confirmed(client, where, volume):
    fields = form_of(client.get(where)) | {"row-volume_m3": volume}
    page = client.post(where, fields)
    return client.post(where, form_of(page) | {"meant": list(meant_of(page))})


def test_it_does_not_ask_again(manager_client, where):
    assert confirmed(manager_client, where, "26").status_code == 302
    for volume in ("9", "26"):
        fields = form_of(manager_client.get(where)) | {"row-volume_m3": volume}
        assert manager_client.post(where, fields).status_code == 302
    fields = form_of(manager_client.get(where)) | {"row-name": "Other name"}
    assert manager_client.post(where, fields).status_code == 302
    assert UnusualValue.objects.count() == 1


def test_the_tick_is_for_the_value_that_was_asked_about(manager_client, where):
    page = manager_client.post(where, form_of(manager_client.get(where)) | {"row-volume_m3": "26"})
    ticked = form_of(page) | {"meant": list(meant_of(page)), "row-volume_m3": "27"}
    answer = manager_client.post(where, ticked)
    assert answer.status_code == 422
    assert asked(27) in text(answer)
    assert list(meant_of(answer).values()) == [False]
    assert not UnusualValue.objects.exists()


def test_what_was_ticked_stays_ticked_beside_another_question(manager_client, where):
    fields = form_of(manager_client.get(where)) | {"row-volume_m3": "26", "row-duct_gain_w_k": "20"}
    page = manager_client.post(where, fields)
    first, second = meant_of(page)
    answer = manager_client.post(where, form_of(page) | {"meant": [first]})
    assert answer.status_code == 422
    assert meant_of(answer) == {first: True, second: False}
    assert asked(26) not in text(answer)
    assert manager_client.post(where, form_of(answer) | {"meant": [first, second]}).status_code == 302
    assert UnusualValue.objects.count() == 2


def test_a_new_row_is_asked_about_as_well(manager_client):
    cabin = a_cabin()
    new = f"{reverse('edit-row', args=[LINE, 'leakage'])}?cabin={cabin.code}"
    fields = form_of(manager_client.get(new)) | {"row-road_speed_km_h": "200", "row-leakage_m3_h": "1600"}
    page = manager_client.post(new, fields)
    assert page.status_code == 422
    assert len(meant_of(page)) == 2
    assert not CabinLeakage.objects.filter(road_speed_km_h=200).exists()
    sent = form_of(page) | {"meant": list(meant_of(page))}
    for _ in range(2):
        assert manager_client.post(new, sent).status_code == 302
    assert CabinLeakage.objects.filter(road_speed_km_h=200).count() == 1
    assert {tuple(kept.key) for kept in UnusualValue.objects.all()} == {(cabin.code.casefold(), 200.0)}


def test_a_row_with_another_key_is_asked_about_under_its_new_name(manager):
    row = CabinLeakage.objects.filter(cabin__line__code=LINE).order_by("-road_speed_km_h").first()
    key = (row.cabin.code.casefold(), row.road_speed_km_h)
    edit = RowEdit("change", "Leakage", key, {"road_speed_km_h": 200.0})
    written = edit_rows(actor=manager, line=LINE, edits=[edit], reason="x")
    (question,) = written.questions
    assert (written.count, question.key, question.column) == (0, [key[0], 200.0], "road_speed_km_h")
    meant = [question.token]
    assert edit_rows(actor=manager, line=LINE, edits=[edit], reason="x", meant=meant).count == 1
    assert UnusualValue.objects.get().key == [key[0], 200.0]


def test_undoing_asks_nobody(manager_client, manager, where):
    confirmed(manager_client, where, "26")
    UnusualValue.objects.all().delete()
    act = RowChange.objects.first().act.key
    assert undo_act(actor=manager, act=act).count == 1
    again = RowChange.objects.first().act.key
    assert undo_act(actor=manager, act=again).count == 1
    assert a_cabin().volume_m3 == 26
    assert not UnusualValue.objects.exists()


def test_where_a_form_has_no_place_for_a_question_there_is_none_to_ask():
    for sheet in SHEETS:
        if sheet.name == "Entries":
            assert ranged(sheet) == {}
        if sheet.name == "Steps":
            assert "step_order" not in ranged(sheet)
