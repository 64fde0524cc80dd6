"""The fit table and the fitment's sheet show what is stored."""

import re
from urllib.parse import quote

import pytest
from django.urls import reverse

from kits.editing.actions import record
from kits.editing.changes import RowEdit
from kits.fitment import tasks
from kits.fitment.actions import WorkedOut, ask_to_size
from kits.fitment.models import Fitment, RouteLength, SizedFitment
from kits.work.models import Work
from tests.kits.fitment.answers import GAP, NOT_SIZED, RECORD, store, with_verdict
from tests.kits.fitment.conftest import ON
from tests.kits.fitment.pages import main_text, text
from vehicles.physics.canonical import stored_of

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]


@pytest.fixture
def fitment() -> Fitment:
    return Fitment.objects.get(variant__code="CP12L")


def address(fitment, name="fitment-sheet", *more) -> str:
    return reverse(name, args=[fitment.kit.code, fitment.variant.line.code, fitment.variant.code, *more])


@pytest.fixture
def unsized(monkeypatch) -> list[str]:
    """Spare the sizing after a length is recorded; it has tests of its own."""
    called: list[str] = []
    monkeypatch.setattr(tasks, "worked_out", lambda on, keys: called.append("sized") or WorkedOut(0, ()))
    return called


def recorded(manager):
    """A length that somebody measured."""
    row = {
        "kit": "S4-DASH", "variant": "CP12L", "route": "LIQ-L", "length_mm": 1800.0, "origin_kind": "measured",
        "origin_source": "chassis 20418", "origin_on": ON,
    }  # fmt: skip
    edits = [RowEdit("add", "Lengths", values=row)]
    return record(actor=manager, fitment=("S4-DASH", "S4", "CP12L"), edits=edits, reason="x", on=ON)


def test_the_fit_table_shows_the_stored_verdict_and_margin(owner_client, fitment):
    store(fitment, blocking=2)
    store(Fitment.objects.get(kit__code="S4-DASH", variant__code="TR6L"), NOT_SIZED)
    page = text(owner_client.get("/fit/"))
    assert "marginal +18 % 2 findings to fix" in page
    assert "not sized 1 value missing" in page
    assert "Sized as of 2026-03-01 09:30 UTC" in page


def test_the_fit_table_filters_by_verdict_line_and_words(owner_client, fitment):
    store(fitment)
    assert "CP12R" not in text(owner_client.get("/fit/?verdict=marginal"))
    assert "CP12L" in text(owner_client.get("/fit/?verdict=marginal&line=S4&text=coup%C3%A9"))
    assert "No variant matches" in text(owner_client.get("/fit/?text=nonsense"))
    assert owner_client.get("/fit/?line=nonsense&verdict=%00&page=zz&sort=nonsense").status_code == 200


def test_the_fit_table_sorts_by_verdict_then_margin(owner_client):
    answers = {"CP12L": ("not enough", -0.1), "CP12R": ("strong enough", 0.3), "TR12L": ("not enough", -0.4)}
    for code, (verdict, margin) in answers.items():
        store(Fitment.objects.get(variant__code=code), with_verdict(verdict, margin))
    column = f"kit{Fitment.objects.first().kit_id}"
    for sort, expected in (
        (column, ["CP12R", "CP12L", "TR12L"]),
        (f"-{column}", ["TR12L", "CP12L", "CP12R"]),
    ):
        page = text(owner_client.get(f"/fit/?sort={sort}"))
        assert re.findall(r"CP12L|CP12R|TR12L", page) == expected


def test_stale_answers_say_so_and_only_a_manager_may_renew_them(manager_client, installer_client, fitment):
    store(fitment, behind=1)
    for path in ("/fit/", address(fitment)):
        assert "out of date" in text(manager_client.get(path))
        assert "Size again" in text(manager_client.get(path))
        assert "Size again" not in text(installer_client.get(path))
    assert installer_client.post("/fit/size-again/").status_code == 403


def test_in_the_fit_table_an_answer_is_out_of_date_when_the_data_moved_on_and_not_before(
    owner_client, fitment
):
    SizedFitment.objects.all().delete()
    answer = store(fitment)
    assert ", out of date" not in owner_client.get("/fit/").content.decode()
    answer.catalogue_stamp -= 1
    answer.save()
    assert ", out of date" in owner_client.get("/fit/").content.decode()


def test_size_again_goes_back_to_our_own_pages_only(manager_client, unsized, fitment):
    there = manager_client.post("/fit/size-again/", {"next": address(fitment)})
    assert there["Location"] == address(fitment)
    assert manager_client.post("/fit/size-again/", {"next": "https://evil.example/"})["Location"] == "/fit/"
    assert set(unsized) == {"sized"}


def test_where_a_worker_runs_size_again_shows_how_far_it_is(manager_client, unsized, fitment, settings):
    settings.WORK_AT_ONCE = False
    there = manager_client.post("/fit/size-again/", {"next": address(fitment)})
    work = Work.objects.get()
    assert there["Location"] == f"/works/{work.pk}/?next={quote(address(fitment), safe='')}"
    assert unsized == [], "nothing is worked out within the request"
    assert text(manager_client.get(there["Location"])).count("Waiting. It begins in a moment.") == 1


