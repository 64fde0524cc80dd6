"""Cubic splines on evenly spaced grids, several quantities at once, evaluated with numpy alone.

scipy's splines would do, but cost 0.3 s to import and look up one quantity at a time. On an even grid the cell
is found by a division; tables with the same axis share the place on it; and all coefficients that one look-up
needs lie side by side in memory, so that a batch is one gather and a few additions of whole arrays.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from vehicles.physics.arrays import BoolArray, FloatArray, IntArray

BASIS = np.array([[1.0, -3.0, 3.0, -1.0], [4.0, 0.0, -6.0, 3.0], [1.0, 3.0, 3.0, -3.0], [0.0, 0.0, 0.0, 1.0]])
"""Six times the cubic B-spline basis on one cell, over the powers 0 to 3 of the way through it."""


class Place(NamedTuple):
    """Where values lie on an axis: the cell, shape (n,), and six times the basis weights there, shape (4, n)."""

    cell: IntArray
    weights: FloatArray


@dataclass(frozen=True)
class Axis:
    """An evenly spaced axis: `start`, `step`, `count` nodes (at least 5)."""

    start: float
    step: float
    count: int

    @property
    def stop(self) -> float:
        """The last node."""
        return self.start + self.step * (self.count - 1)

    def nodes(self) -> FloatArray:
        """All nodes."""
        return self.start + self.step * np.arange(self.count, dtype=np.float64)

    def holds(self, x: FloatArray) -> BoolArray:
        """Whether x lies on the axis (rounding forgiven); False for NaN."""
        slack = 1e-9 * self.step
        inside: BoolArray = (x >= self.start - slack) & (x <= self.stop + slack)
        return inside

    def place(self, x: FloatArray) -> Place:
        """The place of each x, shape (n,); off the axis the last cell goes on, so ask `holds`. NaN stays NaN."""
        steps = (x - self.start) / self.step
        # fmax turns NaN into a cell that exists; the weights keep the NaN
        cell = np.fmin(np.fmax(steps, 0.0), self.count - 2).astype(np.intp)
        powers = np.ones((4, x.size))
        u = np.subtract(steps, cell, out=powers[1])
        np.multiply(u, u, out=powers[2])
        np.multiply(powers[2], u, out=powers[3])
        return Place(cell, BASIS @ powers)


def coefficients(values: FloatArray) -> FloatArray:
    """Coefficients of the uniform cubic B-spline through values on an even grid.

    Formula: (c₋₁ + 4·c₀ + c₁)/6 = value at each node; at both ends no jump of the third derivative at the second node
    (not-a-knot).
    Parameters: values at the nodes, shape (n, ...), n at least 5, of any unit; the spline runs along the first
    dimension.
    Returns: coefficients of the same unit, shape (n + 2, ...).
    Validity: evenly spaced nodes.
    Source: C. de Boor, A Practical Guide to Splines, ch. IV.
    Check: by hand: through a straight line the coefficients are the line itself, one step further at both ends.

    >>> np.allclose(coefficients(np.arange(5.0)), np.arange(-1.0, 6.0))
    True
    """
    n = values.shape[0]
    matrix = np.zeros((n + 2, n + 2))
    for i in range(n):
        matrix[i + 1, i : i + 3] = (1 / 6, 4 / 6, 1 / 6)
    matrix[0, :5] = matrix[-1, -5:] = (1, -4, 6, -4, 1)
    right = np.zeros((n + 2, *values.shape[1:]))
    right[1:-1] = values
    solved = np.linalg.solve(matrix, right.reshape(n + 2, -1))
    return solved.reshape(right.shape)


@dataclass(frozen=True)
class Curves:
    """Quantities over one axis; `coefficients` has shape (n + 2, quantities)."""

    axis: Axis
    coefficients: FloatArray

    @cached_property
    def _windows(self) -> FloatArray:
        """The four coefficients of every cell in one piece, (cells, 4 * quantities)."""
        quantities = self.coefficients.shape[1]
        flat = (self.coefficients / 6.0).reshape(-1)
        view = np.lib.stride_tricks.sliding_window_view(flat, 4 * quantities)
        return np.ascontiguousarray(view[::quantities])

    def only(self, *chosen: int) -> "Curves":
        """A table of some of the quantities."""
        return Curves(self.axis, self.coefficients[:, chosen])

    def at(self, place: Place) -> FloatArray:
        """Values at a place, as (quantities, n); the caller sees to it that it lies on the axis."""
        near = np.ascontiguousarray(self._windows.take(place.cell, axis=0).T)
        by_node = near.reshape(4, self.coefficients.shape[1], place.cell.size)
        found: FloatArray = np.einsum("aqn,an->qn", by_node, place.weights)
        return found

    def __call__(self, x: FloatArray) -> FloatArray:
        """Values at x, shape (n,), as (quantities, n); NaN off the axis."""
        inside = self.axis.holds(x)
        found = self.at(self.axis.place(np.where(inside, x, self.axis.start)))
        found[:, ~inside] = np.nan
        return found


@dataclass(frozen=True)
class Surfaces:
    """Quantities over two axes; `coefficients` has shape (nx + 2, ny + 2, quantities)."""

    x_axis: Axis
    y_axis: Axis
    coefficients: FloatArray

    @cached_property
    def _windows(self) -> FloatArray:
        """The four coefficients of every cell along y in one piece, ((nx + 2) * cells, 4 * quantities)."""
        nx, ny, quantities = self.coefficients.shape
        flat = (self.coefficients / 36.0).reshape(nx, -1)
        view = np.lib.stride_tricks.sliding_window_view(flat, 4 * quantities, axis=1)
        return np.ascontiguousarray(view[:, ::quantities]).reshape(nx * (ny - 3), -1)

    def only(self, *chosen: int) -> "Surfaces":
        """A table of some of the quantities."""
        return Surfaces(self.x_axis, self.y_axis, self.coefficients[:, :, chosen])

    def at(self, x: Place, y: Place) -> FloatArray:
        """Values at two places, as (quantities, n); the caller sees to it that they lie on the grid."""
        cells = self.y_axis.count - 1
        rows = np.add.outer(np.arange(4) * cells, x.cell * cells + y.cell)
        near = np.ascontiguousarray(self._windows.take(rows, axis=0).transpose(0, 2, 1))
        quantities, count = self.coefficients.shape[2], x.cell.size
        along_y = np.einsum("aqn,an->qn", near.reshape(4, 4 * quantities, count), x.weights)
        found: FloatArray = np.einsum("aqn,an->qn", along_y.reshape(4, quantities, count), y.weights)
        return found

    def __call__(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Values at (x, y), each of shape (n,), as (quantities, n); NaN off the grid."""
        inside = self.x_axis.holds(x) & self.y_axis.holds(y)
        x_place = self.x_axis.place(np.where(inside, x, self.x_axis.start))
        found = self.at(x_place, self.y_axis.place(np.where(inside, y, self.y_axis.start)))
        found[:, ~inside] = np.nan
        return found
