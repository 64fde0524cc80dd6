"""A hostile text in every name and note of a fitment is refused in a sentence or shown as what it is."""

import re

import pytest
from django.db import transaction
from django.utils import timezone

from kits.editing.actions import edit_rows
from kits.editing.changes import RowEdit
from kits.exchange.bridge import load_state
from kits.exchange.columns import LINE, TEXT
from kits.exchange.sheets.bridge import SHEETS, line_path
from kits.fitment.actions import store_answers, worked_out
from tests.faults.test_every_number import FITMENTS, mine
from tests.sampling import sampler
from vehicles.records.access import CONSOLE

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
HOSTILE = (
    r"Hot $\frac{$ town_{", "<script>alert(1)</script>", "{{ rights }}{% debug %}", "=HYPERLINK(1)", "\u202egnirts",
    "x" * 2000, "'; DROP TABLE kits_kit; --", "../../etc/passwd", "\U0001f4a5 ﷽ e\u0301" * 9,
)  # fmt: skip
KIT, LINE_CODE, CAR = FITMENTS[0]
HERE = f"/fitments/{KIT}/{LINE_CODE}/{CAR}/"


def pytest_generate_tests(metafunc):
    """A run tries one of the texts, another run another."""
    if "text" in metafunc.fixturenames:
        metafunc.parametrize("text", sampler(metafunc.config)(HOSTILE, 1), ids=lambda text: text[:12])


def pages(client):
    """What shows a fitment: its pages, its papers, and the first pictures of its calculations."""
    calculations = client.get(f"{HERE}calculations/").content.decode()
    pictures = re.findall(rf'src="({HERE}pictures/[^"]+)"', calculations)[:6]
    for path in (
        HERE, f"{HERE}calculations/", f"/kits/{KIT}/", f"/kits/{KIT}/steps/", f"/vehicles/{LINE_CODE}/{CAR}/", "/fit/",
        *(f"{HERE}{paper}?market=home" for paper in ("parts-list.xlsx", "checklist.pdf", "sizing-sheet.pdf")),
        f"{HERE}load.svg", *pictures,
    ):  # fmt: skip
        yield path, client.get(path)


def written(sheet, key, texts) -> bool:
    """Whether the texts are taken; where not, each has its sentence."""
    line = LINE_CODE if sheet.owner == LINE or line_path(sheet) else ""
    edit = RowEdit("change", sheet.name, key, texts)
    found = edit_rows(actor=CONSOLE, line=line, edits=[edit], reason="a hostile text")
    assert all(problem.sentence for problem in found.problems)
    return not found.problems


def spoil(text) -> int:
    """Put the text into every column of a row of each sheet that takes it; returns into how many."""
    rows, codes, count = load_state(LINE_CODE).rows, mine(FITMENTS[0]), 0
    for sheet in SHEETS:
        fields = [
            c.field for c in sheet.columns if c.kind == TEXT and not c.key and not sheet.reference_of(c.field)
        ]
        key = next((key for key in rows[sheet.name] if str(key[0]).casefold() in codes), None)
        if sheet.append_only or key is None or not fields:
            continue
        if written(sheet, key, dict.fromkeys(fields, text)):
            count += len(fields)
        else:
            count += sum(written(sheet, key, {field: text}) for field in fields)
    return count


def test_a_hostile_text_is_refused_or_shown_as_it_is(text, lines, manager_client):
    with transaction.atomic():
        taken = spoil(text)
        assert taken > 20 or len(text) > 80
        store_answers(worked_out(timezone.localdate(), [FITMENTS[0]]), timezone.now())
        for path, answer in pages(manager_client):
            assert answer.status_code == 200, path
            content = answer.content if not answer.streaming else b"".join(answer.streaming_content)
            assert b"<script>alert" not in content, path
        transaction.set_rollback(True)
