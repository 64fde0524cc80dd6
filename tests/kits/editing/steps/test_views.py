"""The steps of a kit: read as written and as in a car, put into another order in one act."""

import re
from html import unescape

import pytest

from kits.bom.models import Kit
from kits.bom.step_models import KitStep
from kits.exchange.models import RowChange
from tests.kits.fitment.pages import text

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]

STEPS = "/kits/S4-DASH/steps/"
ORDER = "/kits/S4-DASH/steps/order/"


def keys():
    rows = KitStep.objects.filter(kit__code="S4-DASH").values_list("step_order", "key")
    return [key for _, key in sorted(rows)]


def numbers():
    return dict(KitStep.objects.filter(kit__code="S4-DASH").values_list("key", "step_order"))


def form_of(answer):
    """The fields of the list, in the order shown."""
    body = answer.content.decode()
    found = {"seen": unescape(re.search(r'name="seen" value="([^"]*)"', body).group(1))}
    for key, typed in re.findall(r'name="place:([^"]+)" value="([^"]*)"', body):
        found[f"place:{unescape(key)}"] = unescape(typed)
    return found


def moved(fields, key, to):
    return fields | {f"place:{key}": f"{to}"}


def test_every_step_is_shown_with_what_belongs_to_it(owner_client):
    answer = owner_client.get(STEPS)
    page, body = text(answer), answer.content.decode()
    assert all(f'<span class="code">{key}</span>' in body for key in keys())
    step = KitStep.objects.filter(kit__code="S4-DASH", readings__isnull=False).first()
    reading = step.readings.first()
    assert f'id="reading-{step.key}-{reading.number}"' in body and f"{reading.name}:" in page
    original = KitStep.objects.filter(originals__fate="scrapped").first().originals.get(fate="scrapped")
    assert f"{original.name}: scrapped" in page
    assert "/kits/S4-DASH/#position-" in body and "/kits/S4-DASH/#joint-" in body
    assert "hold point" in page and "{" in page
    assert "/edit/" not in body and "order/" not in body


def test_the_text_is_read_as_in_the_chosen_car(owner_client):
    page = text(owner_client.get(STEPS + "?car=S4|CP12L"))
    assert "In this car: Is it the car that was ordered?" in page
    assert "not in this car" in page
    assert "The kit is not made for that car" in text(owner_client.get(STEPS + "?car=S4|NONE"))


def test_findings_stand_beside_their_step(manager_client):
    step = KitStep.objects.filter(kit__code="S4-DASH").first()
    KitStep.objects.filter(pk=step.pk).update(text="Fit {position:9999}.")
    body = manager_client.get(STEPS).content.decode()
    card = body[body.index(f'id="step-{step.key}"') :]
    card = card[: card.index("</li>")]
    assert f"Step {step.key} speaks of position 9999, which the kit does not have." in card


def test_a_typed_place_moves_one_step_and_writes_one_number(manager_client):
    before, held = keys(), numbers()
    fields = moved(form_of(manager_client.get(ORDER)), before[9], 3)
    answer = manager_client.post(ORDER, fields | {"reason": "airbox first"}, follow=True)
    assert "The order is saved: 1 step got another number." in text(answer)
    assert keys() == [*before[:2], before[9], *before[2:9], *before[10:]]
    assert {key for key, number in numbers().items() if number != held[key]} == {before[9]}
    assert RowChange.objects.filter(act__reason="airbox first").count() == 1


def test_fields_in_another_order_as_a_drag_sends_them_are_the_order(manager_client):
    before = keys()
    fields = form_of(manager_client.get(ORDER))
    wanted = [before[-1], *before[:-1]]
    sent = {"seen": fields["seen"]} | {f"place:{key}": f"{i}" for i, key in enumerate(wanted, 1)}
    assert manager_client.post(ORDER, sent).status_code == 302
    assert keys() == wanted
    again = manager_client.post(ORDER, sent, follow=True)
    assert "The order was the same; nothing was written." in text(again)


def test_the_buttons_move_by_one_without_a_script_and_write_only_when_saved(manager_client):
    before = keys()
    answer = manager_client.post(ORDER, form_of(manager_client.get(ORDER)) | {"up": before[4]})
    assert answer.status_code == 200 and "Not saved yet." in text(answer)
    assert keys() == before
    answer = manager_client.post(ORDER, form_of(answer) | {"down": before[0]})
    manager_client.post(ORDER, form_of(answer))
    assert keys()[:6] == [before[1], before[0], before[2], before[4], before[3], before[5]]
    top = manager_client.post(ORDER, form_of(manager_client.get(ORDER)) | {"up": keys()[0]})
    assert list(form_of(top))[1] == f"place:{keys()[0]}"


@pytest.mark.parametrize("typed", ["", "0", "-3", "2.5", "third", "9999", "²"])
def test_a_place_that_is_none_is_refused_and_kept(manager_client, typed):
    before = keys()
    fields = moved(moved(form_of(manager_client.get(ORDER)), before[5], typed), before[8], 2)
    answer = manager_client.post(ORDER, fields)
    assert answer.status_code == 422
    assert f"The place of step {before[5]} must be a number from 1 to {len(before)}" in text(answer)
    kept = form_of(answer)
    assert (kept[f"place:{before[5]}"], kept[f"place:{before[8]}"]) == (typed, "2")
    assert keys() == before


def test_an_order_that_somebody_changed_meanwhile_is_refused_and_kept(manager_client):
    before = keys()
    first, second = (form_of(manager_client.get(ORDER)) for _ in range(2))
    manager_client.post(ORDER, moved(first, before[2], 1))
    answer = manager_client.post(ORDER, moved(second, before[7], 1))
    assert answer.status_code == 409
    assert "The order of the steps was changed in the meantime" in text(answer)
    assert keys()[0] == before[2]
    again = form_of(answer)
    assert list(again)[1] == f"place:{before[7]}"
    assert manager_client.post(ORDER, again).status_code == 302
    assert keys() == [before[7], *before[:7], *before[8:]]


def test_a_step_that_was_added_or_removed_meanwhile_is_noticed(manager_client):
    fields = form_of(manager_client.get(ORDER))
    gone = keys()[3]
    KitStep.objects.get(key=gone).delete()
    answer = manager_client.post(ORDER, moved(fields, keys()[8], 1))
    assert answer.status_code == 409
    assert f"place:{gone}" not in form_of(answer)


@pytest.mark.parametrize("seen", ["", "{", "[1]", "{}", '{"X":1}'])
def test_a_list_without_its_state_is_refused(manager_client, seen):
    before = keys()
    fields = moved(form_of(manager_client.get(ORDER)), before[5], 1) | {"seen": seen}
    assert manager_client.post(ORDER, fields).status_code == 422
    assert keys() == before


def test_a_kit_without_steps_says_what_to_do_first(manager_client, installer_client):
    Kit.objects.create(code="EMPTY", name="Nothing yet", refrigerant="R-134a", oil="PAG 46")
    assert "Add the first step" in text(manager_client.get("/kits/EMPTY/steps/"))
    assert "The kit has no steps yet." in text(manager_client.get("/kits/EMPTY/steps/order/"))
    assert "A manager adds the first one." in text(installer_client.get("/kits/EMPTY/steps/"))
    assert manager_client.get("/kits/NONE/steps/").status_code == 404
    assert manager_client.get("/kits/NONE/steps/order/").status_code == 404
    assert manager_client.get("/kits/EMPTY/").status_code == 200
