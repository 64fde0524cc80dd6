"""The batch solvers: roots are roots, bounds hold, and a row that was not solved says so."""

import numpy as np
import pytest
from scipy.optimize import brentq

from vehicles.physics.arrays import FloatArray, IntArray
from vehicles.physics.newton import PairFunction, bracket_batch, climb_batch, pair_jacobian, solve_pairs


def test_bracket_batch_agrees_with_brentq_on_many_functions() -> None:
    # oracle: scipy.optimize.brentq
    p = np.linspace(0.2, 8.0, 200)
    got = bracket_batch(lambda x, rows: np.exp(x) + x**3 - p[rows], np.full(200, -3.0), 3.0)
    expected = [brentq(lambda x, q=q: np.exp(x) + x**3 - q, -3, 3, xtol=1e-13) for q in p]
    assert got.converged.all()
    np.testing.assert_allclose(got.x, expected, atol=2e-10)
    assert got.iterations < 20


def test_bracket_batch_solves_a_kinked_and_a_steep_function() -> None:
    kinked = bracket_batch(lambda x, rows: np.where(x > 0.3, 1000 * (x - 0.3), x - 0.3), [-50.0], [60.0])
    steep = bracket_batch(lambda x, rows: np.tanh(1e4 * (x - 0.123)), [-5.0], [5.0])
    assert kinked.converged.all()
    assert kinked.x[0] == pytest.approx(0.3, abs=1e-9)
    assert steep.converged.all()
    assert steep.x[0] == pytest.approx(0.123, abs=1e-9)


def test_bracket_batch_stops_at_the_function_tolerance() -> None:
    loose = bracket_batch(lambda x, rows: x**3 - 2, [0.0], [2.0], f_tolerance=1e-3)
    assert loose.converged.all()
    assert abs(loose.residual[0]) <= 1e-3


def test_bracket_batch_marks_rows_without_a_sign_change_and_rows_with_nan() -> None:
    offsets = np.array([0.5, -1.0, np.nan])
    got = bracket_batch(lambda x, rows: x - offsets[rows], np.zeros(3), np.ones(3))
    assert got.converged.tolist() == [True, False, False]
    assert np.isnan(got.x[1:]).all()


def test_bracket_batch_does_not_take_a_nan_inside_the_bracket_for_a_root() -> None:
    got = bracket_batch(lambda x, rows: np.where(np.abs(x - 0.5) < 0.2, np.nan, x - 0.5), [0.0], [1.0])
    assert not got.converged[0]
    assert np.isnan(got.x[0])


def test_bracket_batch_that_runs_out_of_iterations_is_not_converged() -> None:
    got = bracket_batch(lambda x, rows: np.exp(x) - 2, [0.0], [9.0], max_iterations=2)
    assert not got.converged[0]
    assert np.isnan(got.x[0])
    assert np.isfinite(got.best[0])


def test_climb_batch_agrees_with_brentq_and_keeps_inside_its_ends() -> None:
    # oracle: scipy.optimize.brentq
    p = np.linspace(0.2, 8.0, 200)
    asked: list[FloatArray] = []

    def function(x: FloatArray, rows: IntArray) -> FloatArray:
        asked.append(x.copy())
        return np.log(x) + x - p[rows]

    got = climb_batch(function, p, 2.0, 0.05, 9.0, tolerance=1e-12)
    expected = [brentq(lambda x, q=q: np.log(x) + x - q, 0.05, 9, xtol=1e-13) for q in p]
    assert got.converged.all()
    np.testing.assert_allclose(got.x, expected, atol=1e-11)
    everything = np.concatenate(asked)
    assert everything.min() >= 0.05
    assert everything.max() <= 9.0


def test_climb_batch_gives_up_where_the_function_falls_is_unknown_or_has_no_root_below_the_end() -> None:
    def function(x: FloatArray, rows: IntArray) -> FloatArray:
        return np.choose(rows, [x - 0.5, 0.1 - x, np.where(x > 0.2, np.nan, x - 0.5), x - 7.0])

    got = climb_batch(function, np.zeros(4), 1.0, 0.0, 1.0, tolerance=1e-9)
    assert got.converged.tolist() == [True, False, False, False]
    assert got.x[3] == 1.0
    assert got.f[3] < 0


