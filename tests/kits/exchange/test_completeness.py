"""Every table is either in the workbook or named here with the reason why it is not."""

import pytest
from django.apps import apps

from kits.exchange.bridge import load_state
from kits.exchange.columns import with_options
from kits.exchange.queries import export_workbook
from kits.exchange.reader import features_of
from kits.exchange.sheets.bridge import SHEETS
from kits.exchange.used import used_rows
from tests import snapshot
from tests.kits.exchange.books import empty_tables, load, side_tables
from tests.kits.exchange.rows import made_workbook
from vehicles.models import ModelLine

NOT_A_LINES = {
    "vehicles.Act": "who did what, when and why, in this installation only",
    "kits.ImportPlan": "workbooks that were checked here",
    "kits.RowChange": "who changed what and when, in this installation only",
    "kits.CatalogueStamp": "counts this installation's changes",
    "kits.UnusualValue": "who said here that a value that is not usual is as it was meant",
    "kits.File": "papers and workbooks on their way",
    "kits.Work": "what was asked to be worked out in this installation",
    "kits.WorkersBeat": "when a worker of this installation last gave a sign of life",
    "kits.Person": "who works here; a line is no matter of persons",
    "kits.Firm": "for whom they work",
    "kits.Certificate": "what they may do",
    "kits.PeopleChange": "what was changed here of people and the shop, and when",
    "kits.RoleChange": "which role was given to whom here, and when",
    "kits.Shop": "what is one answer for this workshop",
    "kits.SignInRecord": "who signed in here",
    "kits.SignInTry": "how often it was tried here in vain",
    "kits.FitmentNote": "what people here wrote down of a fitment; it is read, not exchanged",
    "kits.SizedFitment": "calculated from the rest, and made anew",
}


def models_of_ours():
    """The models of both apps."""
    return {
        f"{model._meta.app_label}.{model.__name__}"
        for label in ("vehicles", "kits")
        for model in apps.get_app_config(label).get_models()
    }


def test_every_model_is_in_the_workbook_or_has_a_reason_not_to_be():
    in_workbook = {sheet.model for sheet in SHEETS} | set(side_tables())
    assert models_of_ours() - in_workbook - set(NOT_A_LINES) == set()
    assert set(NOT_A_LINES) & in_workbook == set()
    assert set(NOT_A_LINES) <= models_of_ours()


def test_every_model_has_one_sheet():
    assert len({sheet.model for sheet in SHEETS}) == len(SHEETS)


def used_by(line):
    """The rows that a line owns or uses, by natural key."""
    rows = load_state(line.code).rows
    features = features_of(rows)
    return used_rows({sheet.name: with_options(sheet, features) for sheet in SHEETS}, rows)


@pytest.mark.django_db
def test_a_workbook_of_every_sheet_fills_every_table():
    load(made_workbook())
    tables = {sheet.model for sheet in SHEETS} | set(side_tables())
    assert [name for name in sorted(tables) if not apps.get_model(name)._default_manager.exists()] == []


@pytest.mark.one_database
@pytest.mark.django_db
def test_a_line_of_the_demonstration_comes_back_from_its_export_alone(every_line, sampled):
    snapshot.put(every_line)
    assert ModelLine.objects.count() == 3
    lines = sampled(ModelLine.objects.all(), 1)
    before = {line.code: used_by(line) for line in lines}
    exports = {line.code: export_workbook(line) for line in lines}
    for code, content in exports.items():
        empty_tables()
        load(content)
        found = load_state(code).rows
        for sheet, rows in before[code].items():
            features = {row["code"].casefold() for row in before[code]["Features"].values()}
            assert found[sheet].keys() == rows.keys(), sheet
            for key, row in rows.items():
                # A line's workbook has no columns of features that it does not use.
                kept = {k: v for k, v in row.items() if not k.startswith("option:") or k[7:] in features}
                assert found[sheet][key] == kept, (sheet, key)
