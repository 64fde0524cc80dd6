"""Solve many small, independent equations at once, inside bounds, and say honestly which rows were solved.

The solvers call the given function on the rows that are still open only: it receives their positions in the
batch (`rows`) and indexes its own parameters with them. A row that does not reach the tolerance has
`converged` False and is for another method.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, floats

ScalarFunction = Callable[[FloatArray, IntArray], FloatArray]
"""function(x, rows): x has shape (m,), rows (m,) are positions in the batch; gives (m,)."""

PairFunction = Callable[[FloatArray, IntArray], FloatArray]
"""residual(x, rows): x has shape (2, m), rows (m,) are positions in the batch; gives (2, m)."""

DIFFERENCE_STEP = 1e-6
"""Finite difference step as a share of the box width: well above rounding, well below curvature."""
SHORTEST_STEP = 2.0**-6
"""A row is given up below this share of its step."""
SLOW = 0.3
"""A step that leaves more of the residual than this asks for a new Jacobian."""
SINGULAR = 1e-9
"""Determinant against the size of its terms, below which a Jacobian is singular."""


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
    """Find the root of n scalar functions, each in its own bracket.

    Formula: Chandrupatla's method: inverse quadratic interpolation where it is safe, else the middle of the bracket.
    Parameters: function, called as function(x, rows), continuous, of opposite sign at the two ends; lower and upper,
    ends of the brackets, shape (n,) or broadcasting to it, in the unit of x; x_tolerance, done when the bracket is
    narrower than x_tolerance·max(1, |x|); f_tolerance, done when |f| ≤ f_tolerance; max_iterations, rows open after
    these are not converged.
    Returns: a Solution with arrays of shape (n,).
    Validity: a row whose ends have the same sign, or whose function gives NaN inside the bracket, is not converged.
    Source: T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145-149.
    Check: by hand: x² − 2 has its root at √2.

    >>> round(float(bracket_batch(lambda x, rows: x**2 - 2, 0.0, 2.0).x[0]), 6)
    1.414214
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
        share[rows] = _chandrupatla_share(
            a=a[rows], b=b[rows], c=c[rows], fa=fa[rows], fb=fb[rows], fc=fc[rows], tolerance=tolerance
        )
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

    Formula: looks at `start`, then at `far`; where it is unknown there, in the middle between what is known and what is
    not.
    Parameters: function, called as function(x, rows), monotone, of sign `near_sign` at `near` (taken for granted); near
    and far, where the root is looked for, and start, the first place to look, in the unit of x; steps, places looked at
    before a row is given up.
    Returns: a bracket (near end, far end) for each row; one without a bracket has NaN as its far end.
    Validity: cheap where the root lies before `start`, which brackets it at once.
    Source: our own choice, a bisection towards the edge of what is known.
    Check: by hand: x − 3 has not crossed zero at 1, but at 10.

    >>> low, beyond = reach_batch(lambda x, rows: x - 3, [0.0], [10.0], [1.0], near_sign=-1.0)
    >>> float(low[0]), float(beyond[0])
    (1.0, 10.0)
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
    *,
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


@dataclass(frozen=True)
class Climb:
    """The outcome of `climb_batch`; x is where a row stood last, with the function and slope met there.

    converged  the root is x
    """

    x: FloatArray
    f: FloatArray
    slope: FloatArray
    converged: BoolArray


