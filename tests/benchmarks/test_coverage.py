"""Coverage of 20 features of 6 options with 60 entries, in several shapes; to stay under 100 ms."""

from random import Random

import pytest

from kits.bom.coverage import Box, Universe, gaps, overlaps
from kits.bom.coverage_checks import TOLD
from vehicles.records.terms import Terms

FEATURES = tuple((f"f{i}", tuple("abcdef")) for i in range(20))
ENTRIES = 60
EXCLUDED = (
    {"f0": frozenset("a"), "f1": frozenset("b")},
    {"f2": frozenset("ab"), "f3": frozenset("c")},
)


def tree(random, leaves):
    """Entries of a parts list without fault: the combinations are split by a feature again and again."""
    found = [{}]
    while len(found) < leaves:
        leaf = found.pop(random.randrange(len(found)))
        feature, options = random.choice([(f, o) for f, o in FEATURES if len(leaf.get(f, o)) > 1])
        chosen = random.sample(sorted(leaf.get(feature, options)), len(leaf.get(feature, options)))
        cut = random.randrange(1, len(chosen))
        found += [{**leaf, feature: frozenset(part)} for part in (chosen[:cut], chosen[cut:])]
    random.shuffle(found)
    return [Terms(only=tuple(sorted(leaf.items()))) for leaf in found]


def scattered(random, terms, options):
    """Entries with terms on features drawn at random."""
    count = random.randint(*terms)
    drawn = random.sample(FEATURES, count)
    return Terms(only=tuple((f, frozenset(random.sample(o, random.randint(*options)))) for f, o in drawn))


SHAPES = {
    "without fault": lambda r: tree(r, ENTRIES),
    "three entries forgotten": lambda r: tree(r, ENTRIES + 3)[3:],
    "one entry without terms": lambda r: [*tree(r, ENTRIES - 1), Terms()],
    "one to four terms at random": lambda r: [scattered(r, (1, 4), (1, 5)) for _ in range(ENTRIES)],
    "three to six wide terms": lambda r: [scattered(r, (3, 6), (4, 5)) for _ in range(ENTRIES)],
}


def judged(universe: Universe, boxes: list[Box]):
    """The work of one position: its gaps with an example each, and its overlaps."""
    found = gaps(universe, boxes, limit=TOLD + 1)
    return [universe.witness(box) for box in found], overlaps(universe, boxes)


@pytest.mark.benchmark
@pytest.mark.parametrize("excluded", [(), EXCLUDED], ids=["all built", "two combinations excluded"])
@pytest.mark.parametrize("shape", SHAPES)
def test_coverage_of_a_large_position(benchmark, shape, excluded):
    universe = Universe(FEATURES, excluded)
    terms = SHAPES[shape](Random(20))
    assert len(terms) == ENTRIES
    boxes = [box for t in terms if (box := universe.box(t))]
    examples, shared = benchmark(judged, universe, boxes)
    assert None not in examples
    if shape == "without fault":
        assert (examples, shared) == ([], [])
    if shape == "three entries forgotten":
        assert examples
    if shape == "one entry without terms":
        assert len(shared) >= ENTRIES - 5
