"""Cubic splines on evenly spaced grids, several quantities at once, evaluated with numpy alone.

scipy's splines would do, but cost 0.3 s to import and look up one quantity at a time; on an even grid the
cell is found by a division, and all quantities of one table share it.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from vehicles.physics.arrays import BoolArray, FloatArray, IntArray


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

    def cell(self, x: FloatArray) -> tuple[IntArray, FloatArray]:
        """The cell of each x and the four basis weights there, shape (n, 4). Ask `holds` first."""
        place = (np.where(np.isfinite(x), x, self.start) - self.start) / self.step
        cell = np.minimum(np.maximum(place.astype(np.intp), 0), self.count - 2)
        u = place - cell
        weights = np.empty((x.size, 4))
        v = 1 - u
        weights[:, 0] = v * v * v
        weights[:, 1] = 4 + u * u * (3 * u - 6)
        weights[:, 2] = 4 + v * v * (3 * v - 6)
        weights[:, 3] = u * u * u
        weights /= 6
        return cell, weights


def coefficients(values: FloatArray) -> FloatArray:
    """Coefficients of the uniform cubic B-spline through `values` along the first dimension.

    values  at the nodes, shape (n, ...), n at least 5
    Returns shape (n + 2, ...). End condition: not-a-knot (no jump of the third derivative at the second and
    the last but one node). Source: C. de Boor, A Practical Guide to Splines, ch. IV.
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

    def __call__(self, x: FloatArray) -> FloatArray:
        """Values at x, shape (n,), as (quantities, n); NaN off the axis."""
        cell, weights = self.axis.cell(x)
        near = self.coefficients[cell[:, None] + np.arange(4)]
        found: FloatArray = np.einsum("na,naf->fn", weights, near)
        found[:, ~self.axis.holds(x)] = np.nan
        return found


@dataclass(frozen=True)
class Surfaces:
    """Quantities over two axes; `coefficients` has shape (nx + 2, ny + 2, quantities)."""

    x_axis: Axis
    y_axis: Axis
    coefficients: FloatArray

    @cached_property
    def _windows(self) -> FloatArray:
        """Every four neighbours along y; they lie side by side in memory and are read in one piece."""
        size = 4 * self.coefficients.shape[2]
        return np.lib.stride_tricks.sliding_window_view(self.coefficients.reshape(-1), size)

    def __call__(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Values at (x, y), each of shape (n,), as (quantities, n); NaN off the grid."""
        x_cell, x_weights = self.x_axis.cell(x)
        y_cell, y_weights = self.y_axis.cell(y)
        _, ny, quantities = self.coefficients.shape
        windows = self._windows
        found = np.zeros((x.size, 4 * quantities))
        for a in range(4):
            found += x_weights[:, a : a + 1] * windows[((x_cell + a) * ny + y_cell) * quantities]
        along_y = found.reshape(-1, 4, quantities)
        values: FloatArray = np.einsum("nb,nbf->fn", y_weights, along_y)
        values[:, ~(self.x_axis.holds(x) & self.y_axis.holds(y))] = np.nan
        return values