@pytest.mark.parametrize(
    ("sent", "key"),
    [
        ({}, "||"),
        ({"line": "S4"}, "S4||"),
        ({"kit": "S4-DASH"}, "|S4-DASH|"),
        ({"line": "S4", "kit": "S4-DASH", "variant": "CP12L"}, "S4|S4-DASH|CP12L"),
    ],
)
def test_a_line_a_kit_or_one_car_can_be_sized_by_itself(manager_client, settings, sent, key):
    settings.WORK_AT_ONCE = False
    assert manager_client.post("/fit/size-again/", sent).status_code == 302
    assert Work.objects.get().key == key


@pytest.mark.parametrize("sent", [{"line": "S5"}, {"line": "S4", "variant": "CP12L"}, {"kit": "\0"}])
def test_what_names_no_fitment_is_not_sized(manager_client, settings, sent):
    settings.WORK_AT_ONCE = False
    assert manager_client.post("/fit/size-again/", sent).status_code == 404
    assert not Work.objects.exists()


def test_a_stale_sheet_offers_its_own_car_and_all(manager_client, fitment):
    store(fitment, behind=1)
    page = text(manager_client.get(address(fitment)))
    assert "Size again" in page and "Size all again" in page
    filtered = text(manager_client.get("/fit/?line=S4"))
    assert "Size these again" in filtered and "Size all again" in filtered


@pytest.mark.parametrize(("scope", "shown"), [({}, True), ({"line": "S4"}, True), ({"line": "V30"}, False)])
def test_while_a_work_sizes_it_the_sheet_says_so_to_everybody(
    manager, installer_client, fitment, settings, scope, shown
):
    settings.WORK_AT_ONCE = False
    store(fitment, behind=1)
    ask_to_size(actor=manager, on=ON, **scope)
    assert ("Being worked out: waiting." in text(installer_client.get(address(fitment)))) is shown
    assert "Being worked out: waiting." in text(installer_client.get("/fit/"))


def test_a_length_is_saved_at_once_and_its_page_says_that_the_answer_is_being_worked_out(
    manager, manager_client, fitment, settings
):
    settings.WORK_AT_ONCE = False
    store(fitment)
    recorded(manager)
    page = text(manager_client.get(address(fitment)))
    assert RouteLength.objects.filter(fitment=fitment, length_mm=1800).exists()
    assert "Being worked out: waiting." in page
    other = Fitment.objects.get(variant__code="CP12R")
    assert "Being worked out" not in text(manager_client.get(address(other)))


def test_the_number_of_queries_does_not_grow_with_the_fitments(owner_client, django_assert_max_num_queries):
    for fitment in Fitment.objects.all():
        store(fitment)
    owner_client.get("/fit/")  # the first request of a session writes when it began
    with django_assert_max_num_queries(17):
        owner_client.get("/fit/")
    with django_assert_max_num_queries(110):
        owner_client.get(address(Fitment.objects.first()))


def test_the_sheet_gives_the_answer_first(owner_client, fitment):
    store(fitment)
    page = main_text(owner_client.get(address(fitment)))
    order = ["marginal +18 %", "Town 30 km/h", "2.5 kW", "2.9 kW", "the condenser", "Duty points", "Findings"]
    places = [page.index(words) for words in order]
    assert places == sorted(places)
    assert "load ± 15 %, capacity ± 12 %" in page
    assert "Solar film: strong enough." in page
    assert "Load by term: glass" in page, "the picture has its words"


def test_the_sheet_shows_parts_hoses_joints_charge_and_papers(installer_client, fitment):
    page = text(installer_client.get(address(fitment), {"market": "home"}))
    for words in ("BM10-146", "Discharge hose", "N·m", "R-134a", "650 g", "PAG 46", "Parts list (PDF)"):
        assert words in page
    assert "never been sized" in page
    assert "Record a length" not in page


def test_what_is_missing_leads_to_the_place_that_mends_it(owner_client, fitment):
    store(fitment, NOT_SIZED)
    page = owner_client.get(address(fitment)).content.decode()
    assert GAP.sentence in page
    assert 'href="/vehicles/S4/CP12L/#powertrain"' in page


def test_an_answer_of_another_program_is_not_shown_as_ours(owner_client, fitment):
    SizedFitment.objects.filter(pk=store(fitment).pk).update(record={**stored_of(RECORD), "schema": "99"})
    assert "never been sized" in text(owner_client.get(address(fitment)))


def test_a_new_length_changes_the_cut_length(manager, manager_client, fitment, unsized):
    assert "1,446 mm" in text(manager_client.get(address(fitment)))
    assert recorded(manager).count == 1
    assert "1,446 mm" not in text(manager_client.get(address(fitment)))
    assert unsized == ["sized"]


def test_only_who_may_change_rows_is_led_to_the_form_of_the_mounting(
    installer_client, manager_client, fitment
):
    assert "Change how it sits" not in text(installer_client.get(address(fitment)))
    page = manager_client.get(address(fitment)).content.decode()
    assert "/edit/S4/fitments/?key=%5B%22s4-dash%22%2C%22cp12l%22%5D" in page


def test_an_unknown_fitment_is_not_found(manager_client):
    assert manager_client.get("/fitments/S4-DASH/S4/NONE/").status_code == 404


def test_hostile_names_are_shown_as_text(owner_client, fitment):
    fitment.variant.name = "<script>alert(1)</script>"
    fitment.variant.save()
    for path in ("/fit/", address(fitment), "/vehicles/", "/vehicles/S4/CP12L/"):
        page = owner_client.get(path).content.decode()
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert(1)" in page
