"""Each kind of duty point has one row that says what is done otherwise at it."""

import pytest

from kits.sizing.words.defaults import default_value
from vehicles.climate.duty_kinds import KINDS, RUN_TEST, Judge, duty_kind


def test_what_is_done_otherwise_at_each_kind():
    held = [kind.code for kind in KINDS if kind.is_held]
    assert held == ["cruise", "town"]
    assert [kind.code for kind in KINDS if kind.is_studied] == [*held, "idle"]
    assert [kind.code for kind in KINDS if kind.asks_heat] == ["winter"]
    assert [kind.code for kind in KINDS if kind.idles] == ["idle"]
    assert [kind.code for kind in KINDS if kind.judge is Judge.COURSE] == ["pull-down"]
    assert [kind.code for kind in KINDS if kind.comes_first] == ["cruise"]


def test_a_margin_is_told_of_every_kind_that_has_one():
    assert [k for k in KINDS if k.margin_words] == [k for k in KINDS if k.is_held or k.asks_heat]


def test_what_a_kind_allows_above_the_target_is_a_default_with_its_source():
    assert [default_value(kind.allowance) for kind in KINDS if kind.allowance] == [3]


def test_nobody_judges_the_run_test_and_no_duty_point_is_entered_as_one():
    assert RUN_TEST not in KINDS
    assert duty_kind(RUN_TEST.code).judge is Judge.NOBODY


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.code)
def test_a_kind_is_found_by_its_code(kind):
    assert duty_kind(kind.code) is kind
