"""Workbooks are applied while others are, and while rows are edited: all of one or nothing."""

from functools import partial

from kits.bom.models import Kit
from kits.editing.actions import Written
from kits.exchange.actions import apply_plan, check_workbook
from kits.exchange.models import RowChange
from kits.parts.models import Part
from tests.kits.concurrency.acts import renamed, stamp
from tests.kits.concurrency.people import while_held
from tests.kits.exchange.rows import made_rows, some_sheets


def a_plan(actor, name):
    """A checked workbook that renames every part and every kit."""
    rows = made_rows()
    for sheet in ("Parts", "Kits"):
        for row in rows[sheet].values():
            row["name"] = name
    content = some_sheets({"Parts", "Kits"}, rows)
    plan = check_workbook(actor=actor, file_name=f"{name}.xlsx", content=content)
    assert plan.state == "ready", plan.plan["problems"]
    return plan


def applied(actor, plan):
    return partial(apply_plan, actor=actor, plan_id=plan.pk)


def names():
    return set(Part.objects.values_list("name", flat=True)) | set(Kit.objects.values_list("name", flat=True))


def test_of_two_workbooks_one_is_applied_and_nothing_of_the_other(together, one, other):
    plans = [a_plan(one, "of one"), a_plan(other, "of other")]
    before = stamp()
    told = together(applied(one, plans[0]), applied(other, plans[1]))
    assert sorted(plan.state for plan in told) == ["applied", "overtaken"]
    (winner,) = [plan for plan in told if plan.state == "applied"]
    assert names() == {winner.file_name.removesuffix(".xlsx")}
    assert set(
        RowChange.objects.filter(act__reason__contains=" of o").values_list("act__reason", flat=True)
    ) == {f"workbook {winner.file_name}"}
    (loser,) = [plan for plan in told if plan.state == "overtaken"]
    assert "Check it again" in loser.plan["problems"][0]["sentence"]
    assert stamp() == before + 1


def test_one_workbook_that_is_applied_twice_is_applied_once(together, one):
    plan = a_plan(one, "of one")
    before = stamp()
    told = together(*(applied(one, plan) for _ in range(2)))
    assert [(p.pk, p.state) for p in told] == [(plan.pk, "applied")] * 2
    assert (names(), stamp()) == ({"of one"}, before + 1)
    assert RowChange.objects.filter(act__reason="workbook of one.xlsx").values("act").distinct().count() == 1


def test_a_workbook_is_overtaken_by_a_row_that_is_being_edited(one, other):
    plan = a_plan(one, "of one")
    edited, told = while_held(renamed(other, "of other"), applied(one, plan))
    assert edited == Written(1)
    assert told.state == "overtaken"
    assert "of one" not in names()


def test_a_row_is_not_written_over_a_workbook_that_is_being_applied(one, other):
    plan = a_plan(one, "of one")
    told, edited = while_held(applied(one, plan), renamed(other, "of other"))
    assert told.state == "applied"
    assert "was changed in the meantime" in str(edited)
    assert names() == {"of one"}
