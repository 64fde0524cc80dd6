"""The pages of editing as people use them: forms that keep what was typed, stale forms, double presses, history."""

import json
import re
from html import unescape

import pytest
from django.urls import reverse

from kits.bom.models import Entry, Kit
from kits.editing.slugs import key_param
from kits.exchange.models import RowChange
from kits.parts.models import Part
from tests.keys import a_key
from vehicles.cabin.models import Surface
from vehicles.catalogue.models import Variant

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]

LINE = "S4"


def address(sheet, key, line=LINE):
    return f"{reverse('edit-row', args=[line, sheet])}?key={key_param(key)}"


def form_of(page):
    """The fields of the page's row form as a browser would send them."""
    body = page.content.decode()
    start = body.index('<form class="form form--row"')
    form = body[start : body.index("</form>", start)]
    fields = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name = re.search(r'name="([^"]+)"', tag)
        value = re.search(r'value="([^"]*)"', tag)
        if not name or ('type="checkbox"' in tag and "checked" not in tag):
            continue
        text = unescape(value.group(1)) if value else ""
        if 'type="checkbox"' in tag:
            fields.setdefault(name.group(1), []).append(text)
        else:
            fields[name.group(1)] = text
    for name, options in re.findall(r'<select name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', options) or re.search(
            r'value="([^"]*)"', options
        )
        fields[name] = unescape(chosen.group(1)) if chosen else ""
    for name, text in re.findall(r'<textarea name="([^"]+)"[^>]*>(.*?)</textarea>', form, re.S):
        fields[name] = unescape(text).removeprefix("\n")
    fields.pop("csrfmiddlewaretoken", None)
    return fields


def a_surface():
    return Surface.objects.filter(cabin__line__code=LINE).order_by("pk").first()


@pytest.fixture
def where():
    surface = a_surface()
    return address("surfaces", (surface.cabin.code.casefold(), surface.code.casefold()))


def test_an_untouched_form_writes_nothing(manager_client, where):
    fields = form_of(manager_client.get(where))
    answer = manager_client.post(where, fields, follow=True)
    assert "Nothing was different" in answer.content.decode()
    assert not RowChange.objects.filter(act__reason="changed on screen").exists()


def test_a_change_is_saved_with_its_origin_and_told_in_the_rows_history(manager_client, where):
    fields = form_of(manager_client.get(where))
    fields |= {"row-area_m2": "1.234", "row-origin_kind": "measured", "row-origin_source": "chassis 20418",
               "row-origin_instrument": "tape", "row-origin_on": "2026-11-02", "reason": "survey"}  # fmt: skip
    assert manager_client.post(where, fields).status_code == 302
    surface = a_surface()
    assert (surface.area_m2, surface.origin_kind, surface.origin_instrument) == (1.234, "measured", "tape")
    page = manager_client.get(where).content.decode()
    assert "What was done to it" in page and "survey" in page and "<ins>1.234</ins>" in page


@pytest.mark.parametrize("typed", ["-4", "0", "nan", "12,5", "a lot", "1e400"])
def test_nonsense_is_refused_beside_its_field_and_kept(manager_client, where, typed):
    fields = form_of(manager_client.get(where)) | {"row-area_m2": typed, "row-name": "Kept name"}
    answer = manager_client.post(where, fields)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'value="{typed}"' in page and 'value="Kept name"' in page
    assert 'href="#id_row-area_m2"' in page
    assert a_surface().area_m2 != typed


def test_a_stale_form_is_refused_keeps_what_was_typed_and_may_be_sent_again(manager_client, where):
    first, second = form_of(manager_client.get(where)), form_of(manager_client.get(where))
    manager_client.post(where, first | {"row-area_m2": "1.5"})
    answer = manager_client.post(where, second | {"row-area_m2": "1.7"})
    assert answer.status_code == 409
    assert 'value="1.7"' in answer.content.decode() and a_surface().area_m2 == 1.5
    again = form_of(answer)
    assert manager_client.post(where, again).status_code == 302
    assert a_surface().area_m2 == 1.7


def test_a_form_without_its_state_is_refused(manager_client, where):
    fields = form_of(manager_client.get(where)) | {"seen": "{nonsense", "row-area_m2": "3"}
    assert manager_client.post(where, fields).status_code == 422


