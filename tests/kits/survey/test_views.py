"""The page of a car's survey, the word that it is finished, and the forms that take many values at once."""

import re
from html import unescape

import pytest

from kits.editing.actions import edit_rows
from kits.editing.changes import RowEdit
from kits.exchange.models import RowChange
from kits.fitment import tasks
from kits.fitment.actions import WorkedOut
from kits.fitment.models import CatalogueStamp, Fitment, RouteLength, SizedFitment
from kits.survey.sections import SECTIONS
from tests.kits.fitment.answers import store
from tests.kits.fitment.pages import text
from tests.kits.survey.pages import fields_of, input_of
from vehicles.cabin.models import Surface
from vehicles.catalogue.models import Variant
from vehicles.powertrain.models import ChargingPoint, CoolantState, EngineTemperature

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database,
    pytest.mark.usefixtures("demonstration"),
]

CAR = "/vehicles/S4/CP12L/"
COMMON = {
    "origin_kind": "measured", "origin_instrument": "tape, class II", "origin_uncertainty": "±5 mm",
    "origin_on": "2026-03-02", "origin_by": "A. Surveyor", "origin_source": "chassis 20418",
}  # fmt: skip


def car() -> Variant:
    return Variant.objects.get(line__code="S4", code="CP12L")


def surface_of(code="CP12L") -> Surface:
    """A surface that every car with this cabin has."""
    return car().cabin.surfaces.filter(terms__isnull=True, boundary="outside").first()


@pytest.fixture
def areas(manager_client):
    """The form of all areas, as it is sent untouched but for what holds for all."""
    page = manager_client.get(f"{CAR}survey/surfaces/")
    return page, {**fields_of(page), **COMMON}


def area_input(page, surface):
    return input_of(page, f"Area, {surface.name} ({surface.code})")


# The page


def test_the_page_shows_each_part_with_values_units_and_origins(owner_client):
    page = text(owner_client.get(CAR))
    cabin, engine = car().cabin, car().powertrain
    temperature = engine.engine_temperatures.first()
    for words in (
        f"Volume {cabin.volume_m3:.2f} m³",
        f"Hot idle {engine.hot_idle_rpm:,.0f} rpm",
        f"{engine.charging_curve.first().current_a:.1f}",
        f"{temperature.temperature_c:.1f} {temperature.origin_kind}",
        "Current of the generator:",
    ):
        assert words in page


def test_surfaces_of_other_cars_stand_apart(owner_client):
    page = text(owner_client.get(CAR))
    here, apart = page.split("Not on this car:")
    canvas = Surface.objects.filter(cabin=car().cabin, terms__isnull=False)
    options = {held.option_id for held in car().variant_options.all()}
    other = [s for s in canvas if not {t.option_id for t in s.terms.all() if not t.excluded} & options]
    assert other, "the demonstration has a surface that this car lacks"
    for surface in other:
        assert surface.name in apart
        assert f"{surface.name} {surface.kind}" not in here


def test_the_page_counts_what_is_missing_and_says_it(owner_client):
    before = text(owner_client.get(CAR))
    Surface.objects.filter(pk=surface_of().pk).update(area_m2=None)
    after = text(owner_client.get(CAR))
    sentence = f"The area of {surface_of().name} is missing."
    assert sentence in after
    assert sentence not in before


def test_who_may_gets_links_to_the_forms_with_the_way_back(manager_client, installer_client):
    page = manager_client.get(CAR).content.decode()
    surface = surface_of()
    for link in (
        f"/edit/S4/surfaces/?key=%5B%22{surface.cabin.code.casefold()}%22%2C%22",
        "next=%2Fvehicles%2FS4%2FCP12L%2F%23surfaces",
        f"{CAR}survey/temperatures/",
        f"{CAR}survey/routes/S4-DASH/",
        f"{CAR}copy/",
        "/lines/S4/copy/",
        "/history/?line=S4",
    ):
        assert link in page
    seen = installer_client.get(CAR).content.decode()
    assert "/edit/" not in seen
    assert "/survey/" not in seen


def test_each_change_link_opens_its_row(manager_client):
    page = manager_client.get(CAR).content.decode()
    links = {unescape(link) for link in re.findall(r'href="(/edit/[^"]+)"', page)}
    sheets = {link.split("/")[3] for link in links}
    assert sheets >= {
        "variants", "chassis", "cabins", "leakage", "seats", "openings", "surfaces", "layers", "powertrains",
        "pulleys", "charging", "car-loads", "coolant", "routes",
    }  # fmt: skip
    one_each = {(link.split("/")[3], "key=" in link): link for link in links}
    assert {link: manager_client.get(link).status_code for link in one_each.values()} == dict.fromkeys(
        one_each.values(), 200
    )


