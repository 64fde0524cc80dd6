"""A length, a charge and a trial of a fitment: one form drawn from the sheet, one act, and the history tells it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from urllib.parse import parse_qsl, urlsplit

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from kits.editing.actions import Written, record
from kits.editing.changes import RowEdit
from kits.exchange.models import RowChange, UnusualValue
from kits.fitment import tasks
from kits.fitment.actions import WorkedOut
from kits.fitment.bridge import load_catalogue
from kits.fitment.models import AirTrial, CatalogueStamp, ChargeRecord, Fitment, RouteLength, SizedFitment
from tests.conftest import unsaved
from tests.kits.editing.test_views import form_of
from tests.kits.fitment.answers import store
from tests.kits.fitment.conftest import ON
from tests.kits.fitment.pages import main_text, text

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]
THERE = "/fitments/S4-DASH/S4/CP12L/"
KEY = ("S4-DASH", "S4", "CP12L")


@dataclass(frozen=True)
class Case:
    """One kind: the page whose link leads to its form, what is typed, and what is said."""

    page: str
    link: str
    model: type
    typed: Mapping[str, str]
    back: str
    said: str
    reason: str
    unusual: tuple[str, str, str, str]
    sheet: str


CASES = {
    "length": Case(
        THERE, "Record a length of route LIQ-L", RouteLength,
        {"length_mm": "1800", "cars_count": "2", "spread_mm": "12"}, "#length-LIQ-L",
        "Length of route LIQ-L recorded: 1800 mm. The cut length is worked out anew.", "length of LIQ-L: 1800 mm",
        ("length_mm", "45", "45.0", "is 45 mm; usual are 60 to 12,000 mm. Were these cm?"), "Lengths",
    ),
    "charge": Case(
        THERE, "Record a charge", ChargeRecord, {"charge_g": "641", "tolerance_g": "20"}, "#charge",
        "Charge recorded: 641 g.", "charge: 641 g",
        ("charge_g", "4500", "4500.0", "is 4,500 g; usual are 200 to 4,000 g."), "Charges",
    ),
    "trial": Case(
        f"{THERE}air/", "Record a trial", AirTrial,
        {"airflow_m3_h": "340", "blower_static_pa": "285", "motor_voltage_v": "13.4", "air_c": "22"}, "#trials",
        "Trial recorded. The fitment is being sized again with it.", "air trial: 340 m³/h at 285 Pa",
        ("air_c", "55", "55.0", "is 55 °C; usual are 0 to 50 °C."), "Air trials",
    ),
}  # fmt: skip
KINDS = pytest.mark.parametrize("case", CASES.values(), ids=CASES)


@pytest.fixture(autouse=True)
def sized(monkeypatch):
    """What is asked to be sized: the sizing has tests of its own."""
    asked = []
    monkeypatch.setattr(tasks, "worked_out", lambda on, keys: asked.append(keys) or WorkedOut(0, ()))
    return asked


@pytest.fixture
def fitment():
    return Fitment.objects.get(kit__code="S4-DASH", variant__code="CP12L")


def form_behind(client, case):
    """Where the page's link leads, and the form there with what is typed into it."""
    body = client.get(case.page).content.decode()
    (where,) = re.findall(rf'href="([^"]+)">{re.escape(case.link)}</a>', body)
    where = where.replace("&amp;", "&")
    typed = {f"row-{name}": value for name, value in {**case.typed, "origin_source": "chassis 20418"}.items()}
    return where, form_of(client.get(where)) | typed


