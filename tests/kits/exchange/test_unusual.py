"""What is possible and not usual: it is asked about, once, and it is kept who said that it is as meant."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command

from kits.exchange.actions import Unconfirmed, apply_plan
from kits.exchange.models import ImportPlan, RowChange, UnusualValue
from kits.exchange.sheets.bridge import SHEETS
from kits.exchange.unusual import ranged
from tests.keys import a_key
from tests.kits.exchange.books import check, edited, load
from tests.kits.exchange.rows import made_rows, made_workbook, some_sheets
from tests.kits.fitment.pages import text
from vehicles.models import Cabin
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db
ASKED = "Volume of x1 is 26 m³; usual are 1.5 to 15 m³. Is it so?"


@pytest.fixture
def stored():
    """The made-up line, imported."""
    return load(made_workbook())


def volume(value):
    """A workbook in which the first cabin has this volume."""
    return edited({("Cabins", 2, "volume [m³]"): value})


def asked(plan):
    """The sentences of a plan's questions."""
    return [question["sentence"] for question in plan.plan["questions"]]


def test_what_is_usual_is_not_asked_about():
    assert asked(check(made_workbook())) == []


def test_what_a_blank_cell_stands_for_is_usual():
    for sheet in SHEETS:
        for name, (column, span) in ranged(sheet).items():
            assert column.default is None or span.is_usual(column.default), (sheet.name, name)


@pytest.mark.usefixtures("stored")
def test_a_changed_value_that_is_not_usual_is_asked_about_at_its_place():
    plan = check(volume(26))
    assert plan.state == "ready"
    (question,) = plan.plan["questions"]
    assert question == {
        "line": "s4", "sheet": "Cabins", "row": 2, "column": "C", "key": ["x1"], "field": "volume_m3",
        "value": "26.0", "sentence": ASKED,
    }  # fmt: skip


@pytest.mark.usefixtures("stored")
def test_nothing_is_imported_before_it_is_said_how_many_are_as_meant(manager):
    plan = check(volume(26))
    for said in (None, 0, 2):
        with pytest.raises(Unconfirmed) as refused:
            apply_plan(actor=manager, plan_id=plan.pk, unusual=said)
        assert list(refused.value.missing) == ["unusual"]
    assert Cabin.objects.get(code="x1").volume_m3 != 26
    assert not UnusualValue.objects.exists()
    assert apply_plan(actor=manager, plan_id=plan.pk, unusual=1).state == "applied"
    assert Cabin.objects.get(code="x1").volume_m3 == 26


@pytest.mark.usefixtures("stored")
def test_it_is_kept_who_confirmed_with_the_act_that_wrote_it(manager):
    apply_plan(actor=manager, plan_id=check(volume(26)).pk, unusual=1)
    kept = UnusualValue.objects.get()
    assert (kept.act.person, kept.line, kept.sheet, kept.key) == (manager, "s4", "Cabins", ["x1"])
    assert (kept.field, kept.value) == ("volume_m3", "26.0")
    assert kept.act == RowChange.objects.filter(sheet="Cabins").first().act


@pytest.mark.usefixtures("stored")
def test_the_same_workbook_again_and_the_same_value_later_are_not_asked_about(manager):
    apply_plan(actor=manager, plan_id=check(volume(26)).pk, unusual=1)
    assert asked(check(volume(26))) == []
    load(volume(9))
    again = check(volume(26))
    assert again.plan["counts"]["change"] == 1
    assert asked(again) == []
    assert apply_plan(actor=manager, plan_id=again.pk).state == "applied"
    assert UnusualValue.objects.count() == 1


@pytest.mark.usefixtures("stored")
def test_another_value_and_another_row_are_asked_about(manager):
    apply_plan(actor=manager, plan_id=check(volume(26)).pk, unusual=1)
    assert asked(check(volume(27))) == [ASKED.replace("26", "27")]
    other = check(edited({("Cabins", 3, "volume [m³]"): 26}))
    assert asked(other) == [ASKED.replace("x1", "x2")]


def test_new_rows_are_asked_about_and_what_stays_is_not():
    rows = made_rows()
    rows["Cabins"]["x1",]["volume_m3"] = 26.0
    first = check(made_workbook(rows))
    assert asked(first) == [ASKED]
    apply_plan(actor=CONSOLE, plan_id=first.pk, unusual=1)
    UnusualValue.objects.all().delete()
    assert asked(check(made_workbook(rows))) == []
    more = edited({("Cabins", 2, "name"): "other"}, some_sheets(["Cabins"], rows))
    assert asked(check(more)) == []


