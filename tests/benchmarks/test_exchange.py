"""A workbook of 10,000 rows is planned and applied within 20 s, its transaction within 5 s."""

import time

import pytest

from kits.exchange import actions
from kits.exchange.actions import apply_plan, check_workbook
from kits.exchange.models import ImportPlan
from kits.exchange.writer import write_workbook
from kits.models import Part
from tests.kits.exchange.rows import LINE, made_rows, sheets
from vehicles.records.access import CONSOLE

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db(transaction=True)]

ROWS, BOTH_S, TRANSACTION_S = 10_000, 20, 5


def large_rows(version):
    """About 10,000 rows: parts, their revisions and ports, and entries of a kit with terms."""
    rows = made_rows()
    of = {
        name: next(iter(rows[name].values()))
        for name in ("Parts", "Revisions", "Ports", "Positions", "Entries")
    }
    for n in range(ROWS // 5):
        number = f"P-{n:05}"
        part = {"part_number": number, "part_revision": "A"}
        rows["Parts"][number.casefold(),] = {**of["Parts"], "number": number, "name": f"part {n} {version}"}
        rows["Revisions"][number.casefold(), "a"] = {
            **of["Revisions"], "part_number": number, "revision": "A", "mass_g": 100.0 + n + version,
        }  # fmt: skip
        rows["Ports"][number.casefold(), "a", "in"] = {
            **of["Ports"], **part, "code": "in", "angle_deg": 10.0 * version,
        }  # fmt: skip
        rows["Positions"]["x1", 100 + n] = {
            **of["Positions"],
            "number": 100 + n,
            "name": f"place {n} {version}",
        }
        rows["Entries"]["x1", 100 + n, 1] = {
            **of["Entries"], "position": 100 + n, "number": 1, "part_number": number,
            "option:side": "left" if version else "not left",
        }  # fmt: skip
    return rows


@pytest.fixture
def clock(monkeypatch):
    """How long the one transaction of an import took."""
    taken = []
    inner = actions._apply

    def timed(*arguments):
        began = time.perf_counter()
        answer = inner(*arguments)
        taken.append(time.perf_counter() - began)
        return answer

    monkeypatch.setattr(actions, "_apply", timed)
    return taken


@pytest.mark.parametrize("act", ["add", "change", "repeat"])
def test_ten_thousand_rows_are_planned_and_applied(benchmark, clock, act):
    first = write_workbook(LINE, sheets(), large_rows(0), complete=False)
    content = first if act != "change" else write_workbook(LINE, sheets(), large_rows(1), complete=False)

    def whole(content):
        plan = check_workbook(actor=CONSOLE, file_name="large.xlsx", content=content)
        assert plan.plan["problems"] == []
        return apply_plan(actor=CONSOLE, plan_id=plan.pk)

    if act != "add":
        whole(first)
    plan = benchmark.pedantic(whole, args=(content,), rounds=1)
    assert plan.state == "applied"
    expected = {"add": (ROWS, 0), "change": (0, ROWS), "repeat": (0, 0)}[act]
    assert plan.plan["counts"]["add"] >= expected[0]
    assert plan.plan["counts"]["change"] >= expected[1]
    assert Part.objects.count() == ROWS // 5 + 2
    benchmark.extra_info["transaction_s"] = round(clock[-1], 2)
    if benchmark.stats:
        whole_s = benchmark.stats["max"]
        print(
            f"\n{act}: {whole_s:.1f} s of {BOTH_S:g}, the transaction {clock[-1]:.1f} s of {TRANSACTION_S:g}"
        )
    assert ImportPlan.objects.filter(state="applied").exists()