def climb_batch(
    function: ScalarFunction,
    start: ArrayLike,
    slope: ArrayLike,
    lower: ArrayLike,
    upper: ArrayLike,
    *,
    tolerance: float,
    max_iterations: int = 20,
) -> Climb:
    """Find the root of n functions that rise through it, from a start with a known slope.

    Formula: secant method: x − f/slope, the slope that of the last step.
    Parameters: function, called as function(x, rows), may fall again beyond the root wanted; start and slope, shape
    (n,), in the unit of x and of f over x, the slope a guess above zero; lower and upper, ends, to which a step beyond
    is cut back; tolerance, converged when |f| ≤ tolerance; max_iterations, rows open after these are not converged.
    Returns: a Climb: where each row stood last, with function and slope there, and whether that is the root.
    Validity: a row that meets a falling or unknown function, or wants out of an end where it stands, is given up.
    Cheaper than bracketing where the start is good.
    Source: secant method (any textbook of numerical analysis).
    Check: by hand: x² − 2 has its root at √2.

    >>> found = climb_batch(lambda x, rows: x**2 - 2, [1.0], [1.0], 0.0, 9.0, tolerance=1e-12)
    >>> round(float(found.x[0]), 6), bool(found.converged[0])
    (1.414214, True)
    """
    x, gradient, low, high = (
        np.array(v, dtype=np.float64) for v in np.broadcast_arrays(start, slope, lower, upper)
    )
    x = np.clip(x, low, high)
    f = function(x, np.arange(x.size))
    converged = np.abs(f) <= tolerance
    rows = np.flatnonzero(~converged & np.isfinite(f))
    for _ in range(max_iterations):
        if not rows.size:
            break
        now, f_now = x[rows], f[rows]
        then = np.clip(now - f_now / gradient[rows], low[rows], high[rows])
        moved = then != now
        rows, now, f_now, then = rows[moved], now[moved], f_now[moved], then[moved]
        f_then = function(then, rows)
        x[rows], f[rows] = then, f_then
        risen = (f_then - f_now) / (then - now)
        good = risen > 0
        gradient[rows[good]] = risen[good]
        done = np.abs(f_then) <= tolerance
        converged[rows] = done
        rows = rows[good & ~done]
    return Climb(x, f, gradient, converged)


@dataclass(frozen=True)
class Pairs:
    """The outcome of `solve_pairs`: x and residual (2, n); the jacobian, d residual i by x j, (2, 2, n)."""

    x: FloatArray
    residual: FloatArray
    jacobian: FloatArray
    converged: BoolArray


def solve_pairs(
    residual: PairFunction,
    lower: FloatArray,
    upper: FloatArray,
    start: FloatArray,
    *,
    tolerance: float = 1e-9,
    max_iterations: int = 16,
) -> Pairs:
    """Solve n independent systems of two equations in two unknowns, inside a box.

    Formula: Broyden's method: x − J⁻¹·f, the Jacobian J by finite differences at the start and again where progress is
    slow, in between corrected by each step. A step that does not lower the residual is taken back: first for a new
    Jacobian, then for half the step.
    Parameters: residual, called as residual(x, rows) with x of shape (2, m), gives (2, m), scaled so that 1 is large;
    lower and upper, the box, shape (2, n), outside which it is never asked; start, first guess, shape (2, n), in the
    box; tolerance, converged when max |residual| ≤ tolerance; max_iterations, rows open after these are not converged.
    Returns: Pairs: where each row stood last, with residual and Jacobian, and whether it converged.
    Validity: a row that stands at a face of the box and still wants out is given up, as is one whose Jacobian is
    singular. A NaN counts as "too far".
    Source: C. G. Broyden, Mathematics of Computation 19 (1965) 577-593.
    Check: by hand: x + y = 3 and x − y = 1 meet in (2, 1).

    >>> found = solve_pairs(lambda x, rows: np.stack([x[0] + x[1] - 3, x[0] - x[1] - 1]),
    ...     np.zeros((2, 1)), np.full((2, 1), 5.0), np.full((2, 1), 0.5))
    >>> [round(float(one), 6) for one in found.x[:, 0]]
    [2.0, 1.0]
    """
    x = np.array(start, dtype=np.float64)
    count = x.shape[1]
    f = residual(x, np.arange(count))
    inside = ((x >= lower) & (x <= upper) & (upper > lower)).all(axis=0)
    is_open = inside & np.isfinite(f).all(axis=0)
    converged = is_open & (np.abs(f).max(axis=0, initial=0.0) <= tolerance)
    jacobian = np.zeros((2, 2, count))
    stale, fresh, share = np.ones(count, dtype=bool), np.zeros(count, dtype=bool), np.ones(count)
    rows = np.flatnonzero(is_open & ~converged)
    for _ in range(max_iterations):
        if not rows.size:
            break
        renew = rows[stale[rows]]
        if renew.size:
            jacobian[:, :, renew] = pair_jacobian(
                residual, x[:, renew], f[:, renew], lower[:, renew], upper[:, renew], renew
            )
            stale[renew], fresh[renew], share[renew] = False, True, 1.0
        step, leads_on = _pair_step(jacobian, x, f, lower, upper, rows)
        stale[rows[~leads_on]] = True
        # only a fresh Jacobian may say that a row leads nowhere
        go = leads_on | ~fresh[rows]
        rows, step = rows[go], step[:, go]
        at, f_at, low, high = x[:, rows], f[:, rows], lower[:, rows], upper[:, rows]
        trial = np.clip(at + share[rows] * step, low, high)
        f_trial = residual(trial, rows)
        before, after = (f_at**2).sum(axis=0), (f_trial**2).sum(axis=0)
        better = after < before * (1 - 2e-4 * share[rows])
        done = rows[better]
        x[:, done], f[:, done] = trial[:, better], f_trial[:, better]
        _correct(
            jacobian, (trial - at)[:, better], (f_trial - f_at)[:, better], (high - low)[:, better], done
        )
        converged[done] = np.abs(f[:, done]).max(axis=0, initial=0.0) <= tolerance
        slow = better & (after > SLOW**2 * before)
        stale[rows[(slow | ~better) & ~fresh[rows]]] = True
        halve = rows[~better & fresh[rows]]
        share[halve] /= 2
        share[done] = 1.0
        fresh[done] = False
        rows = rows[~converged[rows] & (share[rows] >= SHORTEST_STEP)]
    return Pairs(x, f, jacobian, converged)


