"""Upload, plan, confirm; export."""

import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import F
from openpyxl import load_workbook

from kits.exchange import forms
from kits.exchange.actions import DEMONSTRATIONS
from kits.exchange.models import ImportPlan
from kits.files import store
from kits.files.store import drop
from kits.fitment.models import CatalogueStamp
from kits.models import Kit, KitOffer, Market
from kits.work.actions import run
from kits.work.kind import WAITING
from kits.work.models import Work
from tests.keys import a_key
from tests.kits.exchange.books import edited, load
from tests.kits.exchange.rows import made_rows, made_workbook
from tests.kits.fitment.pages import text
from vehicles.models import DutySet, ModelLine, Opening, Variant

pytestmark = pytest.mark.one_database
SOLENNE = next(path for path in DEMONSTRATIONS if "solenne" in path.name)


def upload(client, content: bytes, name: str = "solenne.xlsx"):
    return client.post("/import/", {"workbook": SimpleUploadedFile(name, content)}, follow=True)


def test_a_name_however_long_is_told_at_the_field(manager_client):
    body = (
        '--b\r\nContent-Disposition: form-data; name="workbook"; filename="' + "n" * 3000 + '.xlsx"\r\n'
        "Content-Type: application/octet-stream\r\n\r\nPK\r\n--b--\r\n"
    )
    page = manager_client.generic("POST", "/import/", body, content_type="multipart/form-data; boundary=b")
    assert page.status_code == 422
    assert "The file’s name is longer than 200 characters; shorten it." in text(page)


def test_a_good_workbook_waits_until_it_is_confirmed(manager_client):
    page = upload(manager_client, SOLENNE.read_bytes())
    plan = ImportPlan.objects.get()
    assert f"Rows to add {plan.plan['counts']['add']}" in text(page)
    assert not Variant.objects.exists()
    key = re.search(r'name="idempotency_key" value="(\w+)"', page.content.decode())
    assert key
    for _ in range(2):
        done = manager_client.post(f"/import/{plan.pk}/", {"idempotency_key": key[1]}, follow=True)
    assert f"{plan.plan['counts']['add']} rows added" in text(done)
    assert Variant.objects.count() == len(plan.plan["sheets"]["Variants"]["add"])


def test_every_problem_is_listed_by_place(manager_client):
    book = load_workbook(io.BytesIO(SOLENNE.read_bytes()))
    sheet = book["Surfaces"]
    heads = [cell.value for cell in sheet[1]]
    sheet.cell(3, heads.index("area [m²]") + 1).value = "<b>wide</b>"
    sheet.cell(4, heads.index("kind") + 1).value = "slate"
    content = io.BytesIO()
    book.save(content)
    answer = upload(manager_client, content.getvalue())
    plan = ImportPlan.objects.get()
    assert plan.state == "refused"
    assert len(plan.plan["problems"]) >= 2
    page = text(answer)
    for problem in plan.plan["problems"]:
        assert f"{problem['sheet']} {problem['row']} {problem['column']} {problem['sentence']}" in page
    assert "<b>wide" not in answer.content.decode()
    assert "Import this" not in page


@pytest.mark.parametrize(("name", "content", "sentence"), [
    ("kit.pdf", b"%PDF", "not an .xlsx workbook"),
    ("kit.xlsx", b"", "The file is empty"),
])  # fmt: skip
def test_other_files_are_refused_before_they_are_read(manager_client, name, content, sentence):
    answer = upload(manager_client, content, name)
    assert answer.status_code == 422
    assert sentence in text(answer)
    assert not ImportPlan.objects.exists()


def test_a_large_file_is_refused_before_it_is_read(manager_client, monkeypatch):
    monkeypatch.setattr(forms, "MAX_BYTES", 10)
    answer = upload(manager_client, b"PK" + b"0" * 20)
    assert answer.status_code == 422
    assert "larger than" in text(answer)
    assert not ImportPlan.objects.exists()


def test_no_file_at_all_gets_a_sentence(manager_client):
    answer = manager_client.post("/import/")
    assert answer.status_code == 422
    assert "Choose a workbook first." in text(answer)