def test_climb_batch_reaches_the_lower_of_two_roots() -> None:
    # rises through 1 and falls through 3: from the left the climb ends at 1
    got = climb_batch(lambda x, rows: (x - 1) * (3 - x), [0.2], [3.6], 0.0, 5.0, tolerance=1e-12)
    assert got.converged[0]
    assert got.x[0] == pytest.approx(1.0)
    assert got.slope[0] > 0


def mixed(root: FloatArray) -> PairFunction:
    """Two equations whose only root in the box is `root`, each with both unknowns."""

    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        off: FloatArray = x**3 + np.log(x) - root[:, rows] ** 3 - np.log(root[:, rows])
        return np.stack([off[0] - 0.3 * off[1], 0.2 * off[0] + off[1]])

    return residual


def box(count: int, lower: float, upper: float, start: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    return tuple(np.full((2, count), value) for value in (lower, upper, start))


def test_solve_pairs_finds_known_roots() -> None:
    root = np.random.default_rng(7).uniform(0.5, 2.0, (2, 150))
    got = solve_pairs(mixed(root), *box(150, 0.05, 5.0, 3.0))
    assert got.converged.all()
    np.testing.assert_allclose(got.x, root, rtol=1e-8)


def test_solve_pairs_asks_seldom_from_a_good_start() -> None:
    root, asked = np.random.default_rng(7).uniform(0.9, 1.1, (2, 50)), []

    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        asked.append(rows.size)
        return mixed(root)(x, rows)

    assert solve_pairs(residual, *box(50, 0.05, 5.0, 1.0)).converged.all()
    assert sum(asked) <= 9 * 50


def test_solve_pairs_never_asks_outside_the_box() -> None:
    asked: list[FloatArray] = []

    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        asked.append(x.copy())
        off: FloatArray = np.sqrt(x) - 0.2
        return off

    got = solve_pairs(residual, *box(4, 0.0, 1.0, 0.9))
    everything = np.concatenate(asked, axis=1)
    assert got.converged.all()
    assert everything.min() >= 0
    assert everything.max() <= 1
    np.testing.assert_allclose(got.x, 0.04, rtol=1e-7)


def test_solve_pairs_steps_back_from_nan() -> None:
    # a full Newton step from 5 lands where the logarithm does not exist
    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        known: FloatArray = np.log(np.where(x > 0, x, np.nan))
        return known

    got = solve_pairs(residual, *box(1, -9.0, 9.0, 5.0))
    assert got.converged.all()
    np.testing.assert_allclose(got.x, 1.0)


def test_solve_pairs_marks_rows_with_no_root_in_the_box_and_solves_the_others() -> None:
    wanted = np.array([0.5, 7.0])
    got = solve_pairs(lambda x, rows: x - wanted[rows], *box(2, 0.0, 1.0, 0.2))
    assert got.converged.tolist() == [True, False]
    np.testing.assert_allclose(got.x[:, 1], 1.0)


def test_solve_pairs_marks_a_start_outside_the_box() -> None:
    lower, upper, start = box(2, 0.0, 1.0, 0.1)
    start[0, 0] = 2.0
    got = solve_pairs(lambda x, rows: x - 0.5, lower, upper, start)
    assert got.converged.tolist() == [False, True]


def test_solve_pairs_gives_up_on_a_singular_jacobian() -> None:
    # the same equation twice
    got = solve_pairs(lambda x, rows: np.stack([x[0] + x[1] - 0.7] * 2), *box(1, 0.0, 1.0, 0.1))
    assert not got.converged[0]


def test_the_jacobian_by_differences_is_that_of_the_equations() -> None:
    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        return np.stack([x[0] ** 2 * x[1], x[0] - 3 * x[1]])

    x = np.array([[0.5, 1.0], [0.25, 1.0]])
    got = pair_jacobian(
        residual, x, residual(x, np.arange(2)), np.zeros((2, 2)), np.ones((2, 2)), np.arange(2)
    )
    # by hand: d(x²y) = 2xy, x²; d(x - 3y) = 1, -3; the second row stands at the upper faces
    np.testing.assert_allclose(got[0], [[0.25, 2.0], [0.25, 1.0]], rtol=1e-4)
    np.testing.assert_allclose(got[1], [[1.0, 1.0], [-3.0, -3.0]], rtol=1e-8)