def test_a_new_row_sent_twice_is_made_once(manager_client):
    kit, part = Kit.objects.get(code="S4-DASH"), Part.objects.order_by("number").first()
    new = f"{reverse('edit-row', args=['-', 'positions'])}?kit={kit.code}"
    fields = form_of(manager_client.get(new))
    assert fields["row-kit"] == kit.code and int(fields["row-number"]) % 10 == 0
    fields |= {"row-name": "spare", "row-zone": "boot", "row-rule": "any"}
    for _ in range(2):
        assert manager_client.post(new, fields).status_code == 302
    assert kit.positions.filter(name="spare").count() == 1
    number = kit.positions.get(name="spare").number
    entry = f"{reverse('edit-row', args=['-', 'entries'])}?kit={kit.code}&position={number}"
    fields = form_of(manager_client.get(entry)) | {
        "row-part_number": part.number,
        "row-option:steering": ["left"],
    }
    assert manager_client.post(entry, fields).status_code == 302
    made = Entry.objects.get(position__name="spare")
    assert [term.option.code for term in made.terms.all()] == ["left"]


def test_a_row_that_exists_already_is_told_at_its_key(manager_client):
    part = Part.objects.order_by("number").first()
    new = reverse("edit-row", args=["-", "parts"])
    fields = form_of(manager_client.get(new)) | {
        "row-number": part.number.lower(),
        "row-name": "x",
        "row-kind": "trim",
    }
    answer = manager_client.post(new, fields)
    assert answer.status_code == 422 and "exists already" in answer.content.decode()


@pytest.mark.parametrize(
    "path", ["/edit/S4/surfaces/?key=[]", "/edit/S4/surfaces/?key=%5B%22x%22,%22y%22%5D", "/edit/S4/nothing/",
             "/edit/S4/lengths/?key=%5B1%5D", "/edit/S4/surfaces/remove/", "/history/nothing/", "/lines/none/copy/",
             "/vehicles/S4/none/copy/", "/edit/S4/surfaces/?key={",
             "/edit/S5/sites/", "/edit/S5/duty-points/", "/edit/S5/surfaces/",
             "/edit/S5/sites/remove/?key=%5B%22slate-coast%22%5D"],
)  # fmt: skip
def test_what_is_not_there_is_not_found(manager_client, path):
    assert manager_client.get(path).status_code == 404


def test_a_line_that_is_not_there_is_told_in_a_sentence(manager_client):
    answer = manager_client.get("/edit/S5/sites/")
    assert answer.status_code == 404 and "There is no such model line." in answer.content.decode()


def test_the_shared_rows_open_from_the_page_of_duty_points_and_within_a_line(manager_client):
    page = manager_client.get(reverse("climate")).content.decode()
    links = {unescape(link) for link in re.findall(r'href="(/edit/[^"]+)"', page)}
    kinds = {link.split("/")[3]: link for link in links}
    assert {"sites", "design-states", "duty-points", "duty-sets"} <= set(kinds)
    for link in [*kinds.values(), "/edit/S4/sites/", "/edit/s4/sites/", "/edit/-/sites/"]:
        assert manager_client.get(link).status_code == 200, link


def test_a_removal_shows_what_goes_and_wants_the_number(manager_client, where):
    remove = where.replace("/surfaces/", "/surfaces/remove/")
    surface = a_surface()
    count = int(
        re.search(r"<h2 id=\"going\">(\d+) row", manager_client.get(remove).content.decode()).group(1)
    )
    assert manager_client.post(remove, {"count": "0"}).status_code == 422
    assert Surface.objects.filter(pk=surface.pk).exists()
    assert manager_client.post(remove, {"count": f"{count}"}).status_code == 302
    assert not Surface.objects.filter(pk=surface.pk).exists()


def test_the_history_names_who_and_why_and_takes_back(manager_client, where):
    fields = form_of(manager_client.get(where)) | {"row-area_m2": "1.9", "reason": "slip of the tape"}
    before = a_surface().area_m2
    manager_client.post(where, fields)
    page = manager_client.get(
        reverse("edit-history"), {"who": "manager", "sheet": "Surfaces"}
    ).content.decode()
    assert "slip of the tape" in page
    act = RowChange.objects.first().act.key
    assert "1.9" in manager_client.get(reverse("edit-act", args=[act])).content.decode()
    manager_client.post(reverse("edit-undo", args=[act]))
    assert a_surface().area_m2 == before
    assert RowChange.objects.first().act.reason.startswith("taken back")