def test_a_plan_that_was_overtaken_changes_nothing(manager_client):
    from kits.fitment.actions import touch_catalogue

    upload(manager_client, SOLENNE.read_bytes())
    from django.db import transaction

    with transaction.atomic():
        touch_catalogue()
    plan = ImportPlan.objects.get()
    page = text(manager_client.post(f"/import/{plan.pk}/", {"idempotency_key": a_key("k")}, follow=True))
    assert "Overtaken: nothing was imported." in page
    assert not Variant.objects.exists()


@pytest.mark.usefixtures("demonstration_here")
def test_a_line_is_exported_under_its_own_name(owner_client, installer_client):
    answer = owner_client.get("/lines/S4/workbook.xlsx")
    assert answer["Content-Disposition"] == 'attachment; filename="s4.xlsx"'
    assert "Surfaces" in load_workbook(io.BytesIO(answer.content)).sheetnames
    assert installer_client.get("/lines/S4/workbook.xlsx").status_code == 403


def confirm(client, plan, **values):
    return client.post(f"/import/{plan.pk}/", {"idempotency_key": a_key("k"), **values}, follow=True)


def test_rows_go_only_when_their_number_is_typed(manager_client):
    load(made_workbook())
    rows = made_rows()
    del rows["Openings"]["x1", "x2"]
    page = text(upload(manager_client, made_workbook(rows)))
    plan = ImportPlan.objects.first()
    assert "This removes 1 row. Type 1 to confirm that they go." in page
    for wrong in ("", "2", "one", "-1"):
        answer = confirm(manager_client, plan, removals=wrong)
        assert answer.status_code == 422
        assert "Nothing was imported." in text(answer)
        assert Opening.objects.count() == 2
    assert "1 removed" in text(confirm(manager_client, plan, removals="1"))
    assert Opening.objects.count() == 1


def test_the_plan_says_who_else_uses_a_shared_row(manager_client):
    load(made_workbook())
    other = ModelLine.objects.create(code="V30", name="van")
    KitOffer.objects.create(
        line=other,
        kit=Kit.objects.get(code="x2"),
        market=Market.objects.get(code="x1"),
        duty_set=DutySet.objects.get(code="x1"),
    )
    content = edited({("Kits", 3, "superheat [K]"): 7.5, ("Kits", 2, "superheat [K]"): 6.5})
    page = text(upload(manager_client, content))
    assert "They are used by the kits x2, and by the other model lines V30." in page
    assert "x2 : superheat_k from 6.78 to 7.5 (used by kits x2; lines V30)" in page.replace("x2: ", "x2 : ")
    assert "x1: superheat_k from 6.69 to 6.5 (used" not in page.replace("x1 : ", "x1: ")


def test_an_empty_workbook_is_there_to_fill(manager_client, owner_client, installer_client):
    assert 'href="/import/blank.xlsx"' in manager_client.get("/import/").content.decode()
    answer = owner_client.get("/import/blank.xlsx")
    assert answer["Content-Disposition"] == 'attachment; filename="new-line.xlsx"'
    assert load_workbook(io.BytesIO(answer.content)).sheetnames[0] == "About"
    assert installer_client.get("/import/blank.xlsx").status_code == 403


def test_only_a_manager_sees_the_import(owner_client):
    assert owner_client.get("/import/").status_code == 403


def test_an_absurd_plan_number_is_not_found(manager_client):
    assert manager_client.get("/import/99999999999999999999999/").status_code == 404


@pytest.fixture
def worker(settings):
    """A worker that takes the works when the test says so."""
    settings.WORK_AT_ONCE = False
    return lambda: [run(work.pk) for work in Work.objects.filter(state=WAITING)]


def goes_to(page):
    """Where the page of a work that has ended leads."""
    return re.search('data-goes-to="([^"]+)"', page.content.decode())[1]


