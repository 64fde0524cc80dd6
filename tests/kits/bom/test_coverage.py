"""Gaps and overlaps by boxes are those that enumerating every combination and day finds."""

from datetime import date, timedelta
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from kits.bom.coverage import Box, Universe, gaps, overlaps
from vehicles.records.terms import Terms

DAYS = [date(2020, 1, 1) + timedelta(days=k) for k in range(5)]
FEATURES = (("steering", ("left", "right")), ("body", ("coupe", "tourer", "van")), ("volts", ("6", "12")))


@st.composite
def owner_terms(draw: st.DrawFn) -> tuple[Terms, date | None, date | None]:
    only, excluded = [], []
    for feature, options in FEATURES:
        chosen = draw(st.sets(st.sampled_from(options)))
        if chosen:
            (only if draw(st.booleans()) else excluded).append((feature, frozenset(chosen)))
    start = draw(st.none() | st.sampled_from(DAYS))
    end = draw(st.none() | st.sampled_from(DAYS))
    if start and end and start >= end:
        end = None
    return Terms(tuple(only), tuple(excluded)), start, end


def applies(owner: tuple[Terms, date | None, date | None], options: dict[str, str], day: date) -> bool:
    terms, start, end = owner
    return terms.applies(options) and (start is None or start <= day) and (end is None or day < end)


def cells() -> list[tuple[dict[str, str], date]]:
    names = [feature for feature, _ in FEATURES]
    combinations = product(*(options for _, options in FEATURES))
    return [(dict(zip(names, c, strict=True)), day) for c in combinations for day in DAYS]


def holds(universe: Universe, box: Box, options: dict[str, str], day: date) -> bool:
    return box.start <= day.toordinal() < box.end and all(
        box.masks[i] >> choices.index(options[feature]) & 1
        for i, (feature, choices) in enumerate(universe.features)
    )


@settings(max_examples=150, deadline=None)
@given(st.lists(owner_terms(), max_size=5), st.none() | st.tuples(*(st.sampled_from(o) for _, o in FEATURES)))
def test_boxes_agree_with_brute_force(owners, excluded):
    combination = {f: frozenset({o}) for (f, _), o in zip(FEATURES, excluded or (), strict=False)}
    universe = Universe(FEATURES, (combination,) if excluded else ())
    boxes = [box for owner in owners if (box := universe.box(*owner))]
    found = gaps(universe, boxes)
    for options, day in cells():
        is_out = bool(excluded) and all(options[f] in o for f, o in combination.items())
        if is_out:
            continue
        count = sum(applies(owner, options, day) for owner in owners)
        assert any(holds(universe, box, options, day) for box in found) == (count == 0)
        common = [box for _, _, box in overlaps(universe, boxes)]
        assert any(holds(universe, box, options, day) for box in common) == (count > 1)


def test_a_gap_that_lies_wholly_in_an_excluded_combination_is_none():
    universe = Universe(FEATURES, ({"body": frozenset({"van"})},))
    box = universe.box(Terms(only=(("body", frozenset({"coupe", "tourer"})),)))
    assert box is not None
    assert gaps(universe, [box]) == []


def test_twenty_features_of_six_options_with_sixty_entries_stay_small():
    features = tuple((f"f{i}", tuple("abcdef")) for i in range(20))
    universe = Universe(features)
    boxes = []
    for i in range(60):
        terms = Terms(
            only=(
                (f"f{i % 20}", frozenset("abc" if i % 2 else "def")),
                (f"f{(i * 7) % 20}", frozenset("abcde")),
            )
        )
        boxes.append(universe.box(terms))
    left = gaps(universe, [box for box in boxes if box])
    # f0 "abc" and "def" are both taken somewhere, yet combined with f(7i) they leave room; each piece has a witness
    assert all(universe.witness(box) for box in left)
