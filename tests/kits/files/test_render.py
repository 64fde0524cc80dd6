"""A file as an answer: its name can't change the answer's heads, and a browser takes it for nothing else."""

import pytest

from kits.files.render import PDF, XLSX, file_answer

HOSTILE = 'a"; filename=evil.exe\r\nSet-Cookie: x=1\r\n\r\n<script>.pdf'


@pytest.mark.parametrize("is_shown", [True, False])
def test_a_hostile_name_stays_a_name(is_shown):
    answer = file_answer(b"%PDF", PDF, HOSTILE, is_shown=is_shown)
    said = answer["Content-Disposition"]
    assert said.startswith(("inline; " if is_shown else "attachment; ") + "filename*=utf-8''")
    assert not {*"\r\n<>"} & set(said)
    assert not answer.has_header("Set-Cookie")


def test_a_name_of_other_letters_is_kept():
    said = file_answer(b"", XLSX, "Stückliste S4.xlsx", is_shown=False)["Content-Disposition"]
    assert said == "attachment; filename*=utf-8''St%C3%BCckliste%20S4.xlsx"


def test_a_browser_takes_it_for_what_it_is_and_keeps_no_copy():
    answer = file_answer(b"<script>", XLSX, "a.xlsx", is_shown=False)
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Type"] == XLSX
    assert answer["Cache-Control"] == "private, no-store"
