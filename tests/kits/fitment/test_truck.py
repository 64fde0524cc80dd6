"""A truck of 24 V: the diesel line of the demonstration with every part for that supply, by workbook to its verdict."""

import pytest

from kits.editing.actions import edit_rows
from kits.editing.changes import RowEdit
from kits.exchange.bridge import load_state
from kits.exchange.queries import export_workbook
from kits.fitment.bridge import load_catalogue, size_catalogue
from tests import snapshot
from tests.kits.exchange.books import empty_tables, load
from tests.kits.fitment.conftest import ON
from vehicles.catalogue.models import ModelLine
from vehicles.records.access import CONSOLE

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
# no trial of its air side was made at 12 V
LINE, KIT, CAR = "M220", "M220-UNDER", "CLH"
TWICE = {
    "Powertrains": ("system_voltage_v",), "Kits": ("supply_voltage_v",), "Compressors": ("supply_voltage_v",),
    "Blowers": ("rated_voltage_v",), "Controllers": ("supply_voltage_v",), "Harness data": ("system_voltage_v",),
    "Fitments": ("blower_voltage_v",),
}  # fmt: skip
# at twice the volts the same motors take half the current
HALF = {
    "Kits": ("kit_current_a",), "Blowers": ("current_a",), "Blower steps": ("current_a",), "Fans": ("current_a",),
    "Compressors": ("clutch_current_a",), "Car loads": ("current_a",), "Charging": ("current_a",),
}  # fmt: skip


def doubled():
    """Every row of the line that speaks of volts or amperes, for 24 V."""
    rows = load_state(LINE).rows
    for sheet in {*TWICE, *HALF}:
        for key, row in rows[sheet].items():
            values = {f: 2 * row[f] for f in TWICE.get(sheet, ()) if row[f] is not None and row[f] < 20}
            values |= {f: row[f] / 2 for f in HALF.get(sheet, ()) if row[f] is not None}
            if values:
                yield RowEdit("change", sheet, key, values)


@pytest.fixture
def truck(every_line):
    snapshot.put(every_line)
    written = edit_rows(actor=CONSOLE, line=LINE, edits=list(doubled()), reason="a truck", meant=None)
    assert not written.problems, written.problems
    book = export_workbook(ModelLine.objects.get(code=LINE))
    empty_tables()
    load(book)
    catalogue = load_catalogue([(KIT, LINE, CAR)], ON)
    (sized,) = size_catalogue(catalogue)
    return sized.record


def test_a_truck_of_24_v_goes_from_workbook_to_verdict(truck, world):
    assert truck.verdict == world.records[KIT, LINE, CAR].verdict != "not sized"
    told = {remark.code for remark in truck.remarks}
    assert {"convert-electrics", "part-voltage", "voltage-unknown"}.isdisjoint(told)


def test_its_battery_and_margin_are_those_of_the_same_van_at_half_the_volts(truck, world):
    van = world.records[KIT, LINE, CAR]
    assert truck.margin_share == pytest.approx(van.margin_share, abs=0.002)
    for mine, its in zip(truck.duties, van.duties, strict=True):
        if its.battery_v is not None:
            # half the current through twice the cells: the plates lose half as much of their charge too
            assert mine.battery_v > 2 * its.battery_v or mine.battery_v == pytest.approx(2 * its.battery_v)
