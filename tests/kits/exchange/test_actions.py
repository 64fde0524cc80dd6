"""Check and apply: what is planned, what is written, and that a failure leaves everything as it was."""

import logging
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kits.exchange.actions import (
    DEMONSTRATIONS,
    apply_plan,
    ask_to_apply,
    check_workbook,
    import_demonstration,
)
from kits.exchange.apply.actions import RowWriter
from kits.models import (
    CatalogueStamp,
    ChargeRecord,
    Entry,
    EntryTerm,
    Fitment,
    ImportPlan,
    Kit,
    KitStep,
    Part,
    Position,
    RouteLength,
    RowChange,
    StepFits,
)
from kits.work.actions import run
from tests.keys import a_key
from tests.kits.exchange.books import check, edited, load, rows_from
from tests.kits.exchange.rows import LINE, made_rows, made_workbook
from vehicles.models import Cabin, ModelLine, Variant, VariantOption
from vehicles.records.access import CONSOLE
from vehicles.records.actions import Reused
from vehicles.records.asked import Sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def stored():
    """The made-up line, imported."""
    return load(made_workbook())


def only(plan, sheet, kind):
    """The labels of the rows of one kind in a sheet's plan."""
    return [item["label"] for item in plan.plan["sheets"].get(sheet, {}).get(kind, [])]


def test_a_check_writes_a_plan_and_nothing_else():
    plan = check(made_workbook())
    assert plan.state == "ready"
    assert plan.plan["counts"]["add"] == sum(len(rows) for rows in made_rows().values())
    assert not ModelLine.objects.exists()
    assert not Part.objects.exists()


def test_the_same_workbook_twice_plans_no_change(stored):
    plan = check(made_workbook())
    assert plan.state == "ready"
    assert plan.plan["sheets"] == {}
    assert plan.plan["counts"] == {"add": 0, "change": 0, "remove": 0}


def test_three_mistakes_are_listed_with_their_places():
    content = edited(
        {
            ("Cabins", 2, "volume [m³]"): "two",
            ("Surfaces", 3, "cabin"): "x9",
            ("Entries", 2, "option: Steering side"): "middle",
        },
        made_workbook(),
    )
    plan = check(content)
    assert plan.state == "refused"
    assert [(p["sheet"], p["row"], p["column"], p["sentence"]) for p in plan.plan["problems"]] == [
        ("Cabins", 2, "C", "Volume [m³] must be a number, not “two”."),
        ("Entries", 2, "I", "Steering side has no option “middle”; it has: left, right."),
        ("Surfaces", 3, "A", "There is no x9 in Cabins."),
    ]
    assert plan.plan["sheets"] == {}


def test_a_changed_cell_is_planned_with_old_and_new_and_written_with_history(stored, manager):
    content = edited({("Kits", 2, "superheat [K]"): 7.5})
    plan = check_workbook(actor=manager, file_name="C:\\desk\\kit.xlsx", content=content)
    assert plan.plan["sheets"] == {
        "Kits": {
            "add": [],
            "change": [{"key": ["x1"], "label": "x1", "fields": {"superheat_k": [6.69, 7.5]}}],
            "remove": [],
        }
    }
    kit = Kit.objects.get(code="x1")
    assert kit.superheat_k == 6.69
    plan = apply_plan(actor=manager, plan_id=plan.pk)
    assert plan.state == "applied"
    assert plan.applied_at is not None
    kit.refresh_from_db()
    assert (kit.superheat_k, kit.version) == (7.5, 2)
    change = RowChange.objects.get(sheet="Kits", kind="change")
    assert (change.fields["superheat_k"], change.act.reason, change.act.person) == (
        [6.69, 7.5], "workbook kit.xlsx", manager,
    )  # fmt: skip


def test_after_an_import_the_database_knows_at_once_how_full_its_tables_are():
    with CaptureQueriesContext(connection) as seen:
        load(made_workbook())
    looked = [query["sql"] for query in seen.captured_queries if query["sql"].startswith("ANALYZE")]
    if connection.vendor == "sqlite":
        assert looked == []
    else:
        with connection.cursor() as cursor:
            cursor.execute("SELECT reltuples FROM pg_class WHERE relname = 'kits_part'")
            assert cursor.fetchone() == (Part.objects.count(),)