def test_other_cars_that_a_change_is_of_are_named(manager_client):
    others = Variant.objects.filter(cabin=car().cabin).exclude(code="CP12L").order_by("code")
    assert f"also changes {', '.join(v.code for v in others)}." in text(manager_client.get(CAR))


def test_all_recorded_temperatures_stand_with_the_one_that_counts_and_why(owner_client):
    row = car().powertrain.engine_temperatures.first()
    EngineTemperature.objects.create(
        powertrain=row.powertrain, engine_state=row.engine_state, boundary=row.boundary, temperature_c=77.7,
        origin_kind="default",
    )  # fmt: skip
    page = text(owner_client.get(CAR))
    assert "77.7 °C" in page
    assert f"It counts because {row.origin_kind} outranks default." in page


def test_the_number_of_queries_does_not_grow_with_the_rows(owner_client, django_assert_max_num_queries):
    with django_assert_max_num_queries(40):
        owner_client.get(CAR)


# Finished


def to_be_surveyed():
    Variant.objects.filter(code="CP12L").update(to_be_surveyed=True)


def test_a_car_to_be_surveyed_says_so_until_a_manager_says_why_it_is_finished(manager_client, manager):
    to_be_surveyed()
    assert "to be surveyed" in text(manager_client.get(CAR))
    assert manager_client.post(f"{CAR}surveyed/", {"reason": "all but the floor measured"}).status_code == 302
    assert not car().to_be_surveyed
    change = RowChange.objects.latest("pk")
    assert (change.act.person, change.act.reason) == (manager, "all but the floor measured")
    assert "to be surveyed" not in text(manager_client.get(CAR))


def test_no_survey_is_finished_without_a_reason(manager_client):
    to_be_surveyed()
    for reason in ("", "   ", "x" * 201):
        page = manager_client.post(f"{CAR}surveyed/", {"reason": reason})
        assert page.status_code == 422
        assert "Say why" in text(page)
    assert car().to_be_surveyed


def test_a_finished_survey_leaves_the_answers_fresh(manager_client):
    to_be_surveyed()
    fitment = Fitment.objects.get(variant__code="CP12L")
    store(fitment)
    manager_client.post(f"{CAR}surveyed/", {"reason": "measured"})
    stamp = CatalogueStamp.objects.get(pk=1).value
    assert SizedFitment.objects.get(fitment=fitment).catalogue_stamp == stamp


# Many values at once


def test_every_section_has_its_form(manager_client):
    for section in SECTIONS:
        where = "routes/S4-DASH" if section.slug == "routes" else section.slug
        assert manager_client.get(f"{CAR}survey/{where}/").status_code == 200
    for nowhere in ("nonsense", "routes", "routes/NONE"):
        assert manager_client.get(f"{CAR}survey/{nowhere}/").status_code == 404


def test_typed_values_are_written_with_one_origin_and_the_rest_is_left_alone(manager_client, areas):
    page, sent = areas
    surface = surface_of()
    others = {s.pk: (s.area_m2, s.origin_kind, s.origin_on) for s in Surface.objects.exclude(pk=surface.pk)}
    sent[area_input(page, surface)] = "1.234"
    answer = manager_client.post(f"{CAR}survey/surfaces/", sent)
    assert answer.status_code == 302
    assert answer["Location"] == f"{CAR}#surfaces"
    now = Surface.objects.get(pk=surface.pk)
    assert now.area_m2 == 1.234
    assert now.u_w_m2k == surface.u_w_m2k
    held = (now.origin_kind, now.origin_instrument, now.origin_uncertainty, now.origin_by, f"{now.origin_on}")
    assert held == ("measured", "tape, class II", "±5 mm", "A. Surveyor", "2026-03-02")
    assert now.origin_source == "chassis 20418"
    after = {s.pk: (s.area_m2, s.origin_kind, s.origin_on) for s in Surface.objects.exclude(pk=surface.pk)}
    assert after == others
    assert RowChange.objects.filter(sheet="Surfaces", act__reason__startswith="survey: surfaces").count() == 1


