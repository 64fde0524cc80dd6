"""Which of several numbers for the same thing wins."""

from datetime import date
from itertools import pairwise

import pytest

from vehicles.physics.origin import Kind, Origin, best


def test_the_stronger_kind_wins_over_a_later_date() -> None:
    order = [Kind.DEFAULT, Kind.ESTIMATE, Kind.CALCULATED, Kind.DATA_SHEET, Kind.MEASURED]
    for weaker, stronger in pairwise(order):
        old, new = Origin(stronger, on=date(1999, 1, 1)), Origin(weaker, on=date(2025, 1, 1))
        assert best([old, new]) is old
        assert best([new, old]) is old


def test_weighed_and_measured_are_equally_strong_so_the_later_wins() -> None:
    weighed, measured = Origin(Kind.WEIGHED, on=date(2025, 2, 1)), Origin(Kind.MEASURED, on=date(2025, 1, 1))
    assert best([weighed, measured]) is weighed
    assert best([measured, weighed]) is weighed


def test_a_dated_value_wins_over_an_undated_one_of_its_kind() -> None:
    undated, dated = Origin(Kind.ESTIMATE), Origin(Kind.ESTIMATE, on=date(2020, 1, 1))
    assert best([dated, undated]) is dated


def test_of_equals_the_last_one_wins() -> None:
    first, second = Origin(Kind.MEASURED, note="first"), Origin(Kind.MEASURED, note="second")
    assert best([first, second]) is second


def test_only_estimates_and_defaults_are_uncertain() -> None:
    assert {kind for kind in Kind if Origin(kind).is_uncertain} == {Kind.ESTIMATE, Kind.DEFAULT}


def test_a_kind_given_as_text_is_understood_and_an_unknown_one_refused() -> None:
    assert Origin("data sheet").kind is Kind.DATA_SHEET  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="“guess” is not a kind of origin"):
        Origin("guess")  # type: ignore[arg-type]


def test_nothing_to_choose_from_is_refused() -> None:
    with pytest.raises(ValueError, match="no value"):
        best([])
