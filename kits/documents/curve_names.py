"""Where each name of a diagram stands: beside its place, at its line, or numbered and named in the key."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from kits.documents.chart_style import text_width_px, wrapped
from kits.documents.label_places import Box, Ground, along, apart_px
from kits.topics.figure import Line, Picture, Spot
from vehicles.physics.arrays import FloatArray

TEXT_LINE_PX = 17.0
MOST_DASHES = 4
"""Heavy lines that differ by their dash; of more the names stand at the lines."""
_LONGEST_NAME_PX = 190.0
_LEADER_FROM_PX, _FROM_LINE_PX, _TOGETHER_PX = 16.0, 14.0, 4.0
_SHORT = 6


@dataclass(frozen=True)
class Frame:
    """The axes in px: how a place in the diagram's units becomes one on the plot, from its lower left corner."""

    x: tuple[float, float]
    y: tuple[float, float]
    width_px: float
    height_px: float
    is_log: bool

    def across(self, values: Iterable[float]) -> FloatArray:
        """Px from the left."""
        found = np.array(list(values), dtype=np.float64)
        return (found - self.x[0]) / (self.x[1] - self.x[0]) * self.width_px

    def up(self, values: Iterable[float]) -> FloatArray:
        """Px from below."""
        low, high = self.y
        found = np.array(list(values), dtype=np.float64)
        if self.is_log:
            low, high, found = math.log(low), math.log(high), np.log(found)
        return (found - low) / (high - low) * self.height_px

    def place(self, spot: Spot) -> tuple[float, float]:
        """A named place in px."""
        return float(self.across([spot.x])[0]), float(self.up([spot.y])[0])


@dataclass(frozen=True)
class Name:
    """A name in lines at its box; `leads_to` the place it belongs to where that is not right beside it."""

    lines: tuple[str, ...]
    box: Box
    leads_to: tuple[float, float] | None = None
    on_line: bool = False


class Names:
    """Where each name stands: beside its place or at its line; what finds no room is named in the key."""

    def __init__(self, picture: Picture, frame: Frame) -> None:
        """Find the places, those of spots first, for a spot has to be named."""
        self._drawn = [along(frame.across(line.x), frame.up(line.y)) for line in picture.lines]
        edges = (2.0, 2.0, frame.width_px - 2.0, frame.height_px - 2.0)
        self._ground = Ground(edges, np.concatenate([*self._drawn, np.zeros((0, 2))]))
        self._room_px = min(_LONGEST_NAME_PX, 0.42 * frame.width_px)
        labels, at = _joined([(spot.label, frame.place(spot)) for spot in picture.spots])
        self._ground.taken += [(x - 8, y - 8, x + 8, y + 8) for x, y in at]
        named = [self._at_spot(label, at, i) for i, label in enumerate(labels)]
        # all are numbered as soon as one has no room: half of them named would be read wrongly
        self.numbered = labels if None in named and max(map(len, labels)) > _SHORT else []
        if None in named:
            self._ground.taken = [(x - 8, y - 8, x + 8, y + 8) for x, y in at]
            short = [str(n) for n in range(1, len(labels) + 1)] if self.numbered else labels
            named = [self._at_spot(label, at, i, crowded=True) for i, label in enumerate(short)]
        self.spots = [found for found in named if found is not None]
        heavy = sum(line.weight != "thin" for line in picture.lines)
        self.lines = [
            self._at_line(line, i) if line.label and (line.weight == "thin" or heavy > MOST_DASHES) else None
            for i, line in enumerate(picture.lines)
        ]

    def _put(
        self, label: str, at: Sequence[tuple[float, float]], others: FloatArray
    ) -> tuple[tuple[str, ...], Box] | None:
        lines = wrapped(label, self._room_px)
        width = max(text_width_px(line) for line in lines)
        box = self._ground.place(at, width, TEXT_LINE_PX * len(lines) - 2, others)
        return None if box is None else (lines, box)

    def _at_spot(
        self, label: str, at: Sequence[tuple[float, float]], index: int, *, crowded: bool = False
    ) -> Name | None:
        """The name of a place; a crowded one gets the best there is, even one on a line or near another place."""
        others = np.array([place for i, place in enumerate(at) if i != index]).reshape(-1, 2)
        found = self._put(label, [at[index]], others)
        if found is None and crowded:
            x, y = at[index]
            found = self._put(label, [at[index]], others[:0]) or ((label,), (x + 9, y - 8, x + 19, y + 8))
        if found is None:
            return None
        far = float(apart_px(np.array([at[index]]), found[1])[0]) > _LEADER_FROM_PX
        return Name(*found, at[index] if far else None, not self._ground.is_clear(found[1]))

    def _at_line(self, line: Line, index: int) -> Name | None:
        points = self._drawn[index]
        others = np.concatenate([*(p for i, p in enumerate(self._drawn) if i != index), np.zeros((0, 2))])
        shares = (0.97, 0.85, 0.7, 0.55, 0.4, 0.25, 0.1)
        at = [(float(x), float(y)) for x, y in points[[int(share * (len(points) - 1)) for share in shares]]]
        before = list(self._ground.taken)
        found = self._put(line.label, at, others)
        if found is None:
            return None
        if apart_px(points, found[1]).min() > _FROM_LINE_PX or not self._ground.is_clear(found[1]):
            self._ground.taken = before
            return None
        return Name(*found)


def _joined(
    spots: Sequence[tuple[str, tuple[float, float]]],
) -> tuple[list[str], list[tuple[float, float]]]:
    """Labels and places, px; places that fall together on the drawing have one name: "3, 4"."""
    labels: list[str] = []
    at: list[tuple[float, float]] = []
    for label, (x, y) in spots:
        same = next((i for i, (a, b) in enumerate(at) if math.hypot(a - x, b - y) < _TOGETHER_PX), None)
        if same is None:
            labels.append(label)
            at.append((x, y))
        elif label not in labels[same].split(", "):
            labels[same] += f", {label}"
    return labels, at