def test_a_value_that_was_not_measured_now_keeps_its_origin_in_the_note(manager_client, areas):
    page, sent = areas
    surface = surface_of()
    Surface.objects.filter(pk=surface.pk).update(origin_kind="estimate", origin_source="a sister car")
    page = manager_client.get(f"{CAR}survey/surfaces/")
    sent = {**fields_of(page), **COMMON, area_input(page, surface): "1.5"}
    manager_client.post(f"{CAR}survey/surfaces/", sent)
    note = Surface.objects.get(pk=surface.pk).origin_note
    assert note.startswith("This is of the area;")
    assert "U" in note
    assert note.endswith("as before: estimate, a sister car.")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("about two", "Area [m²] must be a number, not “about two”."),
        ("1,5", "with a point for decimals"),
        ("-3", "Area [m²] must be at least 0.0001 and at most 50."),
        ("0", "must be at least 0.0001"),
        ("99999", "and at most 50. Were these cm²?"),
        ("nan", "Area [m²]"),
        ("1e999", "Area [m²]"),
        ("１２", "write the number with the digits 0 to 9, not “１２”"),
    ],
)  # fmt: skip
def test_nonsense_is_refused_beside_its_input_and_nothing_is_written(manager_client, areas, typed, sentence):
    page, sent = areas
    surfaces = list(car().cabin.surfaces.filter(terms__isnull=True)[:2])
    first, second = (area_input(page, s) for s in surfaces)
    sent |= {first: "2.5", second: typed}
    answer = manager_client.post(f"{CAR}survey/surfaces/", sent)
    assert answer.status_code == 422
    assert sentence in text(answer)
    kept = fields_of(answer)
    assert (kept[first], kept[second], kept["origin_by"]) == ("2.5", typed, "A. Surveyor")
    assert not RowChange.objects.filter(sheet="Surfaces", act__reason__startswith="survey").exists()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "No value was typed"),
        ({"origin_instrument": ""}, "Say with what it was measured."),
        ({"origin_on": "2099-01-01"}, "That day is still to come."),
        ({"origin_on": "last week"}, "Write the date as 2026-05-01."),
        ({"origin_on": ""}, "Say when it was measured."),
        ({"origin_by": ""}, "Person"),
        ({"origin_source": "  "}, "Source"),
        ({"origin_kind": "guessed"}, "Choose one of the origins"),
        ({"origin_source": "chassis\u202e20418"}, "a character that can't be shown"),
        ({"seen": "{nonsense"}, "lost its state"),
        ({"seen": '{"x":7}'}, "lost its state"),
        ({"seen": '{"x":{"area_m2":[]}}'}, "lost its state"),
        ({"seen": '{"x":{"area_m2":1e999}}'}, "lost its state"),
        ({"seen": '{"x":{"origin_by":"\\ud800"}}'}, "lost its state"),
        ({"seen": "[" * 50_000}, "lost its state"),
        ({"idempotency_key": "k" * 65}, "lost its state"),
    ],
)  # fmt: skip
def test_what_holds_for_all_is_checked_too(manager_client, areas, changes, sentence):
    page, sent = areas
    if changes:
        sent[area_input(page, surface_of())] = "1.5"
    answer = manager_client.post(f"{CAR}survey/surfaces/", sent | changes)
    assert answer.status_code == 422
    assert sentence in text(answer)
    assert Surface.objects.get(pk=surface_of().pk).area_m2 == surface_of().area_m2


def test_a_row_changed_in_the_meantime_is_refused_and_all_is_kept(manager, manager_client, areas):
    page, sent = areas
    surface = surface_of()
    key = (surface.cabin.code.casefold(), surface.code.casefold())
    edit_rows(
        actor=manager, line="S4", edits=[RowEdit("change", "Surfaces", key, {"area_m2": 3.0})], reason="first"
    )
    name = area_input(page, surface)
    answer = manager_client.post(f"{CAR}survey/surfaces/", {**sent, name: "1.5"})
    assert answer.status_code == 409
    assert "changed in the meantime" in text(answer)
    assert Surface.objects.get(pk=surface.pk).area_m2 == 3.0
    again = fields_of(answer)
    assert again[name] == "1.5"
    assert manager_client.post(f"{CAR}survey/surfaces/", again).status_code == 302
    assert Surface.objects.get(pk=surface.pk).area_m2 == 1.5


def test_a_row_removed_in_the_meantime_is_refused(manager_client, areas):
    page, sent = areas
    surface = surface_of()
    name = area_input(page, surface)
    surface.layers.all().delete()
    surface.delete()
    answer = manager_client.post(f"{CAR}survey/surfaces/", {**sent, name: "1.5"})
    assert answer.status_code == 409
    assert "removed in the meantime" in text(answer)


