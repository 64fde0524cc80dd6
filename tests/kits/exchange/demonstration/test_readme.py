"""What README.md says of the demonstration is what the tool makes of it."""

import re

import pytest

from tests.architecture.tree import ROOT

pytestmark = pytest.mark.django_db

ROW = re.compile(r"^\| (\w+) (\w+) [^|]*\| ([^|]+?) \|", re.MULTILINE)


def test_the_verdicts_of_the_readme_are_those_of_the_tool(world):
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    said = {(line, variant): verdict for line, variant, verdict in ROW.findall(text)}
    assert said == {key[1:]: record.verdict for key, record in world.records.items()}