@pytest.mark.usefixtures("stored")
def test_a_length_measured_once_more_is_not_asked_about_again():
    rows = made_rows()
    ((_, row), *_) = rows["Lengths"].items()
    for on, count in (("tape", 1), ("string", 0)):
        row.update(length_mm=25_000.0, origin_instrument=on)
        plan = check(some_sheets(["Lengths"], {"Lengths": {("one",): row}}))
        assert plan.plan["counts"]["add"] == 1
        assert len(asked(plan)) == count
        apply_plan(actor=CONSOLE, plan_id=plan.pk, unusual=count)
    kept = UnusualValue.objects.get()
    assert (kept.key, kept.act.person) == (["x1", "x1", "x1"], None)


@pytest.mark.usefixtures("stored")
def test_a_shared_row_is_the_same_in_every_line(manager):
    plan = check(edited({("Kits", 2, "superheat [K]"): 25}))
    apply_plan(actor=manager, plan_id=plan.pk, unusual=1)
    assert UnusualValue.objects.get().line == ""


def test_a_hint_tells_the_unit_that_would_explain_it():
    load(made_workbook())
    plan = check(edited({("Revisions", 2, "inner volume [ml]"): 0.04}))
    (sentence,) = asked(plan)
    assert sentence.endswith("is 0.04 ml; usual are 0.5 to 3,000 ml. Were these litres?")


# On the page


def upload(client, content):
    return client.post("/import/", {"workbook": SimpleUploadedFile("s4.xlsx", content)}, follow=True)


def confirm(client, plan, **values):
    return client.post(f"/import/{plan.pk}/", {"idempotency_key": a_key("k"), **values}, follow=True)


@pytest.mark.usefixtures("stored")
def test_the_page_asks_refuses_without_the_tick_and_imports_with_it(manager_client, manager):
    page = text(upload(manager_client, volume(26)))
    plan = ImportPlan.objects.first()
    assert f"Cabins 2 C {ASKED}" in page
    assert "This value is as I meant it" in page
    refused = confirm(manager_client, plan)
    assert refused.status_code == 422
    assert "Nothing was imported." in text(refused) and "1 value lies outside what is usual." in text(refused)
    assert Cabin.objects.get(code="x1").volume_m3 != 26
    assert "0 rows added, 1 changed" in text(confirm(manager_client, plan, unusual="on"))
    assert UnusualValue.objects.get().act.person == manager


@pytest.mark.usefixtures("stored")
def test_rows_that_go_and_unusual_values_are_both_asked_for(manager_client):
    rows = made_rows()
    rows["Cabins"]["x1",]["volume_m3"] = 26.0
    del rows["Openings"]["x1", "x2"]
    upload(manager_client, made_workbook(rows))
    refused = confirm(manager_client, ImportPlan.objects.first(), unusual="on")
    assert refused.status_code == 422
    assert 'name="unusual" id="id_unusual" checked' in refused.content.decode()
    assert "Type 1 to confirm" in text(refused)


def test_a_page_of_many_questions_stays_short(manager_client):
    rows = made_rows()
    for n in range(151):
        rows["Openings"] |= {
            ("x1", f"y{n}"): {
                **rows["Openings"]["x1", "x1"],
                "code": f"y{n}",
                "area_m2": 5.0,
                "height_m": 3.0,
            }
        }
    page = upload(manager_client, made_workbook(rows))
    told = text(page)
    assert "These 302 values are as I meant them" in told
    assert "Shown are the first 100 of 302; 202 more are asked about." in told
    assert page.content.decode().count("usual are") == 100


# The command


def test_the_command_asks_for_the_number(tmp_path, command):
    load(made_workbook())
    path = tmp_path / "s4.xlsx"
    path.write_bytes(volume(26))
    assert f"Cabins, C2: {ASKED}" in command("import_workbook", str(path))
    with pytest.raises(CommandError, match="1 values are not usual; say --unusual 1 if they are as meant"):
        call_command("import_workbook", str(path), "--apply")
    assert command("import_workbook", str(path), "--apply", "--unusual", "1").endswith("Applied.\n")
    assert UnusualValue.objects.get().act.person is None
