"""Gaps and overlaps of option terms over all combinations and days, without enumerating them.

A box is a bitmask per feature and an interval of in-force days. What no box covers is told as maximal boxes: one
uncovered place is searched depth first, grown until it touches a box on every side, told, and set aside; so the
told boxes together are exactly the gap, and a gap in pieces is not told piece by piece. Combinations the line
excludes are not subtracted (that explodes): a gap or an overlap counts when it has one place outside them.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from math import prod

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

    def with_mask(self, i: int, mask: int) -> "Box":
        """The box with another choice of feature i."""
        return Box((*self.masks[:i], mask, *self.masks[i + 1 :]), self.start, self.end)


@dataclass(frozen=True)
class _Cover:
    """A box by what it limits only: most entries speak of few features."""

    axes: tuple[tuple[int, int], ...]
    start: int
    end: int

    def meets(self, box: Box) -> bool:
        """Whether the two share a place."""
        if self.start >= box.end or box.start >= self.end:
            return False
        masks = box.masks
        for i, mask in self.axes:  # noqa: SIM110 (the search spends its time here; a plain loop is twice as fast)
            if not masks[i] & mask:
                return False
        return True

    def sides(self, box: Box) -> int:
        """On how many sides the box, which meets this one, sticks out of it."""
        masks = box.masks
        out = (self.start > box.start) + (self.end < box.end)
        for i, mask in self.axes:
            if masks[i] & ~mask:
                out += 1
        return out

    def outside(self, box: Box) -> Iterator[Box]:
        """What the box, which meets this one, holds outside it, as disjoint boxes."""
        for i, mask in self.axes:
            if rest := box.masks[i] & ~mask:
                yield box.with_mask(i, rest)
                box = box.with_mask(i, box.masks[i] & mask)
        if box.start < self.start:
            yield Box(box.masks, box.start, self.start)
        if self.end < box.end:
            yield Box(box.masks, self.end, box.end)


@dataclass(frozen=True)
class Universe:
    """All combinations of a model line: features in order with their options, and what the line excludes."""

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

    def holds(self, box: Box, options: Mapping[str, str]) -> bool:
        """Whether a car with these options lies in the box, whatever the day."""
        return all(
            options.get(feature) in self.chosen(i, box.masks[i])
            for i, (feature, _) in enumerate(self.features)
        )

    def chosen(self, i: int, mask: int) -> tuple[str, ...]:
        """The options of feature i that a mask holds."""
        return tuple(option for j, option in enumerate(self.features[i][1]) if mask >> j & 1)

    def witness(self, box: Box) -> dict[str, str] | None:
        """One combination of the box that the line does not exclude, or None."""
        found = _search(box, (), self._out, ())
        if found is None:
            return None
        return {feature: self.chosen(i, found.masks[i])[0] for i, (feature, _) in enumerate(self.features)}

    @cached_property
    def _out(self) -> list[_Cover]:
        boxes = [
            self.box(Terms(only=tuple(combination.items()))) for combination in self.excluded if combination
        ]
        return [self.cover(box) for box in boxes if box is not None]

    def cover(self, box: Box) -> _Cover:
        """The box by what it limits."""
        whole = self.whole().masks
        axes = tuple((i, mask) for i, mask in enumerate(box.masks) if mask != whole[i])
        return _Cover(axes, box.start, box.end)


def gaps(
    universe: Universe, boxes: Sequence[Box], within: Box | None = None, limit: int | None = None
) -> list[Box]:
    """What no box covers, as maximal boxes that together are the whole gap; at most ``limit`` of them.

    Each has a combination that the line does not exclude. They may overlap each other; ``within`` bounds them.
    """
    area = within or universe.whole()
    covers = [universe.cover(box) for box in boxes]
    conflicts = _conflicts(boxes, covers)
    closed = list(enumerate(covers))
    found: list[Box] = []
    while limit is None or len(found) < limit:
        place = _search(area, closed, universe._out, conflicts)
        if place is None:
            break
        grown = _grown(place, area, covers)
        fresh = [grown]
        for told in map(universe.cover, found):
            fresh = [part for box in fresh for part in (told.outside(box) if told.meets(box) else (box,))]
        # what is told is closed as parts that meet nothing else, so that counting still proves the rest
        closed += [(len(closed) + k, universe.cover(part)) for k, part in enumerate(fresh)]
        conflicts += [frozenset()] * len(fresh)
        found.append(grown)
    return found


def _conflicts(boxes: Sequence[Box], covers: Sequence[_Cover]) -> list[frozenset[int]]:
    """Of each cover, which others it meets."""
    return [
        frozenset(j for j, cover in enumerate(covers) if j != i and cover.meets(box))
        for i, box in enumerate(boxes)
    ]


def _search(
    box: Box,
    covers: Sequence[tuple[int, _Cover]],
    aside: Sequence[_Cover],
    conflicts: Sequence[frozenset[int]],
) -> Box | None:
    """A part of the box that neither a cover (with its number) nor one set aside meets, or None.

    The cover that leaves the least is split first. Covers that are disjoint and as large together as the box
    leave nothing: a parts list without faults is proved by counting.
    """
    live = [(i, cover) for i, cover in covers if cover.meets(box)]
    rest = [cover for cover in aside if cover.meets(box)]
    if not live and not rest:
        return box
    sides = [cover.sides(box) for _, cover in live] + [cover.sides(box) for cover in rest]
    least = min(sides)
    if not least or _filled(box, live, conflicts):
        return None
    k = sides.index(least)
    hardest = live.pop(k)[1] if k < len(live) else rest.pop(k - len(live))
    for piece in hardest.outside(box):
        if (found := _search(piece, live, rest, conflicts)) is not None:
            return found
    return None


def _filled(box: Box, live: Sequence[tuple[int, _Cover]], conflicts: Sequence[frozenset[int]]) -> bool:
    """Whether the covers, if no two of them meet, are together as large as the box."""
    numbers = {i for i, _ in live}
    if any(not numbers.isdisjoint(conflicts[i]) for i in numbers):
        return False
    counts = [mask.bit_count() for mask in box.masks]
    size = prod(counts) * (box.end - box.start)
    total = 0
    for _, cover in live:
        part = size // (box.end - box.start) * (min(box.end, cover.end) - max(box.start, cover.start))
        for i, mask in cover.axes:
            part = part // counts[i] * (box.masks[i] & mask).bit_count()
        total += part
    return total == size


def _grown(box: Box, area: Box, covers: Sequence[_Cover]) -> Box:
    """The box as large as it gets in the area without meeting a cover: the days, whole features, then options."""
    beside = [c for c in covers if c.meets(Box(box.masks, area.start, area.end))]
    start = max([c.end for c in beside if c.end <= box.start], default=area.start)
    end = min([c.start for c in beside if c.start >= box.end], default=area.end)
    box = Box(box.masks, max(start, area.start), min(end, area.end))
    for whole in (True, False):
        for i, mask in enumerate(area.masks):
            free = mask & ~_blocked(box, i, mask, covers)
            if free == mask or not whole:
                box = box.with_mask(i, free)
    return box


def _blocked(box: Box, axis: int, mask: int, covers: Sequence[_Cover]) -> int:
    """The options of one feature that covers take which meet the box in all else."""
    freed = box.with_mask(axis, mask)
    blocked = 0
    for cover in covers:
        if cover.meets(freed):
            blocked |= dict(cover.axes).get(axis, mask)
    return blocked


def overlaps(universe: Universe, boxes: Sequence[Box]) -> list[tuple[int, int, Box]]:
    """Pairs of boxes that share a combination the line does not exclude, by index, with what they share."""
    covers = [universe.cover(box) for box in boxes]
    found = []
    for i, first in enumerate(boxes):
        for j in range(i + 1, len(boxes)):
            if not covers[j].meets(first):
                continue
            common = first.meet(boxes[j])
            if common is not None and _search(common, (), universe._out, ()) is not None:
                found.append((i, j, common))
    return found
