"""Solve many small, independent equations at once, inside bounds, and say honestly which rows were solved.

Both solvers call the given function on the rows that are still open only: it receives their positions in the
batch (`rows`) and indexes its own parameters with them. A row that does not reach the tolerance has
`converged` False and NaN in `x`; where it stood last is in `best`, as a start for another method.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, floats

ScalarFunction = Callable[[FloatArray, IntArray], FloatArray]
"""function(x, rows): x has shape (m,), rows (m,) are positions in the batch; gives (m,)."""

SystemFunction = Callable[[FloatArray, IntArray], FloatArray]
"""residual(x, rows): x has shape (m, k), rows (m,) are positions in the batch; gives (m, k)."""

DIFFERENCE_STEP = 1e-6
"""Finite difference step as a share of the box width: well above rounding, well below curvature."""
SHORTEST_STEP = 2.0**-12
"""The line search gives a row up below this share of the Newton step."""


@dataclass(frozen=True)
class Solution:
    """The outcome of a batch: x is NaN where not converged."""

    x: FloatArray
    residual: FloatArray
    converged: BoolArray
    best: FloatArray
    iterations: int


def bracket_batch(
    function: ScalarFunction,
    lower: ArrayLike,
    upper: ArrayLike,
    *,
    x_tolerance: float = 1e-10,
    f_tolerance: float = 0.0,
    max_iterations: int = 100,
) -> Solution:
    """Find the root of n scalar functions, each in its own bracket (Chandrupatla's method, vectorised).

    function       called as function(x, rows); continuous, of opposite sign at the two ends
    lower, upper   ends of the brackets, shape (n,) or broadcasting to it
    x_tolerance    done when the bracket is narrower than x_tolerance * max(1, |x|)
    f_tolerance    done when |f| <= f_tolerance
    max_iterations rows open after these are not converged

    Returns a Solution with arrays of shape (n,). A row whose ends have the same sign, or whose function gives
    NaN inside the bracket, is not converged.
    Source: T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145-149.
    """
    a, b = (np.array(v, dtype=np.float64) for v in np.broadcast_arrays(floats(lower), floats(upper)))
    a, b = np.atleast_1d(a), np.atleast_1d(b)
    every = np.arange(a.size)
    fa, fb = function(a, every), function(b, every)
    best, f_best = np.where(np.abs(fb) < np.abs(fa), b, a), np.where(np.abs(fb) < np.abs(fa), fb, fa)
    converged = np.isfinite(f_best) & (np.abs(f_best) <= f_tolerance)
    c, fc = b.copy(), fb.copy()
    share = np.full(a.size, 0.5)
    is_open = ~converged & np.isfinite(fa) & np.isfinite(fb) & (np.sign(fa) * np.sign(fb) < 0)
    steps = 0
    while steps < max_iterations and is_open.any():
        steps += 1
        rows = np.flatnonzero(is_open)
        x = a[rows] + share[rows] * (b[rows] - a[rows])
        fx = function(x, rows)
        same = np.sign(fx) == np.sign(fa[rows])
        # the point that leaves the bracket becomes c, the third point of the inverse quadratic
        c[rows], fc[rows] = np.where(same, a[rows], b[rows]), np.where(same, fa[rows], fb[rows])
        b[rows], fb[rows] = np.where(same, b[rows], a[rows]), np.where(same, fb[rows], fa[rows])
        a[rows], fa[rows] = x, fx
        a_is_better = np.abs(fa[rows]) < np.abs(fb[rows])
        best[rows], f_best[rows] = np.where(a_is_better, x, b[rows]), np.where(a_is_better, fx, fb[rows])
        width = np.abs(b[rows] - a[rows])
        tolerance = x_tolerance * np.maximum(1.0, np.abs(best[rows]))
        broken = ~np.isfinite(fx)
        done = (np.abs(f_best[rows]) <= f_tolerance) | (width <= tolerance)
        converged[rows] = done & ~broken
        is_open[rows] = ~done & ~broken
        share[rows] = _chandrupatla_share(a[rows], b[rows], c[rows], fa[rows], fb[rows], fc[rows], tolerance)
    return Solution(np.where(converged, best, np.nan), f_best, converged, best, steps)


def reach_batch(
    function: ScalarFunction,
    near: ArrayLike,
    far: ArrayLike,
    start: ArrayLike,
    *,
    near_sign: float,
    steps: int = 12,
) -> tuple[FloatArray, FloatArray]:
    """Find for each row an end beyond its root, where the function may be unknown (NaN) towards `far`.

    function   called as function(x, rows); monotone, of sign `near_sign` at `near` (taken for granted)
    near, far  where the root is looked for; start: the first place to look
    steps      places looked at before a row is given up

    Looks at `start`, then at `far`; where it is unknown there, between what is known and what is not. Returns a
    bracket (near end, far end); a row without one has NaN as its far end. Cheap where the root lies before
    `start`, which brackets it at once.
    """
    low, edge, x = (np.array(v, dtype=np.float64) for v in np.broadcast_arrays(near, far, start))
    beyond = np.full(low.size, np.nan)
    tried_far = np.zeros(low.size, dtype=bool)
    open_rows = np.arange(low.size)
    for _ in range(steps):
        if not open_rows.size:
            break
        now = x[open_rows]
        sign = np.sign(function(now, open_rows)) * near_sign
        crossed, before = sign < 0, sign >= 0
        beyond[open_rows[crossed]] = now[crossed]
        low[open_rows[before]] = now[before]
        unknown = open_rows[~crossed & ~before]
        edge[unknown], tried_far[unknown] = x[unknown], True
        at_far = before & (now == edge[open_rows])
        open_rows = open_rows[~crossed & ~at_far]
        x[open_rows] = np.where(tried_far[open_rows], (low[open_rows] + edge[open_rows]) / 2, edge[open_rows])
        tried_far[open_rows] = True
    return low, beyond


def _chandrupatla_share(
    a: FloatArray,
    b: FloatArray,
    c: FloatArray,
    fa: FloatArray,
    fb: FloatArray,
    fc: FloatArray,
    tolerance: FloatArray,
) -> FloatArray:
    """Where in (a, b) to look next: inverse quadratic where it is safe, else the middle."""
    with np.errstate(divide="ignore", invalid="ignore"):
        xi = (a - b) / (c - b)
        phi = (fa - fb) / (fc - fb)
        safe = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi)
        quadratic = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        share = np.where(safe & np.isfinite(quadratic), quadratic, 0.5)
        least = np.minimum(0.5, 0.5 * tolerance / np.abs(b - a))
    result: FloatArray = np.clip(share, least, 1 - least)
    return result


def solve_batch(
    residual: SystemFunction,
    lower: ArrayLike,
    upper: ArrayLike,
    start: ArrayLike,
    *,
    tolerance: float = 1e-9,
    max_iterations: int = 60,
) -> Solution:
    """Solve n independent systems of k equations in k unknowns by safeguarded Newton inside a box.

    residual       called as residual(x, rows) -> (m, k); scale it so that 1 is a large error
    lower, upper   the box, shape (n, k) or broadcasting to it; the residual is never asked outside it
    start          first guess, shape (n, k); must lie in the box
    tolerance      converged when max |residual| <= tolerance
    max_iterations rows open after these are not converged

    Steps are cut back to the box and halved until the residual's norm falls; a NaN counts as "too far". The
    Jacobian is by finite differences (forward, backward at the upper face).
    Returns a Solution: x and best (n, k), residual (n, k), converged (n,).
    """
    x = np.array(start, dtype=np.float64)
    if x.ndim != 2:
        raise ValueError("The start must have one row per problem and one column per unknown.")
    low, high = (np.array(np.broadcast_to(floats(v), x.shape)) for v in (lower, upper))
    f = residual(x, np.arange(len(x)))
    inside = ((x >= low) & (x <= high) & (high > low)).all(axis=1)
    is_open = inside & np.isfinite(f).all(axis=1)
    converged = is_open & (np.abs(f).max(axis=1) <= tolerance)
    is_open &= ~converged
    steps = 0
    while steps < max_iterations and is_open.any():
        steps += 1
        rows = np.flatnonzero(is_open)
        jacobian = _jacobian(residual, x[rows], f[rows], low[rows], high[rows], rows)
        step = _newton_step(jacobian, f[rows], high[rows] - low[rows])
        moved = _line_search(residual, x, f, step, low, high, rows)
        converged[rows] = np.abs(f[rows]).max(axis=1) <= tolerance
        is_open[rows] = moved & ~converged[rows]
    return Solution(np.where(converged[:, None], x, np.nan), f, converged, x, steps)


def _jacobian(
    residual: SystemFunction,
    x: FloatArray,
    f: FloatArray,
    low: FloatArray,
    high: FloatArray,
    rows: IntArray,
) -> FloatArray:
    """Derivatives of residual i by x j, (m, k, k), taken inside the box, on either side where one is NaN."""
    m, k = x.shape
    jacobian = np.empty((m, k, k))
    step = DIFFERENCE_STEP * (high - low)
    step = np.where(x + step > high, -step, step)
    for j in range(k):
        for side in (1.0, -1.0):
            shifted = x.copy()
            shifted[:, j] = np.clip(x[:, j] + side * step[:, j], low[:, j], high[:, j])
            width = shifted[:, j] - x[:, j]
            with np.errstate(divide="ignore", invalid="ignore"):
                column = (residual(shifted, rows) - f) / width[:, None]
            if side > 0:
                jacobian[:, :, j] = column
            else:
                bad = ~np.isfinite(jacobian[:, :, j]).all(axis=1)
                jacobian[bad, :, j] = column[bad]
            if np.isfinite(jacobian[:, :, j]).all():
                break
    return jacobian


def _newton_step(jacobian: FloatArray, f: FloatArray, width: FloatArray) -> FloatArray:
    """-J^-1 f in box widths; a row whose Jacobian is singular goes downhill (-J^T f) instead."""
    scaled = jacobian * width[:, None, :]
    size = np.abs(scaled).max(axis=(1, 2))
    with np.errstate(divide="ignore", invalid="ignore"):
        determinant = np.linalg.det(scaled / size[:, None, None])
    regular = np.isfinite(determinant) & (np.abs(determinant) > 1e-12)
    safe = np.where(regular[:, None, None], scaled, np.eye(f.shape[1]))
    newton = -np.linalg.solve(safe, f[:, :, None])[:, :, 0]
    # a nearly flat function asks for steps of many boxes: keep the direction, not the length
    newton /= np.maximum(1.0, np.abs(newton).max(axis=1, keepdims=True))
    downhill = -np.einsum("mij,mi->mj", np.nan_to_num(scaled), f)
    longest = np.abs(downhill).max(axis=1, keepdims=True)
    downhill = 0.1 * downhill / np.where(longest > 0, longest, 1.0)
    step: FloatArray = np.where(regular[:, None], newton, downhill) * width
    return step


def _line_search(
    residual: SystemFunction,
    x: FloatArray,
    f: FloatArray,
    step: FloatArray,
    low: FloatArray,
    high: FloatArray,
    rows: IntArray,
) -> BoolArray:
    """Move x[rows] and f[rows] in place along the step as far as the norm falls; tells which rows moved."""
    moved = np.zeros(rows.size, dtype=bool)
    share = 1.0
    while share >= SHORTEST_STEP and not moved.all():
        todo = np.flatnonzero(~moved)
        at = rows[todo]
        trial = np.clip(x[at] + share * step[todo], low[at], high[at])
        f_trial = residual(trial, at)
        with np.errstate(invalid="ignore"):
            better = np.linalg.norm(f_trial, axis=1) < (1 - 1e-4 * share) * np.linalg.norm(f[at], axis=1)
        x[at[better]], f[at[better]] = trial[better], f_trial[better]
        moved[todo[better]] = True
        share /= 2
    return moved