def test_checking_and_importing_are_works_that_lead_from_page_to_page(manager_client, worker):
    page = upload(manager_client, made_workbook(), "C:\\desk\\my line.xlsx")
    work = Work.objects.get()
    assert "Check of my line.xlsx" in text(page) and not ImportPlan.objects.exists()
    assert "Check of my line.xlsx: how far it is" in text(manager_client.get("/import/"))
    worker()
    plan = ImportPlan.objects.get()
    there = f"/works/{work.pk}/?next=/import/&go=1"
    assert goes_to(manager_client.get(there)) == f"/import/{plan.pk}/"
    assert plan.file_name == "my line.xlsx"
    page = confirm(manager_client, plan)
    assert "Import of my line.xlsx" in text(page) and not Variant.objects.exists()
    assert "Being imported." in text(manager_client.get(f"/import/{plan.pk}/"))
    worker()
    assert goes_to(manager_client.get(page.request["PATH_INFO"] + "?go=1")) == f"/import/{plan.pk}/"
    assert "Imported on" in text(manager_client.get(f"/import/{plan.pk}/"))
    assert Variant.objects.exists()


def test_who_confirms_twice_asks_once(manager_client, worker):
    upload(manager_client, made_workbook())
    worker()
    plan = ImportPlan.objects.get()
    first, second = (confirm(manager_client, plan).request["PATH_INFO"] for _ in range(2))
    assert first == second
    assert Work.objects.filter(kind="apply").count() == 1


def test_a_check_that_is_cancelled_leaves_no_plan(manager_client, worker):
    upload(manager_client, made_workbook())
    work = Work.objects.get()
    manager_client.post(f"/works/{work.pk}/cancel/")
    worker()
    assert not ImportPlan.objects.exists()


def test_an_import_that_is_cancelled_in_time_changes_nothing(manager_client, worker):
    upload(manager_client, made_workbook())
    worker()
    plan = ImportPlan.objects.get()
    confirm(manager_client, plan)
    manager_client.post(f"/works/{Work.objects.get(kind='apply').pk}/cancel/")
    worker()
    assert not Variant.objects.exists()
    assert "Import this" in text(manager_client.get(f"/import/{plan.pk}/")), "it can be confirmed again"


def test_a_workbook_whose_bytes_were_lost_is_asked_for_again(manager_client, worker, settings):
    upload(manager_client, made_workbook())
    work = Work.objects.get()
    drop(settings.FILES_DIR, work.file.sha256)
    worker()
    assert "Send it again." in text(manager_client.get(f"/works/{work.pk}/"))


def test_who_lost_the_right_meanwhile_imports_nothing(manager_client, manager, worker):
    upload(manager_client, made_workbook())
    worker()
    confirm(manager_client, ImportPlan.objects.get())
    manager.groups.clear()
    worker()
    assert not Variant.objects.exists()


@pytest.mark.usefixtures("demonstration_here")
def test_a_lines_workbook_is_written_by_the_worker_and_given_again_until_something_changes(
    owner_client, worker
):
    there = owner_client.get("/lines/S4/workbook.xlsx")["Location"]
    worker()
    assert goes_to(owner_client.get(there)) == "/lines/S4/workbook.xlsx"
    for _ in range(2):
        answer = owner_client.get("/lines/S4/workbook.xlsx")
        assert answer["Content-Disposition"] == 'attachment; filename="s4.xlsx"'
    assert Work.objects.filter(kind="workbook").count() == 1
    CatalogueStamp.objects.update(value=F("value") + 1)
    assert owner_client.get("/lines/S4/workbook.xlsx").status_code == 302


@pytest.fixture
def full(monkeypatch):
    """A disk without room."""

    def no_room(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(store, "_put", no_room)


@pytest.mark.usefixtures("full")
def test_a_disk_that_is_full_is_told_at_the_form_and_by_the_work(manager_client, demonstration_here, worker):
    page = upload(manager_client, made_workbook())
    assert page.status_code == 422
    assert "Nothing was checked." in text(page) and "The server has no room for files" in text(page)
    there = manager_client.get("/lines/S4/workbook.xlsx")["Location"]
    worker()
    assert "Failed. The server has no room for files" in text(manager_client.get(there))