@KINDS
def test_it_is_recorded_with_its_origin_and_stands_in_the_history_with_who_and_why(
    manager_client, case, sized
):
    where, form = form_behind(manager_client, case)
    count = case.model.objects.count()
    answer = manager_client.post(where, form | {"row-origin_instrument": "my old one"})
    assert answer["Location"] == f"{case.page}{case.back}"
    assert case.model.objects.count() == count + 1
    row = case.model.objects.latest("pk")
    assert {name: f"{getattr(row, name):g}" for name in case.typed} == case.typed
    assert (row.origin_kind, row.origin_by, row.origin_source, row.origin_instrument) == (
        "weighed" if case.model is ChargeRecord else "measured", "manager", "chassis 20418", "my old one",
    )  # fmt: skip
    assert case.said in text(manager_client.get(answer["Location"]))
    change = RowChange.objects.first()
    assert (change.sheet, change.kind, change.act.kind) == (case.sheet, "add", "record")
    assert f"manager {case.reason}" in main_text(manager_client.get(reverse("edit-history")))
    assert sized == [[KEY]]


@KINDS
def test_the_same_form_sent_twice_records_it_once(manager_client, case):
    where, form = form_behind(manager_client, case)
    count = case.model.objects.count()
    assert [manager_client.post(where, form).status_code for _ in range(2)] == [302, 302]
    assert case.model.objects.count() == count + 1
    assert manager_client.post(where, form | {"row-origin_source": "another car"}).status_code == 409


@KINDS
def test_what_is_not_usual_is_asked_once_and_kept_when_it_is_meant(manager_client, manager, case):
    where, form = form_behind(manager_client, case)
    field, typed, value, words = case.unusual
    count, form = case.model.objects.count(), form | {f"row-{field}": typed}
    asked = manager_client.post(where, form)
    assert (asked.status_code, words in text(asked)) == (422, True)
    assert (case.model.objects.count(), UnusualValue.objects.count()) == (count, 0)
    tokens = re.findall(r'name="meant" value="(\w+)"', asked.content.decode())
    assert len(tokens) == 1
    assert manager_client.post(where, form | {"meant": tokens}).status_code == 302
    found = UnusualValue.objects.get()
    assert (found.sheet, found.field, found.value, found.act.person) == (case.sheet, field, value, manager)
    assert found.act == RowChange.objects.first().act
    again = form_behind(manager_client, case)[1] | {f"row-{field}": typed}
    assert manager_client.post(where, again).status_code == 302


