"""manage.py import_workbook and export_workbook."""

import pytest
from django.core.management import CommandError, call_command

from tests.kits.exchange.books import edited, rows_from
from tests.kits.exchange.rows import LINE, made_rows, made_workbook
from vehicles.models import ModelLine

pytestmark = pytest.mark.django_db


@pytest.fixture
def workbook(tmp_path):
    """The made-up workbook as a file."""
    path = tmp_path / "s4.xlsx"
    path.write_bytes(made_workbook())
    return path


def test_a_check_says_what_would_change(workbook, command):
    lines = command("import_workbook", str(workbook)).splitlines()
    assert "Cabins: add 2" in lines
    assert not ModelLine.objects.exists()


def test_apply_applies_and_export_writes_it_back(workbook, command, tmp_path):
    assert command("import_workbook", str(workbook), "--apply").endswith("Applied.\n")
    assert rows_from(LINE)[0] == made_rows()
    target = tmp_path / "out.xlsx"
    assert "Wrote" in command("export_workbook", "s4", str(target))
    assert command("import_workbook", str(target)) == "Everything in the workbook is stored already.\n"


def test_problems_go_to_standard_error_and_fail(workbook, capsys):
    workbook.write_bytes(edited({("Cabins", 2, "volume [m³]"): "two"}, made_workbook()))
    with pytest.raises(CommandError, match=r"Nothing was changed\."):
        call_command("import_workbook", str(workbook), "--apply")
    assert capsys.readouterr().err == "Cabins, C2: Volume [m³] must be a number, not “two”.\n"
    assert not ModelLine.objects.exists()


def test_a_missing_file_or_line_is_said(tmp_path):
    with pytest.raises(CommandError, match="can't be read"):
        call_command("import_workbook", str(tmp_path / "none.xlsx"))
    with pytest.raises(CommandError, match="There is no model line V30; there are: none"):
        call_command("export_workbook", "V30", str(tmp_path / "out.xlsx"))
    ModelLine.objects.create(code="V30", name="van")
    with pytest.raises(CommandError, match="can't be written"):
        call_command("export_workbook", "V30", str(tmp_path / "no" / "out.xlsx"))
