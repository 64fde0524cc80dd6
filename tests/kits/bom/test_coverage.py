"""Gaps and overlaps by boxes are those that enumerating every combination and day finds."""

from datetime import date, timedelta
from itertools import combinations, product

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


@st.composite
def excluded_combination(draw: st.DrawFn) -> dict[str, frozenset[str]]:
    features = draw(st.lists(st.sampled_from(FEATURES), min_size=1, unique=True))
    return {f: frozenset(draw(st.sets(st.sampled_from(options), min_size=1))) for f, options in features}


def applies(owner: tuple[Terms, date | None, date | None], options: dict[str, str], day: date) -> bool:
    terms, start, end = owner
    return terms.applies(options) and (start is None or start <= day) and (end is None or day < end)


def cells() -> list[tuple[dict[str, str], date]]:
    names = [feature for feature, _ in FEATURES]
    every = product(*(options for _, options in FEATURES))
    days = [DAYS[0] - timedelta(days=1), *DAYS]
    return [(dict(zip(names, c, strict=True)), day) for c in every for day in days]


def is_excluded(options: dict[str, str], excluded: list[dict[str, frozenset[str]]]) -> bool:
    return any(all(options[f] in chosen for f, chosen in c.items()) for c in excluded)


def holds(universe: Universe, box: Box, options: dict[str, str], day: date) -> bool:
    return box.start <= day.toordinal() < box.end and universe.holds(box, options)


CASES = given(st.lists(owner_terms(), max_size=6), st.lists(excluded_combination(), max_size=3))


@settings(max_examples=200, deadline=None)
@CASES
def test_the_gap_is_what_brute_force_finds(owners, excluded):
    universe = Universe(FEATURES, tuple(excluded))
    found = gaps(universe, [box for owner in owners if (box := universe.box(*owner))])
    for options, day in cells():
        count = sum(applies(owner, options, day) for owner in owners)
        told = any(holds(universe, box, options, day) for box in found)
        # an excluded combination may be told along with its neighbours, a covered one never
        assert not (told and count)
        assert told or count or is_excluded(options, excluded)


@settings(max_examples=100, deadline=None)
@CASES
def test_each_gap_has_a_car_that_is_not_excluded_and_reaches_as_far_as_it_can(owners, excluded):
    universe = Universe(FEATURES, tuple(excluded))
    boxes = [box for owner in owners if (box := universe.box(*owner))]
    found = gaps(universe, boxes)
    assert len(set(found)) == len(found)
    for box in found:
        witness = universe.witness(box)
        assert witness is not None
        assert universe.holds(box, witness)
        assert not is_excluded(witness, excluded)
        for i, mask in enumerate(universe.whole().masks):
            missing = [1 << j for j in range(mask.bit_length()) if mask & ~box.masks[i] & 1 << j]
            assert all(any(c.meet(box.with_mask(i, option)) for c in boxes) for option in missing)


@settings(max_examples=150, deadline=None)
@CASES
def test_the_overlaps_are_the_pairs_that_brute_force_finds(owners, excluded):
    universe = Universe(FEATURES, tuple(excluded))
    known = [(owner, box) for owner in owners if (box := universe.box(*owner))]
    found = {(i, j): box for i, j, box in overlaps(universe, [box for _, box in known])}
    for i, j in combinations(range(len(known)), 2):
        shared = [
            (options, day)
            for options, day in cells()
            if all(applies(known[k][0], options, day) for k in (i, j))
        ]
        assert ((i, j) in found) == any(not is_excluded(options, excluded) for options, _ in shared)
        assert all(holds(universe, found[i, j], *cell) for cell in shared if (i, j) in found)


@settings(max_examples=60, deadline=None)
@given(st.lists(owner_terms(), max_size=6), st.integers(0, 3))
def test_a_limit_only_ends_the_list_early(owners, limit):
    universe = Universe(FEATURES)
    boxes = [box for owner in owners if (box := universe.box(*owner))]
    assert gaps(universe, boxes, limit=limit) == gaps(universe, boxes)[:limit]


def test_a_gap_in_pieces_is_told_as_one():
    universe = Universe(FEATURES)
    boxes = [
        universe.box(Terms(only=(("body", frozenset({"coupe"})), ("volts", frozenset({"12"}))))),
        universe.box(Terms(only=(("body", frozenset({"tourer", "van"})), ("volts", frozenset({"12"}))))),
    ]
    (gap,) = gaps(universe, [box for box in boxes if box])
    assert universe.chosen(2, gap.masks[2]) == ("6",)
    assert gap.masks[:2] == universe.whole().masks[:2]


def test_a_gap_that_lies_wholly_in_an_excluded_combination_is_none():
    universe = Universe(FEATURES, ({"body": frozenset({"van"})},))
    box = universe.box(Terms(only=(("body", frozenset({"coupe", "tourer"})),)))
    assert box is not None
    assert gaps(universe, [box]) == []


def test_terms_of_a_feature_the_line_lacks_apply_to_nothing():
    assert Universe(FEATURES).box(Terms(only=(("doors", frozenset({"2"})),))) is None
    assert Universe(FEATURES).box(Terms(excluded=(("doors", frozenset({"2"})),))) is not None