@pytest.mark.parametrize(
    ("kind", "changes", "sentence"),
    [
        ("length", {"length_mm": "NaN"}, "number"),
        ("length", {"length_mm": ""}, "Length [mm] : Must not be empty."),
        ("length", {"length_mm": "-5"}, "Length [mm] : Must be at least 1 and at most 30,000."),
        ("length", {"spread_mm": "1900"}, "The spread is larger than the length itself."),
        ("length", {"cars_count": "1.5"}, "whole number"),
        ("length", {"origin_source": " "}, "Say where the length comes from"),
        ("charge", {"charge_g": "plenty"}, "Charge [g] : Must be a number, not “plenty”."),
        ("charge", {"charge_g": "99999"}, "Charge [g] : Must be at least 1 and at most 20,000."),
        ("charge", {"tolerance_g": "700"}, "The tolerance is as large as the charge itself."),
        ("charge", {"origin_source": ""}, "Say where the charge comes from"),
        ("charge", {"origin_kind": "guess"}, "guess"),
        ("trial", {"airflow_m3_h": "900"}, "lies outside the blower's curve"),
        ("trial", {"blower_static_pa": "5"}, "times the pressure of the blower's curve at that flow"),
        ("trial", {"airflow_m3_h": "60"}, "times the losses that the parts state for that flow"),
        ("trial", {"origin_source": ""}, "Say where the trial was made"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence_and_what_was_typed_is_kept(
    manager_client, sized, kind, changes, sentence
):
    case = CASES[kind]
    where, form = form_behind(manager_client, case)
    count = case.model.objects.count()
    form |= {
        "row-origin_instrument": "my old one",
        **{f"row-{name}": value for name, value in changes.items()},
    }
    answer = manager_client.post(where, form)
    # an unusual value is asked about before it is tried against the rest
    tokens = re.findall(r'name="meant" value="(\w+)"', answer.content.decode())
    answer = manager_client.post(where, form | {"meant": tokens}) if tokens else answer
    assert (answer.status_code, sentence in text(answer)) == (422, True), text(answer)
    assert 'value="my old one"' in answer.content.decode()
    assert case.model.objects.count() == count
    assert (sized, UnusualValue.objects.count()) == ([], 0)


def test_a_kit_that_heats_only_takes_no_charge(manager):
    row = {"kit": "S4-WARM", "variant": "CP6R", "charge_g": 640.0, "origin_source": "scale"}
    written = record(
        actor=manager, fitment=("S4-WARM", "S4", "CP6R"), edits=[RowEdit("add", "Charges", values=row)],
        reason="x", on=ON,
    )  # fmt: skip
    assert "heats only" in written.problems[0].sentence
    assert not ChargeRecord.objects.filter(fitment__kit__code="S4-WARM").exists()


@pytest.mark.parametrize("role", ["production", "installer", "owner", "stranger"])
def test_only_a_manager_records(role):
    with pytest.raises(PermissionDenied, match="Only a manager"):
        record(actor=unsaved(role), fitment=KEY, edits=[], reason="x", on=ON)


def test_only_a_manager_sees_the_links(installer_client, manager_client):
    for case in CASES.values():
        assert case.link not in text(installer_client.get(case.page))
        assert case.link in text(manager_client.get(case.page))


def test_it_sizes_its_own_fitment_and_leaves_the_others_fresh(manager, fitment, sized):
    other = Fitment.objects.get(kit__code="S4-DASH", variant__code="CP12R")
    behind = Fitment.objects.get(kit__code="S4-DASH", variant__code="TR6L")
    for row in (fitment, other):
        store(row)
    store(behind, behind=1)
    was = SizedFitment.objects.get(fitment=behind).catalogue_stamp
    row = {"kit": "s4-dash", "variant": "cp12l", "charge_g": 640.0, "origin_source": "a car"}
    edits = [RowEdit("add", "Charges", values=row)]
    assert record(
        actor=manager, fitment=("s4-dash", "s4", "cp12l"), edits=edits, reason="x", on=ON
    ) == Written(1)
    assert sized == [[KEY]]
    stamp = CatalogueStamp.objects.get(pk=1).value
    stamps = dict(SizedFitment.objects.values_list("fitment", "catalogue_stamp"))
    assert stamps[other.pk] == stamp, "another fitment's answer does not rest on this charge"
    assert stamps[behind.pk] == was < stamp, "what was out of date stays so"
    assert stamps[fitment.pk] < stamp, "its own answer is out of date until it is sized"


def test_a_weighed_charge_wins_over_an_estimate_whenever_it_was_entered(manager):
    add = partial(record, actor=manager, fitment=KEY, reason="x", on=ON)
    for kind, grams in (("weighed", 640.0), ("estimate", 600.0)):
        row = {
            "kit": "S4-DASH",
            "variant": "CP12L",
            "charge_g": grams,
            "origin_kind": kind,
            "origin_source": "scale",
            "origin_on": ON,
        }
        assert add(edits=[RowEdit("add", "Charges", values=row)]).count == 1
    catalogue = load_catalogue([KEY], ON)
    assert catalogue.resolve(catalogue.fitments[0]).charge.charge_g == 640


def test_a_flow_found_from_vent_readings_is_filled_in(manager_client):
    speeds = {f"vent_{number}": "5" for number in range(1, 5)}
    page = manager_client.get(f"{THERE}air/", {"mean_share": "1", "step": "3", **speeds}).content.decode()
    (where,) = re.findall(r'href="([^"]+)">Record a trial</a>', page)
    given = dict(parse_qsl(urlsplit(where.replace("&amp;", "&")).query))
    assert float(given["airflow_m3_h"]) > 0
    assert (
        form_of(manager_client.get(where.replace("&amp;", "&")))["row-airflow_m3_h"] == given["airflow_m3_h"]
    )