def pair_jacobian(
    residual: PairFunction, x: FloatArray, f: FloatArray, low: FloatArray, high: FloatArray, rows: IntArray
) -> FloatArray:
    """Derivatives of two residuals by two unknowns, by small steps inside the box; all asked in one call.

    Formula: (f(x + step) − f(x))/step, a step of a millionth of the box, backwards where it would leave the box.
    Parameters: residual, as for solve_pairs; x, shape (2, m), and f, the residual there; low and high, the box; rows,
    their positions in the batch.
    Returns: d residual i by x j, shape (2, 2, m), in the unit of residual over x.
    Validity: smooth residuals; about six digits.
    Source: forward difference (any textbook of numerical analysis).
    Check: by hand: x²·y and x − 3·y at (½, ¼) have slopes 2·x·y = ¼ and x² = ¼, 1 and −3.

    >>> x = np.array([[0.5], [0.25]])
    >>> def pair(x, rows):
    ...     return np.stack([x[0] ** 2 * x[1], x[0] - 3 * x[1]])
    >>> pair_jacobian(pair, x, pair(x, [0]), np.zeros((2, 1)), np.ones((2, 1)), np.array([0])).round(4).ravel().tolist()
    [0.25, 0.25, 1.0, -3.0]
    """
    step = DIFFERENCE_STEP * (high - low)
    step = np.where(x + step > high, -step, step)
    shifted = np.stack([x, x], axis=1)
    shifted[0, 0] += step[0]
    shifted[1, 1] += step[1]
    width = np.stack([shifted[0, 0] - x[0], shifted[1, 1] - x[1]])
    found = residual(shifted.reshape(2, -1), np.tile(rows, 2)).reshape(2, 2, -1)
    slopes: FloatArray = (found - f[:, None]) / width
    return slopes


def _pair_step(
    jacobian: FloatArray, x: FloatArray, f: FloatArray, lower: FloatArray, upper: FloatArray, rows: IntArray
) -> tuple[FloatArray, BoolArray]:
    """-J^-1 f of some rows, no longer than the box; and whether there is one that does not push out of it."""
    at, f_at, low, high = x[:, rows], f[:, rows], lower[:, rows], upper[:, rows]
    (a, b), (c, d) = jacobian[:, :, rows] * (high - low)
    determinant = a * d - b * c
    possible = np.isfinite(determinant) & (np.abs(determinant) > SINGULAR * (np.abs(a * d) + np.abs(b * c)))
    shares = np.stack([b * f_at[1] - d * f_at[0], c * f_at[0] - a * f_at[1]])
    shares = np.where(possible, shares / np.where(possible, determinant, 1.0), 0.0)
    # a nearly flat function asks for steps of many boxes: keep the direction, not the length
    shares /= np.maximum(1.0, np.abs(shares).max(axis=0, initial=0.0))
    pushed_out = (((at <= low) & (shares < 0)) | ((at >= high) & (shares > 0))).any(axis=0)
    return shares * (high - low), possible & ~pushed_out


def _correct(jacobian: FloatArray, dx: FloatArray, df: FloatArray, width: FloatArray, rows: IntArray) -> None:
    """Broyden's correction of jacobian[:, :, rows], distances measured in box widths."""
    old = jacobian[:, :, rows]
    missed = df - (old[:, 0] * dx[0] + old[:, 1] * dx[1])
    scaled = dx / width**2
    jacobian[:, :, rows] = old + missed[:, None] * scaled / (dx * scaled).sum(axis=0)