def test_temperatures_are_added_and_a_form_sent_twice_adds_once(manager_client):
    page = manager_client.get(f"{CAR}survey/temperatures/")
    row = car().powertrain.engine_temperatures.first()
    label = f"Temperature, {row.get_boundary_display()}, {row.get_engine_state_display()}"
    sent = {**fields_of(page), **COMMON, input_of(page, label): "64.5"}
    before = EngineTemperature.objects.count()
    for _ in range(2):
        assert manager_client.post(f"{CAR}survey/temperatures/", sent).status_code == 302
    assert EngineTemperature.objects.count() == before + 1
    assert EngineTemperature.objects.get(pk=row.pk).temperature_c == row.temperature_c
    assert EngineTemperature.objects.latest("pk").origin_instrument == "tape, class II"


def test_the_charging_curve_takes_new_speeds_but_none_twice(manager_client):
    engine = car().powertrain
    page = manager_client.get(f"{CAR}survey/charging/")
    sent = {**fields_of(page), **COMMON}
    held = engine.charging_curve.first().engine_rpm
    sent |= {"engine_rpm-free1": f"{held:g}", "current_a-free1": "9"}
    refused = manager_client.post(f"{CAR}survey/charging/", sent)
    assert refused.status_code == 422
    assert "It stands in the list already" in text(refused)
    sent |= {"engine_rpm-free1": "4321", "engine_rpm-free2": "", "current_a-free2": "30"}
    half = manager_client.post(f"{CAR}survey/charging/", sent)
    assert half.status_code == 422
    assert "must not be empty" in text(half)
    sent["engine_rpm-free2"] = "4400"
    assert manager_client.post(f"{CAR}survey/charging/", sent).status_code == 302
    found = ChargingPoint.objects.filter(powertrain=engine, engine_rpm__gt=4320, engine_rpm__lt=4401)
    assert [(p.engine_rpm, p.current_a, p.origin_kind) for p in found] == [
        (4321, 9, "measured"), (4400, 30, "measured"),
    ]  # fmt: skip


def test_a_coolant_state_nobody_recorded_can_be_entered(manager_client):
    engine = car().powertrain
    engine.coolant_states.filter(engine_state="cruise").delete()
    page = manager_client.get(f"{CAR}survey/coolant/")
    sent = {**fields_of(page), **COMMON, input_of(page, "Coolant, cruise"): "84"}
    assert manager_client.post(f"{CAR}survey/coolant/", sent).status_code == 302
    assert CoolantState.objects.get(powertrain=engine, engine_state="cruise").coolant_c == 84


def test_lengths_of_a_fitment_are_added_together_and_only_it_is_sized(manager_client, monkeypatch):
    asked = []
    monkeypatch.setattr(tasks, "worked_out", lambda on, keys: asked.append(keys) or WorkedOut(0, ()))
    mine, other = (Fitment.objects.get(variant__code=code) for code in ("CP12L", "CP12R"))
    for fitment in (mine, other):
        store(fitment)
    page = manager_client.get(f"{CAR}survey/routes/S4-DASH/")
    names = [name for name in fields_of(page) if name.startswith("length_mm-")][:2]
    sent = {**fields_of(page), **COMMON, "cars_count": "3", names[0]: "1510", names[1]: "1620"}
    before = RouteLength.objects.filter(fitment=mine).count()
    answer = manager_client.post(f"{CAR}survey/routes/S4-DASH/", sent)
    assert answer["Location"] == f"{CAR}#routes-S4-DASH"
    added = RouteLength.objects.filter(fitment=mine).order_by("-pk")[:2]
    assert RouteLength.objects.filter(fitment=mine).count() == before + 2
    assert {(r.length_mm, r.cars_count, r.origin_by) for r in added} == {
        (1510, 3, "A. Surveyor"), (1620, 3, "A. Surveyor"),
    }  # fmt: skip
    assert asked == [[("S4-DASH", "S4", "CP12L")]]
    stamp = CatalogueStamp.objects.get(pk=1).value
    assert SizedFitment.objects.get(fitment=other).catalogue_stamp == stamp
    assert SizedFitment.objects.get(fitment=mine).catalogue_stamp < stamp


def test_the_form_stays_below_the_number_of_fields_that_is_taken(manager_client, settings):
    for section in SECTIONS:
        where = "routes/S4-DASH" if section.slug == "routes" else section.slug
        page = manager_client.get(f"{CAR}survey/{where}/")
        assert len(fields_of(page)) < settings.DATA_UPLOAD_MAX_NUMBER_FIELDS / 4
