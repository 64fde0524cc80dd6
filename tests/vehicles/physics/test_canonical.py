"""One text for one value: there and back, what is refused, and where."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import StrEnum
from typing import Any, Literal
from unicodedata import is_normalized

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vehicles.physics.arrays import Refusal
from vehicles.physics.canonical import calculated, stored_of, text_of, value_from, value_of


class Colour(StrEnum):
    """Some texts."""

    RED = "red"
    BLUE = "blue"


@dataclass(frozen=True)
class Leaf:
    """A part."""

    name: str
    x_mm: float
    leaves: tuple["Leaf", ...] = ()


@dataclass(frozen=True)
class Other:
    """What may stand in a leaf's place."""

    count: int


@dataclass(frozen=True)
class Whole:
    """A bit of everything."""

    is_new: bool
    count: int
    size_m: float | None
    price: Decimal
    on: date | None
    at: datetime
    colour: Colour
    side: Literal["left", "right"]
    leaf: Leaf | Other
    pair: tuple[int, str | float]
    by_name: Mapping[str, float] = field(default_factory=dict)
    days: frozenset[date] = frozenset()


@calculated
@dataclass(frozen=True)
class Answer:
    """Calculated, with all that it holds."""

    capacity_w: float
    at: Mapping[str, tuple[float, ...]]
    leaf: Leaf
    points: int = 0
    mass: Decimal = Decimal(0)


NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
MOMENTS = st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=5, minutes=30))]))
LEAVES = st.recursive(
    st.builds(Leaf, TEXTS, NUMBERS),
    lambda some: st.builds(Leaf, TEXTS, NUMBERS, st.lists(some, max_size=2).map(tuple)),
    max_leaves=4,
)
WHOLES = st.builds(
    Whole,
    is_new=st.booleans(),
    count=st.integers(),
    size_m=st.none() | NUMBERS,
    price=st.decimals(allow_nan=False, allow_infinity=False, places=4, min_value=-(10**20), max_value=10**20),
    on=st.none() | st.dates(),
    at=MOMENTS.filter(lambda moment: 2 < moment.year < 9998),
    colour=st.sampled_from(Colour),
    side=st.sampled_from(["left", "right"]),
    leaf=LEAVES | st.builds(Other, st.integers()),
    pair=st.tuples(st.integers(), TEXTS | NUMBERS),
    by_name=st.dictionaries(TEXTS.filter(lambda text: is_normalized("NFC", text)), NUMBERS, max_size=3),
    days=st.frozensets(st.dates(), max_size=3),
)
ANSWERS = st.builds(
    Answer, NUMBERS, st.dictionaries(st.sampled_from("ab"), st.lists(NUMBERS).map(tuple)), LEAVES, st.integers(),
    st.decimals(allow_nan=False, allow_infinity=False, places=9, min_value=-1000, max_value=1000),
)  # fmt: skip
WHOLE = Whole(
    is_new=True, count=3, size_m=0.1, price=Decimal("12.50"), on=date(2026, 11, 30),
    at=datetime(2026, 11, 30, 23, 5, tzinfo=timezone(timedelta(hours=1))), colour=Colour.BLUE, side="left",
    leaf=Leaf("hose", 1200.0, (Leaf("end", -0.0),)), pair=(2, "b"), by_name={"b": 1e-7, "a": 2.0},
    days=frozenset({date(2026, 2, 1), date(2026, 1, 1)}),
)  # fmt: skip


def test_a_value_has_this_text() -> None:
    assert text_of(WHOLE) == (
        '{"at":"2026-11-30T22:05:00Z","by_name":{"a":"2","b":"1e-07"},"colour":"blue","count":"3",'
        '"days":["2026-01-01","2026-02-01"],"is_new":true,'
        '"leaf":{"Leaf":{"leaves":[{"leaves":[],"name":"end","x_mm":"0"}],"name":"hose","x_mm":"1200"}},'
        '"on":"2026-11-30","pair":["2",{"str":"b"}],"price":"12.5","side":"left","size_m":"0.1"}'
    )


@given(WHOLES)
def test_typed_numbers_come_back_as_they_were_and_a_text_as_itself(whole: Whole) -> None:
    text = text_of(whole)
    back = value_of(Whole, text)
    assert text_of(back) == text
    assert (back.size_m, back.price, back.at, back.by_name) == (
        whole.size_m, whole.price, whole.at, whole.by_name
    )  # fmt: skip
    if isinstance(whole.leaf, Leaf):
        assert isinstance(back.leaf, Leaf)
        assert back.leaf.x_mm == whole.leaf.x_mm
    assert is_normalized("NFC", text)


