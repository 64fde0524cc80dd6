"""Gaps and overlaps of option terms over all combinations, without enumerating them.

A box is a bitmask per feature and an interval of in-force days. The gap of a position is its universe minus the
boxes of its entries; an overlap is a box that two entries share. Combinations the line excludes are not
subtracted (that explodes): a gap or overlap counts when it has one witness outside them.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from vehicles.records.terms import Terms

FOREVER = (date.min.toordinal(), date.max.toordinal())


@dataclass(frozen=True)
class Box:
    """Options as a bitmask per feature, and days [start, end)."""

    masks: tuple[int, ...]
    start: int
    end: int

    def meet(self, other: "Box") -> "Box | None":
        """What both hold, or None."""
        masks = tuple(a & b for a, b in zip(self.masks, other.masks, strict=True))
        start, end = max(self.start, other.start), min(self.end, other.end)
        return Box(masks, start, end) if all(masks) and start < end else None

    def minus(self, other: "Box") -> Iterator["Box"]:
        """What this holds and the other does not, as disjoint boxes."""
        if (common := self.meet(other)) is None:
            yield self
            return
        masks = list(self.masks)
        for i, mask in enumerate(self.masks):
            if rest := mask & ~common.masks[i]:
                yield Box((*masks[:i], rest, *self.masks[i + 1 :]), self.start, self.end)
            masks[i] = common.masks[i]
        if self.start < common.start:
            yield Box(common.masks, self.start, common.start)
        if common.end < self.end:
            yield Box(common.masks, common.end, self.end)


@dataclass(frozen=True)
class Universe:
    """All combinations a kit is offered for: features in order with their options."""

    features: tuple[tuple[str, tuple[str, ...]], ...]
    excluded: tuple[Mapping[str, frozenset[str]], ...] = ()

    def whole(self) -> Box:
        """The box of everything."""
        return Box(tuple((1 << len(options)) - 1 for _, options in self.features), *FOREVER)

    def box(self, terms: Terms, start: date | None = None, end: date | None = None) -> Box | None:
        """The box of an owner's terms; None when it applies to nothing here."""
        only, excluded = dict(terms.only), dict(terms.excluded)
        if set(only) - {feature for feature, _ in self.features}:
            return None
        masks = tuple(
            sum(
                1 << i
                for i, option in enumerate(options)
                if (feature not in only or option in only[feature])
                and option not in excluded.get(feature, ())
            )
            for feature, options in self.features
        )
        first = start.toordinal() if start else FOREVER[0]
        last = end.toordinal() if end else FOREVER[1]
        return Box(masks, first, last) if all(masks) and first < last else None

    def witness(self, box: Box) -> dict[str, str] | None:
        """One combination of the box that the line does not exclude, or None."""
        return self._search(box, 0, {})

    def _search(self, box: Box, i: int, chosen: dict[str, str]) -> dict[str, str] | None:
        # depth first; a branch that already is an excluded combination is left at once
        if any(
            all(chosen.get(f) in options for f, options in combination.items())
            for combination in self.excluded
        ):
            return None
        if i == len(self.features):
            return dict(chosen)
        feature, options = self.features[i]
        for j, option in enumerate(options):
            if box.masks[i] >> j & 1:
                chosen[feature] = option
                if (found := self._search(box, i + 1, chosen)) is not None:
                    return found
                del chosen[feature]
        return None


def gaps(universe: Universe, boxes: Sequence[Box], within: Box | None = None) -> list[Box]:
    """What of the universe no box covers, with a witness each."""
    left = [within or universe.whole()]
    for box in boxes:
        left = [piece for rest in left for piece in rest.minus(box)]
    return [box for box in left if universe.witness(box)]


def overlaps(universe: Universe, boxes: Sequence[Box]) -> list[tuple[int, int, Box]]:
    """Pairs of boxes that share a combination, by index."""
    found = []
    for i, first in enumerate(boxes):
        for j in range(i + 1, len(boxes)):
            common = first.meet(boxes[j])
            if common is not None and universe.witness(common):
                found.append((i, j, common))
    return found
