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
        (key, act) for key, *act in told["acts"] if act[0] not in ("unknown", "record")
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


def test_what_was_recorded_of_a_fitment_stands_in_the_history(told):
    label, by, reason, key, fields = told["length"]
    assert (label, by, reason) == ("K1 / V1 / R1 / 1500.0", "one", "length of R1: 1500 mm")
    assert key == ["k1", "v1", "r1", 1500.0, 1, None, "measured", "car", "", None, "", "", ""]
    assert ["length [mm]", "1500"] in fields and ["origin source", "car"] in fields


def test_the_history_of_people_and_of_the_shop_is_shown_as_it_was(told):
    assert told["person"] == [
        ["one", "certificate refrigerant R-1 recorded", "course"],
        ["one", "entered here", ""],
        ["one", "name: none → One", "his name"],
    ]
    assert told["shop"] == [["one", ["where it can be had", "always"], "two"]]


def test_initials_of_somebody_who_is_gone_stay_his(told):
    assert told["initials"] == ["GG", "OO"]
