"""The fitment's sheet takes a charge, leads to the form of the mounting, and says which recorded value counts."""

import pytest
from django.urls import reverse

from kits.fitment import tasks
from kits.fitment.actions import WorkedOut, record_charge, record_route_length
from kits.fitment.models import CatalogueStamp, ChargeRecord, Fitment, SizedFitment
from tests.kits.fitment.answers import store
from tests.kits.fitment.conftest import ON
from tests.kits.fitment.pages import text

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]


@pytest.fixture
def fitment() -> Fitment:
    return Fitment.objects.get(variant__code="CP12L")


@pytest.fixture
def unsized(monkeypatch) -> list[object]:
    """Spare the sizing; what it is asked to size is noted."""
    asked: list[object] = []
    monkeypatch.setattr(tasks, "worked_out", lambda on, keys: asked.append(keys) or WorkedOut(0, ()))
    return asked


def address(fitment, name="fitment-sheet") -> str:
    return reverse(name, args=[fitment.kit.code, fitment.variant.line.code, fitment.variant.code])


def typed(fitment, **changes) -> dict[str, str]:
    return {
        "version": str(fitment.version), "charge_g": "640", "tolerance_g": "20", "instrument": "scale, 5 g",
        "uncertainty": "±5 g", "origin_kind": "weighed", "origin_source": "chassis 20418", **changes,
    }  # fmt: skip


def test_a_charge_is_added_with_its_origin_and_the_sheet_shows_which_counts(manager_client, fitment, unsized):
    answer = manager_client.post(address(fitment, "record-charge"), typed(fitment))
    assert answer["Location"] == f"{address(fitment)}#charge"
    row = ChargeRecord.objects.filter(fitment=fitment).latest("pk")
    held = (row.charge_g, row.tolerance_g, row.origin_kind, row.origin_instrument, row.origin_uncertainty)
    assert held == (640, 20, "weighed", "scale, 5 g", "±5 g")
    assert row.origin_by == "manager"
    page = text(manager_client.get(address(fitment)))
    assert "640 g ± 20 g" in page
    assert "counts 640 20 weighed" in page


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"charge_g": "plenty"}, "The charge must be a number of grams, such as 650."),
        ({"charge_g": ""}, "Type the charge in grams."),
        ({"charge_g": "-1"}, "The charge must be at least 1 g; is it in grams?"),
        ({"charge_g": "nan"}, "The charge must be a number of grams"),
        ({"charge_g": "99999"}, "The charge must be at most 20,000 g"),
        ({"tolerance_g": "700"}, "The tolerance is as large as the charge itself."),
        ({"tolerance_g": "-2"}, "The tolerance can’t be below zero."),
        ({"origin_source": " "}, "Say where the charge comes from"),
        ({"origin_kind": "guess"}, "Choose one of the origins in the list."),
        ({"origin_source": "a\x00b"}, "Null characters"),
    ],
)  # fmt: skip
def test_nonsense_is_refused_with_a_sentence_and_kept(manager_client, fitment, unsized, changes, sentence):
    count = ChargeRecord.objects.count()
    answer = manager_client.post(address(fitment, "record-charge"), typed(fitment, **changes))
    assert answer.status_code == 422
    assert sentence.replace("’", "'") in text(answer).replace("’", "'")
    assert 'value="scale, 5 g"' in answer.content.decode()
    assert ChargeRecord.objects.count() == count
    assert unsized == []


def test_a_stale_charge_is_refused_and_what_was_typed_is_kept(manager_client, fitment, unsized):
    old = typed(fitment, charge_g="611")
    manager_client.post(address(fitment, "record-charge"), typed(fitment))
    answer = manager_client.post(address(fitment, "record-charge"), old)
    assert answer.status_code == 409
    assert 'value="611"' in answer.content.decode()
    assert not ChargeRecord.objects.filter(charge_g=611).exists()


def test_only_a_manager_sees_the_forms(installer_client, manager_client, fitment):
    assert "Record a charge" not in text(installer_client.get(address(fitment)))
    assert "Change how it sits" not in text(installer_client.get(address(fitment)))
    page = manager_client.get(address(fitment)).content.decode()
    assert "Record a charge" in page
    assert "/edit/S4/fitments/?key=%5B%22s4-dash%22%2C%22cp12l%22%5D" in page


def test_a_charge_or_a_length_sizes_its_own_fitment_and_leaves_the_others_fresh(manager, fitment, unsized):
    other = Fitment.objects.get(variant__code="CP12R")
    behind = Fitment.objects.get(kit__code="S4-DASH", variant__code="TR6L")
    for row in (fitment, other):
        store(row)
    store(behind, behind=1)
    was = SizedFitment.objects.get(fitment=behind).catalogue_stamp
    common = {"actor": manager, "fitment_id": fitment.pk, "origin_source": "a car", "on": ON}
    record_charge(
        **common, charge_g=640.0, tolerance_g=20.0, origin_kind="weighed", expected_version=fitment.version
    )
    fitment.refresh_from_db()
    record_route_length(
        **common, route_code=fitment.route_lengths.first().route.code, length_mm=1500.0, cars_count=1,
        spread_mm=None, instrument="tape", origin_kind="measured", expected_version=fitment.version,
    )  # fmt: skip
    key = (fitment.kit.code, "S4", "CP12L")
    assert unsized == [[key], [key]]
    stamp = CatalogueStamp.objects.get(pk=1).value
    stamps = {row.fitment_id: row.catalogue_stamp for row in SizedFitment.objects.all()}
    assert stamps[other.pk] == stamp, "another fitment's answer does not rest on this length"
    assert stamps[behind.pk] == was < stamp, "what was out of date stays so"
    assert stamps[fitment.pk] < stamp, "its own answer is out of date until it is sized"


def test_the_fitment_itself_has_a_fresh_answer_and_no_other_is_sized(manager, fitment):
    record_charge(
        actor=manager, fitment_id=fitment.pk, charge_g=640.0, tolerance_g=20.0, origin_kind="weighed",
        origin_source="a car", on=ON, expected_version=fitment.version,
    )  # fmt: skip
    stored = SizedFitment.objects.get()
    assert stored.fitment_id == fitment.pk
    assert stored.catalogue_stamp == CatalogueStamp.objects.get(pk=1).value
