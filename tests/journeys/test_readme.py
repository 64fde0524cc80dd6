"""What README.md says of the demonstration is what the tool makes of it."""

import re

from kits.fitment.models import SizedFitment
from tests.architecture.tree import ROOT


def test_the_verdicts_of_the_readme_are_those_of_the_tool(demonstration):
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    said = dict(re.findall(r"^\| ([A-Z]{2}\d+[LR])[^|]*\| ([^|]+?) \|", text, re.MULTILINE))
    stored = SizedFitment.objects.values_list("fitment__variant__code", "verdict")
    assert said == dict(stored)
