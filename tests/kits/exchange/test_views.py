"""Upload, plan, confirm; export."""

import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import load_workbook

from kits.exchange import forms
from kits.exchange.actions import DEMONSTRATION
from kits.exchange.models import ImportPlan
from tests.kits.fitment.pages import text
from vehicles.catalogue.models import Variant


def upload(client, content: bytes, name: str = "solenne.xlsx"):
    return client.post("/import/", {"workbook": SimpleUploadedFile(name, content)}, follow=True)


def test_a_good_workbook_waits_until_it_is_confirmed(manager_client):
    page = upload(manager_client, DEMONSTRATION.read_bytes())
    plan = ImportPlan.objects.get()
    assert f"Rows to add {plan.plan['counts']['add']}" in text(page)
    assert not Variant.objects.exists()
    key = re.search(r'name="idempotency_key" value="(\w+)"', page.content.decode())
    assert key
    for _ in range(2):
        done = manager_client.post(f"/import/{plan.pk}/", {"idempotency_key": key[1]}, follow=True)
    assert f"{plan.plan['counts']['add']} rows added" in text(done)
    assert Variant.objects.count() == 6


def test_every_problem_is_listed_by_place(manager_client):
    book = load_workbook(io.BytesIO(DEMONSTRATION.read_bytes()))
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

    upload(manager_client, DEMONSTRATION.read_bytes())
    from django.db import transaction

    with transaction.atomic():
        touch_catalogue()
    plan = ImportPlan.objects.get()
    page = text(manager_client.post(f"/import/{plan.pk}/", {"idempotency_key": "k"}, follow=True))
    assert "Overtaken: nothing was imported." in page
    assert not Variant.objects.exists()


@pytest.mark.usefixtures("demonstration")
def test_a_line_is_exported_under_its_own_name(owner_client, installer_client):
    answer = owner_client.get("/lines/S4/workbook.xlsx")
    assert answer["Content-Disposition"] == 'attachment; filename="s4.xlsx"'
    assert "Surfaces" in load_workbook(io.BytesIO(answer.content)).sheetnames
    assert installer_client.get("/lines/S4/workbook.xlsx").status_code == 403


def test_only_a_manager_sees_the_import(owner_client):
    assert owner_client.get("/import/").status_code == 403


def test_an_absurd_plan_number_is_not_found(manager_client):
    assert manager_client.get("/import/99999999999999999999999/").status_code == 404
