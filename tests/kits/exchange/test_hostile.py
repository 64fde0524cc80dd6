"""Hostile files are refused with a sentence, soon, in little memory, and change nothing."""

import json
import subprocess
import sys
import time

import pytest
from django.apps import apps
from django.db import connection

from kits.exchange.reader import MAX_PROBLEMS
from kits.exchange.sheets.bridge import SHEETS
from kits.fitment.models import CatalogueStamp
from tests.kits.exchange.books import check, side_tables
from tests.kits.exchange.hostile import CELLS, FILES, cabins, relation, repacked, row
from tests.kits.exchange.rows import LINE
from vehicles.models import ModelLine

pytestmark = pytest.mark.one_database
# Seconds of this process's own work: what else runs on the machine is no fault of a file's.
SECONDS, MEGABYTES = 10, 300

# Reads each file of a folder in one process that starts small; its peak is that of the worst file.
READ_ALL = """
import json, re, resource, sys, time
from pathlib import Path
resource.setrlimit(resource.RLIMIT_AS, (4 * 1024**3, 4 * 1024**3))
import django
django.setup()
from kits.exchange.reader import read_workbook
from kits.exchange.sheets.bridge import SHEETS
found = {}
for path in sorted(Path(sys.argv[1]).iterdir()):
    began = time.process_time()
    reading = read_workbook(path.read_bytes(), SHEETS, {})
    peak = int(re.search(r"VmHWM:\\s*(\\d+) kB", Path("/proc/self/status").read_text())[1]) / 1024
    found[path.name] = [time.process_time() - began, peak, len(reading.problems)]
print(json.dumps(found))
"""


def everything():
    """How many rows stand in every table a workbook fills."""
    tables = {
        apps.get_model(name)._meta.db_table for name in [*side_tables(), *(sheet.model for sheet in SHEETS)]
    }
    with connection.cursor() as cursor:
        cursor.execute(
            " UNION ALL ".join(f"SELECT '{table}', COUNT(*) FROM {table}" for table in sorted(tables))
        )
        counts = dict(cursor.fetchall())
    return counts, list(CatalogueStamp.objects.values_list("value", flat=True))


@pytest.fixture
def line(db):
    """A line, so that nothing is refused for its being absent."""
    return ModelLine.objects.create(code=LINE, name="line")


@pytest.mark.usefixtures("line")
@pytest.mark.parametrize("name", FILES)
def test_a_hostile_file_is_refused_and_changes_nothing(name):
    make, words = FILES[name]
    content, before = make(), everything()
    began = time.process_time()
    plan = check(content)
    assert time.process_time() - began < SECONDS
    assert plan.state == "refused"
    assert len(plan.plan["problems"]) == 1
    assert words in plan.plan["problems"][0]["sentence"]
    assert everything() == before


@pytest.mark.usefixtures("line")
@pytest.mark.parametrize("name", CELLS)
def test_a_hostile_cell_is_named_and_changes_nothing(name):
    make, place, words = CELLS[name]
    before = everything()
    plan = check(make())
    assert plan.state == "refused"
    found = {(p["sheet"], p["row"], p["column"]): p["sentence"] for p in plan.plan["problems"]}
    assert words in found[place]
    assert everything() == before


def test_no_hostile_file_takes_long_or_much_memory(tmp_path):
    for number, name in enumerate(FILES):
        (tmp_path / f"{number:02} {name.replace('/', '-')}").write_bytes(FILES[name][0]())
    ran = subprocess.run(
        [sys.executable, "-c", READ_ALL, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    found = json.loads(ran.stdout)
    assert len(found) == len(FILES) >= 30
    assert {
        name: figures for name, figures in found.items() if figures[0] > SECONDS or figures[1] > MEGABYTES
    } == {}
    assert min(problems for _, _, problems in found.values()) == 1


@pytest.mark.usefixtures("line")
def test_a_thousand_mistakes_end_the_reading():
    content = cabins("".join(row(f'<c r="C{n}" t="b"><v>1</v></c>', n, f"x{n}") for n in range(2, 3000)))
    plan = check(content)
    assert plan.state == "refused"
    assert len(plan.plan["problems"]) <= MAX_PROBLEMS + 2


@pytest.mark.usefixtures("line")
@pytest.mark.parametrize(
    "content",
    [
        relation("hyperlink", "https://example.org/"),
        repacked(more=[("xl/comments1.xml", b"<x/>"), ("xl/drawings/vmlDrawing1.vml", b"<x>")]),
        repacked(more=[("xl/media/image1.png", b"\x89PNG"), ("xl/drawings/drawing1.xml", b"<x/>")]),
        repacked(more=[("xl/printerSettings/printerSettings1.bin", b"\x00")]),
        cabins(row(), before='<dimension ref="A1:XFD1048576"/>'),
    ],
    ids=["hyperlinks", "comments", "pictures", "print settings", "a size that is not true"],
)
def test_what_does_no_harm_is_passed_over(content):
    assert check(content).state == "ready"