def test_new_rows_have_their_first_history():
    plan = load(made_workbook())
    change = RowChange.objects.get(sheet="Cabins", label__endswith="x1")
    assert (change.kind, change.act.reason, change.act.kind) == (
        "add",
        f"workbook {plan.file_name}",
        "apply_plan",
    )


def test_references_options_and_lists_change_with_their_cells(stored):
    content = edited(
        {
            ("Variants", 2, "cabin"): "X2",
            ("Variants", 2, "option: Steering side"): "right",
            ("Entries", 3, "option: Steering side"): "left",
            ("Entries", 3, "option: Voltage"): "not 6",
            ("Entries", 3, "quantity"): 2.5,
            ("Steps", 2, "fits positions"): 2,
            ("Steps", 2, "joins joints"): None,
        },
    )
    load(content)
    variant = Variant.objects.get(code="x1")
    assert variant.cabin.code == "x2"
    assert VariantOption.objects.get(variant=variant, feature__code="side").option.code == "right"
    assert VariantOption.objects.filter(variant=variant).count() == 2
    entry = Entry.objects.get(position__number=1, number=2)
    assert entry.quantity == Decimal("2.5")
    terms = EntryTerm.objects.filter(entry=entry).values_list("option__code", "excluded")
    assert set(terms) == {("left", False), ("6", True)}
    fits = StepFits.objects.filter(step=KitStep.objects.get(key="x1"))
    assert [fit.position.number for fit in fits if fit.position] == [2]
    assert not fits.filter(joint__isnull=False).exists()
    assert fits.filter(circuit__isnull=False).count() == 2
    assert check(content).plan["sheets"] == {}


def test_capitals_in_a_reference_are_no_change(stored):
    content = edited({("Surfaces", 2, "cabin"): "X1", ("Kits", 2, "refrigerant"): "r-1234YF"})
    assert check(content).plan["sheets"] == {}


def test_rows_missing_in_a_complete_workbook_are_removed_from_the_lines_own_sheets_only(stored):
    rows = made_rows()
    del rows["Openings"]["x1", "x2"]
    del rows["Ports"]["x1", "x1", "x2"]
    assert check(made_workbook(rows, complete=False)).plan["sheets"] == {}
    plan = load(made_workbook(rows))
    assert only(plan, "Openings", "remove") == ["x1 / x2"]
    assert plan.plan["counts"] == {"add": 0, "change": 0, "remove": 1}
    change = RowChange.objects.get(kind="remove")
    assert (change.sheet, change.key) == ("Openings", ["x1", "x2"])
    assert Cabin.objects.get(code="x1").openings.count() == 1
    assert Part.objects.get(number="x1").revisions.get().ports.count() == 2


def test_a_removed_row_that_another_still_needs_is_refused(stored):
    rows = made_rows()
    del rows["Routes"]["x1",]
    plan = check(made_workbook(rows))
    assert plan.state == "refused"
    assert {(p["sheet"], p["sentence"]) for p in plan.plan["problems"]} == {
        ("Routes", f"x1 would be removed, but {needed} needs it.")
        for needed in (
            "x1 / 1 / 1 in Hose runs",
            "x1 / 1 / 2 in Hose runs",
            "x1 / 1 / 1 in Harness branches",
            "x1 / 1 / 2 in Harness branches",
            "x1 / x1 / x1 / 4955.4 in Lengths",
            "x1 / x1 / x1 / 5074.8 in Lengths",
        )
    }


def test_a_row_may_go_when_the_last_that_needed_it_moves_away_in_the_same_workbook(stored):
    rows = made_rows()
    rows["Cabins"]["x9",] = {**rows["Cabins"]["x2",], "code": "x9"}
    load(made_workbook(rows))
    rows["Variants"]["x1",]["cabin"] = "x9"
    load(made_workbook(rows))
    rows["Variants"]["x1",]["cabin"] = "x2"
    del rows["Cabins"]["x9",]
    plan = load(made_workbook(rows))
    assert only(plan, "Cabins", "remove") == ["x9"]
    assert not Cabin.objects.filter(code="x9").exists()


