"""What README.md says of the demonstration is what the tool makes of it."""

import re
from collections import Counter

import pytest

from tests.architecture.tree import ROOT

ROW = re.compile(r"^\| (\w+) (\w+) ([^|]*) \| ([^|]+?) \|", re.MULTILINE)
# A car for which two kits are offered has two rows: the second kit's row names it in these words.
SECOND_KITS = {"with the heater kit": "S4-WARM", "with a front and a rear unit": "V30-TWIN"}


@pytest.fixture(scope="module")
def verdicts(world):
    """Kit, line and variant -> the verdict of the tool, of kits that cool and of kits that heat only."""
    return {key: record.verdict for key, record in world.records.items()} | {
        key: held.record.verdict for key, held in world.heaters.items()
    }


@pytest.fixture(scope="module")
def told(verdicts):
    """(kit, line, variant) and verdict of each row of the table."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    found = []
    for line, variant, words, verdict in ROW.findall(text):
        named = [kit for phrase, kit in SECOND_KITS.items() if phrase in words]
        first = [kit for kit, *car in verdicts if car == [line, variant] and kit not in SECOND_KITS.values()]
        found += [((kit, line, variant), verdict) for kit in named or first]
    return found


def test_the_verdicts_of_the_readme_are_those_of_the_tool(told, verdicts):
    assert dict(told) == verdicts


def test_each_kit_in_each_car_has_one_row_in_the_readme(told):
    assert [key for key, count in Counter(key for key, _ in told).items() if count > 1] == []
