"""Where the name of a place in a diagram can stand without lying on anything else; pixels throughout."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from vehicles.physics.arrays import FloatArray

Box = tuple[float, float, float, float]
"""left, lower, right and upper edge"""
# right and left of the place; above and below it, centred or drawn to one side; at the corners
_SIDES = (
    (1, 0, 0.0), (-1, 0, 0.0), (0, 1, 0.5), (0, -1, 0.5), (0, 1, 0.1), (0, 1, 0.9), (0, -1, 0.1), (0, -1, 0.9),
    (1, 1, 0.0), (-1, 1, 0.0), (1, -1, 0.0), (-1, -1, 0.0),
)  # fmt: skip
_REACHES_PX = (10.0, 20.0, 34.0, 52.0, 72.0)
_LINE_COST, _FAR_COST = 1.0, 0.4


@dataclass
class Ground:
    """What names must keep clear of: the edges of the diagram, what is written already, and the lines.

    inside  the diagram; taken  boxes nothing may lie on; drawn  points along the lines, (n, 2), best kept free
    """

    inside: Box
    drawn: FloatArray
    taken: list[Box] = field(default_factory=list)

    def place(
        self,
        at: Sequence[tuple[float, float]],
        width_px: float,
        height_px: float,
        others: FloatArray | None = None,
    ) -> Box | None:
        """The best box for a text of this size beside one of the places, which is then taken; None for none.

        others: places (n, 2) that other names belong to; a box that is nearer to one of them than to its own place
        would be read as its name, and is not used.
        """
        best: tuple[float, Box] | None = None
        for own, box, far in _candidates(at, width_px, height_px):
            if not _is_within(box, self.inside) or any(_meet(box, other) for other in self.taken):
                continue
            if (
                others is not None
                and len(others)
                and apart_px(others, box).min() <= apart_px(own, box).min() + 1.0
            ):
                continue
            cost = far + _LINE_COST * self._points_in(box)
            if best is None or cost < best[0]:
                best = (cost, box)
        if best is None:
            return None
        self.taken.append(best[1])
        return best[1]

    def is_clear(self, box: Box) -> bool:
        """Whether no line runs through a box."""
        return self._points_in(box) == 0

    def _points_in(self, box: Box) -> int:
        if not self.drawn.size:
            return 0
        x, y = self.drawn[:, 0], self.drawn[:, 1]
        return int(np.sum((x > box[0]) & (x < box[2]) & (y > box[1]) & (y < box[3])))


def _candidates(
    at: Sequence[tuple[float, float]], width_px: float, height_px: float
) -> Iterable[tuple[FloatArray, Box, float]]:
    for order, (x, y) in enumerate(at):
        for ring, reach in enumerate(_REACHES_PX):
            for side, (right, up, share) in enumerate(_SIDES):
                left = x + reach if right > 0 else x - reach - width_px if right < 0 else x - width_px * share
                low = y + reach if up > 0 else y - reach - height_px if up < 0 else y - height_px / 2
                box = (left, low, left + width_px, low + height_px)
                yield np.array([[x, y]]), box, _FAR_COST * (3 * order + 2 * ring) + 0.02 * side


def apart_px(points: FloatArray, box: Box) -> FloatArray:
    """How far points (n, 2) are from a box; 0 within it."""
    x, y = points[:, 0], points[:, 1]
    return np.hypot(
        np.maximum(np.maximum(box[0] - x, x - box[2]), 0.0),
        np.maximum(np.maximum(box[1] - y, y - box[3]), 0.0),
    )


def _is_within(box: Box, edges: Box) -> bool:
    return box[0] >= edges[0] and box[1] >= edges[1] and box[2] <= edges[2] and box[3] <= edges[3]


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def along(x: FloatArray, y: FloatArray, every_px: float = 4.0) -> FloatArray:
    """Points along a line, one every few px, (n, 2)."""
    if len(x) < 2:
        return np.column_stack((x, y))
    gone = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))))
    at = np.arange(0.0, gone[-1] + every_px, every_px)
    return np.column_stack((np.interp(at, gone, x), np.interp(at, gone, y)))
