"""What safety asks for is offered to a kit that lacks it, and added with its words and blanks in one act."""

import re

import pytest
from django.utils import timezone

from kits.bom.models import Kit
from kits.bom.step_models import KitStep, ReadingSpec
from kits.bom.step_patterns import patterns
from kits.exchange.models import RowChange
from kits.fitment import bridge
from kits.fitment.bridge import load_catalogue
from tests.kits.fitment.pages import text

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
ASKED = "/kits/S4-DASH/steps/asked/"
SAFETY = (
    "pattern-missing",
    "blank-missing",
    "blank-other",
    "blank-looser",
    "pattern-order",
    "pattern-no-hold",
)


def key_of(answer):
    return re.search(r'name="idempotency_key" value="([^"]*)"', answer.content.decode()).group(1)


def offered(answer, name):
    return re.findall(rf'name="{name}" value="([^"]*)"', answer.content.decode())


def told(car="CP12L"):
    catalogue = load_catalogue([("S4-DASH", "S4", car)], timezone.localdate())
    return {f.code for f in catalogue.resolve(catalogue.fitments[0]).findings if f.code in SAFETY}


@pytest.mark.usefixtures("demonstration")
class TestOfTheDemonstration:
    def test_a_kit_whose_cars_lack_nothing_is_told_so(self, manager_client):
        page = text(manager_client.get("/kits/S4-WARM/steps/asked/"))
        assert "Nothing is missing" in page

    def test_all_that_was_taken_away_is_offered_and_comes_back_safe(self, manager_client):
        KitStep.objects.filter(kit__code="S4-DASH").exclude(pattern="").delete()
        wanted = {"battery-off", "pressure-test", "vacuum", "charge", "before-start", "leak-search", "run"}
        answer = manager_client.get(ASKED)
        assert wanted <= set(offered(answer, "steps"))
        assert not {code for code in offered(answer, "steps") if code.startswith("hv-")}
        assert told() == {"pattern-missing"}
        form = {"steps": offered(answer, "steps"), "idempotency_key": key_of(answer)}
        assert manager_client.post(ASKED, form).status_code == 302
        assert not told() - {"pattern-order"}, "where they stand is still to be seen to"
        row = KitStep.objects.get(kit__code="S4-DASH", pattern="pressure-test")
        assert row.hold_point and row.text == patterns()["pressure-test"].text
        assert row.readings.count() == len(patterns()["pressure-test"].blanks)
        acts = set(RowChange.objects.filter(act__reason="asked for by safety").values_list("act", flat=True))
        assert len(acts) == 1

    def test_the_same_form_sent_twice_adds_once(self, manager_client):
        KitStep.objects.filter(kit__code="S4-DASH", pattern="road").delete()
        answer = manager_client.get(ASKED)
        form = {"steps": ["road"], "idempotency_key": key_of(answer)}
        assert [manager_client.post(ASKED, form).status_code for _ in range(2)] == [302, 302]
        assert KitStep.objects.filter(kit__code="S4-DASH", pattern="road").count() == 1

    def test_what_somebody_else_added_meanwhile_is_not_added_again(self, manager_client):
        KitStep.objects.filter(kit__code="S4-DASH", pattern="road").delete()
        forms = [{"steps": ["road"], "idempotency_key": key_of(manager_client.get(ASKED))} for _ in range(2)]
        answers = [manager_client.post(ASKED, form, follow=True) for form in forms]
        assert ["nothing was added" in text(answer) for answer in answers] == [False, True]
        assert KitStep.objects.filter(kit__code="S4-DASH", pattern="road").count() == 1

    def test_blanks_of_a_step_that_is_there_are_added_behind_its_own(self, manager_client):
        held = ReadingSpec.objects.filter(step__kit__code="S4-DASH", step__key="EVACUATE")
        most = max(held.values_list("number", flat=True))
        held.filter(answers__in=("reached", "after")).delete()
        answer = manager_client.get(ASKED)
        assert offered(answer, "blanks") == ["EVACUATE/reached", "EVACUATE/after"]
        form = {"blanks": offered(answer, "blanks"), "idempotency_key": key_of(answer)}
        assert manager_client.post(ASKED, form).status_code == 302
        rows = dict(held.filter(answers__in=("reached", "after")).values_list("answers", "high"))
        assert rows == {"reached": 67, "after": 130}
        assert max(held.values_list("number", flat=True)) == most + 2
        assert not told()

    @pytest.mark.parametrize("form", [{}, {"steps": ["no-such"]}, {"steps": ["road", "no-such"]}])
    def test_nothing_ticked_or_nothing_known_adds_nothing(self, manager_client, form):
        KitStep.objects.filter(kit__code="S4-DASH", pattern="road").delete()
        key = key_of(manager_client.get(ASKED))
        assert manager_client.post(ASKED, {**form, "idempotency_key": key}).status_code == 422
        assert not KitStep.objects.filter(kit__code="S4-DASH", pattern="road").exists()

    def test_a_reason_nobody_can_have_typed_adds_nothing(self, manager_client):
        KitStep.objects.filter(kit__code="S4-DASH", pattern="road").delete()
        key = key_of(manager_client.get(ASKED))
        form = {"steps": ["road"], "idempotency_key": key, "reason": "x" * 500}
        assert manager_client.post(ASKED, form).status_code == 422
        assert not KitStep.objects.filter(kit__code="S4-DASH", pattern="road").exists()


def test_a_kit_without_cars_is_told_to_get_one_first(manager_client):
    Kit.objects.create(code="NEW", name="New", refrigerant="R-134a", oil="PAG 46")
    assert "made for no car yet" in text(manager_client.get("/kits/NEW/steps/asked/"))
    assert manager_client.get("/kits/NONE/steps/asked/").status_code == 404


@pytest.mark.usefixtures("demonstration")
def test_a_car_whose_kit_can_not_be_resolved_is_named_and_the_others_are_looked_at(
    guarding, manager_client, monkeypatch
):
    def resolve(kit, variant, *rest):
        if variant.code == "CP12R":
            raise KeyError("nowhere")
        return real(kit, variant, *rest)

    real = bridge.resolve
    monkeypatch.setattr(bridge, "resolve", resolve)
    cars_count = Kit.objects.get(code="S4-DASH").fitments.count()
    page = manager_client.get(ASKED)
    assert page.status_code == 200
    words = text(page)
    assert f"Looked at: {cars_count - 1} of {cars_count} cars." in words
    assert re.search(r"The kit S4-DASH for .+ could not be worked out \(log ", words)
