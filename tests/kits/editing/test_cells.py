"""A value shown and read again is the same value; nonsense gets a sentence."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.editing.cells import read, shown
from kits.exchange.columns import DATE, DECIMAL, NUMBER, TEXT, WHOLE, YES_NO, Column
from kits.exchange.values import CellProblem

LENGTH = Column("length_mm", "length [mm]", NUMBER)
AMOUNT = Column("quantity", "quantity", DECIMAL, decimals=3, high=9999999)
COUNT = Column("number", "number", WHOLE, low=0, high=32767)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_comes_back_to_its_last_digit(value):
    assert read(LENGTH, shown(LENGTH, value), {}, "") == value


@given(st.decimals(0, 9999999, places=3))
def test_a_quantity_comes_back(value):
    assert read(AMOUNT, shown(AMOUNT, value), {}, "") == value


@pytest.mark.parametrize(
    ("column", "value"),
    [(COUNT, 12), (Column("on", "on", DATE), date(2026, 5, 1)), (Column("a", "a", YES_NO), True),
     (Column("a", "a", YES_NO), False), (Column("name", "name", TEXT), "=1+1"), (AMOUNT, Decimal("0.5"))],
)  # fmt: skip
def test_each_kind_comes_back(column, value):
    assert read(column, shown(column, value), {}, "") == value


@pytest.mark.parametrize("typed", ["12,5", "1,240", "twelve", "nan", "inf", "1e999", "12 mm", "--1"])
def test_what_is_no_number_is_refused_with_the_fields_name(typed):
    with pytest.raises(CellProblem, match="^Length"):
        read(LENGTH, typed, {}, "")


@pytest.mark.parametrize(
    ("typed", "value"), [(" 12.5 ", 12.5), ("−3", -3.0), ("1 240", 1240.0), ("1e3", 1000.0)]
)
def test_blanks_and_a_true_minus_are_read(typed, value):
    assert read(LENGTH, typed, {}, "") == value


@pytest.mark.parametrize("typed", ["\u0661\u0662", "\u0967\u0968.\u096b", "\uff11\uff12", "1_000"])
@pytest.mark.parametrize("column", [LENGTH, COUNT])
def test_only_the_digits_0_to_9_are_digits(column, typed):
    with pytest.raises(CellProblem, match="with the digits 0 to 9, not “"):
        read(column, typed, {}, "")


@pytest.mark.parametrize("typed", ["-1", "1.5", "40000"])
def test_a_count_stays_within_its_bounds(typed):
    with pytest.raises(CellProblem):
        read(COUNT, typed, {}, "")


def test_an_empty_field_gives_the_columns_default():
    assert read(Column("f", "f", NUMBER, default=2.5), "  ", {}, "") == 2.5
    with pytest.raises(CellProblem, match="must not be empty"):
        read(Column("f", "f", TEXT, required=True), "", {}, "")