@given(ANSWERS)
def test_calculated_numbers_come_back_with_six_digits_and_a_text_as_itself(answer: Answer) -> None:
    text = text_of(answer)
    back = value_of(Answer, text)
    assert text_of(back) == text
    assert back.capacity_w == float(f"{answer.capacity_w:.6g}")
    assert back.leaf.x_mm == pytest.approx(answer.leaf.x_mm, rel=5e-6)
    assert back.points == answer.points
    assert abs(back.mass - answer.mass) <= abs(answer.mass) * Decimal("5e-6")


@given(WHOLES)
def test_what_a_column_of_json_keeps_says_the_same(whole: Whole) -> None:
    stored = json.loads(json.dumps(stored_of(whole)))
    assert value_from(Whole, stored) == value_of(Whole, text_of(whole))


def test_what_is_calculated_is_rounded_wherever_it_stands() -> None:
    answer = Answer(1234567.89, {"a": (1 / 3, -0.0)}, Leaf("x", 2 / 3), 1234567, Decimal("1.23456789"))
    assert text_of(answer) == (
        '{"at":{"a":["0.333333","0"]},"capacity_w":"1234570","leaf":{"leaves":[],"name":"x","x_mm":"0.666667"},'
        '"mass":"1.23457","points":"1234567"}'
    )
    # the same leaf elsewhere is typed
    assert stored_of(Leaf("x", 2 / 3))["x_mm"] == "0.6666666666666666"