def test_the_owner_reads_the_history_but_takes_nothing_back(owner_client):
    act = RowChange.objects.first().act.key
    page = owner_client.get(reverse("edit-act", args=[act]))
    assert page.status_code == 200 and "Undo this" not in page.content.decode()
    assert owner_client.post(reverse("edit-undo", args=[act])).status_code == 403


def test_hostile_names_are_shown_as_text(manager_client, where):
    fields = form_of(manager_client.get(where)) | {"row-name": "<script>alert(1)</script>"}
    manager_client.post(where, fields)
    for path in (
        where,
        reverse("edit-history"),
        reverse("edit-act", args=[RowChange.objects.first().act.key]),
    ):
        assert "<script>alert" not in manager_client.get(path).content.decode()


def test_a_way_back_to_another_site_is_not_taken(manager_client, where):
    fields = form_of(manager_client.get(where)) | {"next": "https://elsewhere.example/"}
    assert "elsewhere" not in manager_client.post(where, fields)["Location"]


def test_a_variant_is_copied_once_however_often_the_button_is_pressed(manager_client):
    source = Variant.objects.filter(line__code=LINE).order_by("code").first()
    where = reverse("copy-variant", args=[LINE, source.code])
    page = manager_client.get(where)
    form = page.context["form"]
    fields = {
        "code": "COPY1",
        "name": "A copy",
        "parts": ["lengths"],
        "idempotency_key": form.initial["idempotency_key"],
    }
    fields |= {name: form.fields[name].initial for name in form.option_fields}
    for _ in range(2):
        assert manager_client.post(where, fields).status_code == 302
    assert Variant.objects.filter(code="COPY1").count() == 1
    taken = manager_client.post(where, fields | {"idempotency_key": a_key("another")})
    assert taken.status_code == 422 and "exists already" in taken.content.decode()


def test_a_line_is_copied(manager_client):
    where = reverse("copy-line", args=[LINE])
    key = manager_client.get(where).context["form"].initial["idempotency_key"]
    fields = {"code": "S5", "name": "Solenne S5", "parts": ["variants", "routes"], "idempotency_key": key}
    assert manager_client.post(where, fields).status_code == 302
    assert (
        Variant.objects.filter(line__code="S5", to_be_surveyed=True).count()
        == Variant.objects.filter(line__code=LINE).count()
    )
    assert json.loads(json.dumps(RowChange.objects.first().key))


def test_a_mistyped_number_hides_no_change_of_somebody_else(manager_client, where):
    mine, others = form_of(manager_client.get(where)), form_of(manager_client.get(where))
    others["row-area_m2"] = "0.93"
    assert manager_client.post(where, others).status_code == 302
    wrong = manager_client.post(where, {**mine, "row-name": "Roof lining", "row-tilt_deg": "abc"})
    assert wrong.status_code == 422
    again = manager_client.post(where, {**form_of(wrong), "row-tilt_deg": mine["row-tilt_deg"]})
    assert again.status_code == 409 and "was changed in the meantime" in again.content.decode()
    assert a_surface().area_m2 == 0.93


def test_what_somebody_else_changed_is_not_removed_unseen(manager_client, where):
    surface = a_surface()
    key = key_param((surface.cabin.code.casefold(), surface.code.casefold()))
    place = f"{reverse('remove-row', args=[LINE, 'surfaces'])}?key={key}"
    page = manager_client.get(place).content.decode()
    seen = unescape(re.search(r'name="seen" value="([^"]*)"', page).group(1))
    count = re.search(r"(\d+) rows? would go", page).group(1)
    others = form_of(manager_client.get(where))
    manager_client.post(where, {**others, "row-area_m2": "0.93"})
    answer = manager_client.post(place, {"count": count, "seen": seen})
    assert answer.status_code == 409 and "was changed in the meantime" in answer.content.decode()
    assert a_surface() == surface
