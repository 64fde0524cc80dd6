"""What a shop has in its database is there after an update: here that of the version before acts."""

import json

import pytest

from tests.keys import a_key
from tests.migrations.landed import MANY
from tests.migrations.processes import printed


@pytest.fixture(scope="module")
def told():
    """What became of the rows."""
    return json.loads(printed("landed"))


def test_a_key_that_was_sent_answers_as_it_did(told):
    (mine, edited), (_, surveyed), (_, noted) = [
        (key, act) for key, *act in told["acts"] if act[0] != "unknown"
    ]
    assert mine == a_key("form")
    assert edited == ["edit_rows", "one", "", "d1", "1"]
    assert surveyed == ["edit_rows", "other", "", "d2", "1"]
    assert noted == ["keep_note", "one", "", "", "7"]


def test_what_was_changed_says_who_when_and_why(told):
    assert told["changes"] == [
        ["many", "one", MANY, "many 0", 0.0],
        ["before acts", "one", 2, "before acts 0", 0.0],
        ["before acts", "one", 1, "before acts 2", 90.0],
        ["before acts", None, 1, "before acts 3", 91.0],
        ["another reason", None, 1, "another reason 4", 91.0],
    ]


def test_a_value_that_was_confirmed_says_by_whom(told):
    assert told["confirmed"] == {"act": [a_key("act"), "one"], "alone": [a_key("alone"), "one"]}