def test_one_character_has_one_text() -> None:
    assert text_of(Leaf("Schlauch fu\u0308r", 1.0)) == text_of(Leaf("Schlauch für", 1.0))


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"size_m": float("nan")}, "Whole.size_m: nan is no number that can be kept."),
        ({"size_m": float("-inf")}, "Whole.size_m: -inf is no number that can be kept."),
        ({"size_m": np.float64(1.0)}, "Whole.size_m: float64 stands in the place of a number."),
        ({"size_m": True}, "Whole.size_m: bool stands in the place of a number."),
        ({"size_m": 2**53 + 1}, "Whole.size_m: int stands in the place of a number."),
        ({"count": np.int64(1)}, "Whole.count: int64 stands in the place of a whole number."),
        ({"count": 1.0}, "Whole.count: float stands in the place of a whole number."),
        ({"is_new": np.True_}, "Whole.is_new: bool stands in the place of yes or no."),
        ({"price": Decimal("NaN")}, "Whole.price: NaN is no number that can be kept."),
        ({"on": datetime(2026, 1, 1, tzinfo=UTC)}, "Whole.on: datetime stands in the place of a day."),
        ({"at": WHOLE.at.replace(tzinfo=None)}, "Whole.at: 2026-11-30T23:05:00 does not say in which time zone."),
        ({"colour": "red"}, "Whole.colour: str stands in the place of a Colour."),
        ({"side": "above"}, "Whole.side: “above” is none of: left, right."),
        ({"leaf": WHOLE}, "Whole.leaf: Whole stands in the place of a Leaf or Other."),
        ({"leaf": Leaf("a", 1.0, (Leaf("b", float("nan")),))}, "Whole.leaf.leaves.0.x_mm: nan is no number"),
        ({"leaf": Leaf("\ud800", 1.0)}, "Whole.leaf.name: '\\ud800' has half a character in it."),
        ({"pair": [2, "b"]}, "Whole.pair: list stands in the place of a tuple."),
        ({"pair": (2, "b", "c")}, "Whole.pair: 3 stand in the place of 2."),
        ({"pair": (2, None)}, "Whole.pair.1: NoneType stands in the place of a str or float."),
        ({"by_name": {1: 2.0}}, "Whole.by_name.key 1: int stands in the place of a text."),
        ({"by_name": {"a": None}}, "Whole.by_name.a: NoneType stands in the place of a number."),
        ({"by_name": {"ü": 1.0, "u\u0308": 1.0}}, "Whole.by_name: two of its keys are the same text."),
        ({"days": {date(2026, 1, 1)}}, "Whole.days: set stands in the place of a frozenset."),
    ],
)  # fmt: skip
def test_a_value_that_has_no_text_is_refused_with_its_path(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises(Refusal) as refused:
        text_of(replace(WHOLE, **changes))
    assert str(refused.value).startswith(sentence)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"colours": "red"}, "Whole: a Whole has no “colours”."),
        ({"count": 3}, "Whole.count: 3 is not a whole number as it is written here."),
        ({"count": "03"}, "Whole.count: '03' is not a whole number as it is written here."),
        ({"size_m": "0.10"}, "Whole.size_m: '0.10' is not a number as it is written here."),
        ({"size_m": "nan"}, "Whole.size_m: 'nan' is not a number as it is written here."),
        ({"size_m": "-0"}, "Whole.size_m: '-0' is not a number as it is written here."),
        ({"size_m": 0.1}, "Whole.size_m: 0.1 is not a number as it is written here."),
        ({"is_new": 1}, "Whole.is_new: 1 is not yes or no as it is written here."),
        ({"is_new": None}, "Whole.is_new: None is not yes or no as it is written here."),
        ({"price": "12.50"}, "Whole.price: '12.50' is not a decimal as it is written here."),
        ({"price": "much"}, "Whole.price: 'much' is not a decimal as it is written here."),
        ({"on": "30.11.2026"}, "Whole.on: '30.11.2026' is not a day as it is written here."),
        ({"at": "2026-11-30T22:05:00"}, "Whole.at: '2026-11-30T22:05:00' is not a moment in UTC"),
        ({"at": "2026-11-30T22:05:00+00:00"}, "Whole.at: '2026-11-30T22:05:00+00:00' is not a moment in UTC"),
        ({"colour": "green"}, "Whole.colour: 'green' is not a Colour as it is written here."),
        ({"side": "above"}, "Whole.side: 'above' is not one of: left, right, as it is written here."),
        ({"leaf": {"Tree": {}}}, "Whole.leaf: a Leaf or Other stands under its name."),
        ({"leaf": {"Leaf": {"name": "a"}}}, "Whole.leaf.Leaf: “x_mm” is missing."),
        ({"leaf": {"Leaf": {"name": "u\u0308", "x_mm": "1"}}}, "Whole.leaf.Leaf.name: 'u\u0308' is not a text"),
        ({"pair": ["2"]}, "Whole.pair: 1 stand in the place of 2."),
        ({"pair": "2b"}, "Whole.pair: '2b' is no list."),
        ({"by_name": []}, "Whole.by_name: [] is no mapping."),
        ({"days": ["2026-02-01", "2026-01-01"]}, "Whole.days: what stands in a set is sorted"),
        ({"days": ["2026-02-01", "2026-02-01"]}, "Whole.days: what stands in a set is sorted"),
    ],
)  # fmt: skip
def test_a_text_that_is_not_canonical_is_refused_with_its_path(
    changes: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(Refusal) as refused:
        value_from(Whole, stored_of(WHOLE) | changes)
    assert str(refused.value).startswith(sentence)


def test_what_is_missing_has_its_default_or_is_refused() -> None:
    stored = stored_of(WHOLE)
    del stored["by_name"], stored["days"]
    assert value_from(Whole, stored) == replace(WHOLE, by_name={}, days=frozenset())
    del stored["count"]
    with pytest.raises(Refusal, match=r"^Whole: “count” is missing\.$"):
        value_from(Whole, stored)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("{", "Whole: this is not JSON"),
        ('{"count":"1","count":"2"}', "“count” stands twice"),
        ("[" * 100_000, "Whole: this is not JSON"),
        ("null", "Whole: None is no Whole."),
    ],
)
def test_what_is_no_json_is_refused(text: str, what: str) -> None:
    with pytest.raises(Refusal) as refused:
        value_of(Whole, text)
    assert what in str(refused.value)


def test_a_class_that_refuses_its_values_is_told_with_the_path() -> None:
    @dataclass(frozen=True)
    class Positive:
        length_m: float

        def __post_init__(self) -> None:
            if self.length_m <= 0:
                raise Refusal("The length must be above zero.")

    with pytest.raises(Refusal, match=r"^Positive: The length must be above zero\.$"):
        value_from(Positive, {"length_m": "-1"})


def test_an_annotation_without_a_text_is_refused() -> None:
    @dataclass(frozen=True)
    class Loose:
        count: int
        settings: Mapping[str, Any]

    with pytest.raises(
        Refusal, match=r"^Loose\.settings: what is annotated typing\.Any has no canonical text"
    ):
        text_of(Loose(1, {}))
    with pytest.raises(Refusal, match="str is no dataclass"):
        text_of("a")
