"""The batch solvers: roots are roots, bounds hold, and a row that was not solved says so."""

import numpy as np
import pytest
from scipy.optimize import brentq

from vehicles.physics.arrays import FloatArray, IntArray
from vehicles.physics.newton import bracket_batch, solve_batch


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


@pytest.mark.parametrize("unknowns", [1, 2, 3])
def test_solve_batch_finds_known_roots(unknowns: int) -> None:
    rng = np.random.default_rng(7)
    root = rng.uniform(0.5, 2.0, (150, unknowns))
    mix = np.eye(unknowns) + 0.3 * rng.uniform(-1, 1, (unknowns, unknowns))

    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        off: FloatArray = x**3 + np.log(x) - root[rows] ** 3 - np.log(root[rows])
        return off @ mix.T

    got = solve_batch(residual, 0.05, 5.0, np.full((150, unknowns), 3.0))
    assert got.converged.all()
    np.testing.assert_allclose(got.x, root, rtol=1e-8)


def test_solve_batch_never_asks_outside_the_box() -> None:
    asked: list[FloatArray] = []

    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        asked.append(x.copy())
        off: FloatArray = np.sqrt(x) - 0.2
        return off

    got = solve_batch(residual, 0.0, 1.0, np.full((4, 2), 0.9))
    everything = np.concatenate(asked)
    assert got.converged.all()
    assert everything.min() >= 0
    assert everything.max() <= 1
    np.testing.assert_allclose(got.x, 0.04, rtol=1e-7)


def test_solve_batch_steps_back_from_nan() -> None:
    # a full Newton step from 5 lands where the logarithm does not exist
    got = solve_batch(lambda x, rows: np.log(np.where(x > 0, x, np.nan)), -9.0, 9.0, np.array([[5.0]]))
    assert got.converged.all()
    assert got.x[0, 0] == pytest.approx(1.0)


def test_solve_batch_marks_rows_with_no_root_in_the_box_and_solves_the_others() -> None:
    wanted = np.array([0.5, 7.0])
    got = solve_batch(lambda x, rows: x - wanted[rows, None], 0.0, 1.0, np.full((2, 1), 0.2))
    assert got.converged.tolist() == [True, False]
    assert np.isnan(got.x[1]).all()
    assert got.best[1, 0] == pytest.approx(1.0)


def test_solve_batch_marks_a_start_outside_the_box() -> None:
    got = solve_batch(lambda x, rows: x - 0.5, 0.0, 1.0, np.array([[2.0], [0.1]]))
    assert got.converged.tolist() == [False, True]


def test_solve_batch_survives_a_singular_jacobian() -> None:
    def residual(x: FloatArray, rows: IntArray) -> FloatArray:
        return np.stack([x[:, 0] ** 2 - 0.25, x[:, 1] - x[:, 0]], axis=1)

    # at x0 = 0 the derivative of the first equation vanishes
    got = solve_batch(residual, -0.4, 1.0, np.array([[0.0, 0.3]]))
    assert got.converged.all()
    np.testing.assert_allclose(got.x, [[0.5, 0.5]], rtol=1e-8)


def test_solve_batch_refuses_a_start_that_is_not_a_table() -> None:
    with pytest.raises(ValueError, match="one row per problem"):
        solve_batch(lambda x, rows: x, 0.0, 1.0, np.zeros(3))