def test_a_variant_goes_with_its_fitments_but_not_with_a_recorded_charge(stored):
    rows = made_rows()
    for sheet in ("Variants", "Chassis"):
        rows[sheet] = {key: row for key, row in rows[sheet].items() if key[0] != "x2"}
    for sheet in ("Fitments", "Lengths", "Charges"):
        rows[sheet] = {key: row for key, row in rows[sheet].items() if row["variant"] != "x2"}
    rows["Chassis"] = {}
    plan = check(made_workbook(rows))
    assert [p["sheet"] for p in plan.plan["problems"]] == []
    plan = apply_plan(actor=CONSOLE, plan_id=plan.pk, removals=plan.plan["counts"]["remove"])
    assert plan.state == "applied"
    assert list(Variant.objects.values_list("code", flat=True)) == ["x1"]
    assert Fitment.objects.count() == 2


def test_lengths_and_charges_are_only_added(stored):
    load(edited({("Lengths", 2, "length [mm]"): 830, ("Charges", 2, "charge [g]"): 640}))
    assert RouteLength.objects.filter(length_mm=830).count() == 1
    assert RouteLength.objects.count() == len(made_rows()["Lengths"]) + 1
    assert ChargeRecord.objects.count() == len(made_rows()["Charges"]) + 1


def test_each_offered_kit_gets_a_fitment_in_each_variant():
    rows = made_rows()
    for sheet in ("Fitments", "Lengths", "Charges"):
        rows[sheet] = {}
    plan = load(made_workbook(rows))
    # The first offer is "not right": only for the left-hand variant.
    assert sorted(only(plan, "Fitments", "add")) == ["x1 / x1", "x2 / x1", "x2 / x2"]
    assert Fitment.objects.get(kit__code="x2", variant__code="x1").origin_kind == "estimate"
    assert check(made_workbook(rows)).plan["sheets"] == {}


def test_a_failure_halfway_leaves_the_old_state(stored, monkeypatch):
    before = rows_from(LINE)
    content = edited({("Cabins", 2, "name"): "other", ("Kits", 2, "name"): "other"})
    plan = check(content)
    monkeypatch.setattr(RowWriter, "_remove", lambda *_: 1 / 0)
    stamp = CatalogueStamp.objects.get().value
    with pytest.raises(ZeroDivisionError):
        apply_plan(actor=CONSOLE, plan_id=plan.pk)
    assert rows_from(LINE) == before
    assert CatalogueStamp.objects.get().value == stamp
    assert ImportPlan.objects.get(pk=plan.pk).state == "ready"
    monkeypatch.undo()
    assert apply_plan(actor=CONSOLE, plan_id=plan.pk).state == "applied"


def test_what_the_database_refuses_is_a_sentence_and_changes_nothing(caplog, monkeypatch):
    monkeypatch.setattr(logging.getLogger("kitwright"), "propagate", True)
    plan = check(made_workbook())
    plan.plan["sheets"]["Kits"]["add"][0]["values"]["superheat_k"] = -1.0
    plan.save()
    plan = apply_plan(actor=CONSOLE, plan_id=plan.pk)
    assert plan.state == "refused"
    (reference,) = {line.msg["reference"] for line in caplog.records if line.name == "kitwright.guard"}
    assert plan.plan["problems"][0]["sentence"] == (
        f"The database refused a row, so nothing was changed. The log says which, under {reference}."
    )
    assert not Part.objects.exists()


def test_a_plan_is_overtaken_when_the_stamp_moved(stored):
    first = check(edited({("Cabins", 2, "name"): "one"}))
    second = check(edited({("Cabins", 2, "name"): "two"}))
    assert apply_plan(actor=CONSOLE, plan_id=first.pk).state == "applied"
    late = apply_plan(actor=CONSOLE, plan_id=second.pk)
    assert late.state == "overtaken"
    assert "Check it again" in late.plan["problems"][0]["sentence"]
    assert Cabin.objects.get(code="x1").name == "one"


def test_a_plan_is_overtaken_when_a_row_it_changes_changed_without_the_stamp(stored):
    plan = check(edited({("Cabins", 2, "name"): "one"}))
    Cabin.objects.filter(code="x1").update(name="in between")
    assert apply_plan(actor=CONSOLE, plan_id=plan.pk).state == "overtaken"
    assert Cabin.objects.get(code="x1").name == "in between"


def test_applying_twice_does_it_once(stored):
    plan = check(edited({("Charges", 2, "charge [g]"): 640}))
    apply_plan(actor=CONSOLE, plan_id=plan.pk)
    again = apply_plan(actor=CONSOLE, plan_id=plan.pk)
    assert again.state == "applied"
    assert ChargeRecord.objects.filter(charge_g=640).count() == 1


def test_a_repeated_key_asks_once_and_for_no_other_plan(stored, manager, settings):
    settings.WORK_AT_ONCE = False
    first, second = (check(edited({("Cabins", 2, "name"): name})) for name in ("one", "two"))

    def asked(plan):
        return ask_to_apply(actor=manager, plan=plan, sent=Sent(a_key("k"), str(plan.pk)), removals=None)

    work = asked(first)
    run(work.pk)
    assert ImportPlan.objects.get(pk=first.pk).state == "applied"
    assert asked(first).pk == work.pk, "as the page that was open twice sends it"
    assert asked(ImportPlan.objects.get(pk=first.pk)) is None, "it is not ready any more"
    with pytest.raises(Reused):
        asked(second)
    assert ImportPlan.objects.get(pk=second.pk).state == "ready"


def test_an_import_moves_the_stamp_and_an_empty_one_does_not(stored):
    value = CatalogueStamp.objects.get().value
    load(made_workbook())
    assert CatalogueStamp.objects.get().value == value
    load(edited({("Cabins", 2, "name"): "one"}))
    assert CatalogueStamp.objects.get().value == value + 1


@pytest.mark.parametrize("name", ["production", "installer", "owner", "stranger"])
def test_only_a_manager_may(name, request, stored):
    actor = request.getfixturevalue(name)
    with pytest.raises(PermissionDenied):
        check_workbook(actor=actor, file_name="s4.xlsx", content=made_workbook())
    with pytest.raises(PermissionDenied):
        apply_plan(actor=actor, plan_id=stored.pk)
    with pytest.raises(PermissionDenied):
        import_demonstration(actor)


def test_a_file_that_is_no_workbook_is_refused_in_a_sentence():
    plan = check(b"PK\x03\x04 not a workbook")
    assert plan.state == "refused"
    assert plan.plan["problems"] == [
        {
            "sheet": "",
            "row": None,
            "column": "",
            "sentence": "This file is not an .xlsx workbook, or it is damaged.",
        }
    ]


def test_another_lines_hose_run_is_not_taken_over(stored):
    other = ModelLine.objects.create(code="V30", name="van")
    route = other.routes.create(code="x1", name="under the floor")
    run = Position.objects.get(kit__code="x1", number=1).hose_runs.get(number=1)
    run.route = route
    run.save()
    plan = check(made_workbook())
    assert [(p["sheet"], p["sentence"]) for p in plan.plan["problems"]] == [
        ("Hose runs", "x1 / 1 / 1 belongs to another model line.")
    ]


def test_the_demonstration_loads_once():
    assert import_demonstration(CONSOLE, DEMONSTRATIONS[:1]).startswith("Imported ")
    assert "not imported" in import_demonstration(CONSOLE, DEMONSTRATIONS)
    assert ModelLine.objects.count() == 1


def test_a_demonstration_of_which_one_workbook_is_damaged_loads_none(tmp_path):
    damaged = tmp_path / "damaged.xlsx"
    damaged.write_bytes(b"PK no workbook")
    with pytest.raises(RuntimeError, match="damaged"):
        import_demonstration(CONSOLE, (DEMONSTRATIONS[0], damaged))
    assert not ModelLine.objects.exists()
