"""Even-grid splines: they pass through their nodes, reproduce cubics, and do not answer off the grid."""

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline

from kits.sizing.gas.spline import Axis, Curves, Surfaces, coefficients
from vehicles.physics.arrays import FloatArray

X_AXIS, Y_AXIS = Axis(-2.0, 0.25, 17), Axis(1.0, 0.5, 9)


def surface_of(values: FloatArray) -> Surfaces:
    across = coefficients(coefficients(values).swapaxes(0, 1)).swapaxes(0, 1)
    return Surfaces(X_AXIS, Y_AXIS, np.ascontiguousarray(across))


def test_a_curve_is_the_not_a_knot_spline() -> None:
    # oracle: scipy.interpolate.make_interp_spline
    values = np.exp(np.sin(3 * X_AXIS.nodes()))
    curve = Curves(X_AXIS, coefficients(values[:, None]))
    x = np.linspace(-2, 2, 333)
    expected = make_interp_spline(X_AXIS.nodes(), values, k=3)(x)
    np.testing.assert_allclose(curve(x)[0], expected, rtol=1e-12)


def test_a_surface_reproduces_cubics_and_several_quantities() -> None:
    def first(x: FloatArray, y: FloatArray) -> FloatArray:
        return 1 + x**3 - 2 * y**3 + x**2 * y

    x, y = np.meshgrid(X_AXIS.nodes(), Y_AXIS.nodes(), indexing="ij")
    surface = surface_of(np.stack([first(x, y), x * y**2], axis=2))
    rng = np.random.default_rng(3)
    at_x, at_y = rng.uniform(-2, 2, 200), rng.uniform(1, 5, 200)
    got = surface(at_x, at_y)
    np.testing.assert_allclose(got[0], first(at_x, at_y), atol=1e-11)
    np.testing.assert_allclose(got[1], at_x * at_y**2, atol=1e-11)


@pytest.mark.parametrize(
    "place", [(-2.001, 2.0), (2.001, 2.0), (0.0, 0.99), (0.0, 5.01), (np.nan, 2.0), (0.0, np.nan)]
)
def test_off_the_grid_is_nan(place: tuple[float, float]) -> None:
    surface = surface_of(np.ones((17, 9, 1)))
    assert np.isnan(surface(np.array([place[0]]), np.array([place[1]]))).all()


def test_the_edges_belong_to_the_grid() -> None:
    surface = surface_of(np.ones((17, 9, 1)))
    corners = surface(np.array([-2.0, 2.0, -2.0, 2.0]), np.array([1.0, 1.0, 5.0, 5.0]))
    np.testing.assert_allclose(corners, 1.0, rtol=1e-12)


def test_a_place_found_once_serves_every_table_on_the_axis_and_some_of_the_quantities_alone() -> None:
    x, y = np.meshgrid(X_AXIS.nodes(), Y_AXIS.nodes(), indexing="ij")
    surface = surface_of(np.stack([x + y, x * y, np.exp(x) + y], axis=2))
    curve = Curves(X_AXIS, coefficients(np.stack([X_AXIS.nodes(), X_AXIS.nodes() ** 2], axis=1)))
    rng = np.random.default_rng(4)
    at_x, at_y = rng.uniform(-2, 2, 60), rng.uniform(1, 5, 60)
    x_place, y_place = X_AXIS.place(at_x), Y_AXIS.place(at_y)
    np.testing.assert_array_equal(surface.at(x_place, y_place), surface(at_x, at_y))
    np.testing.assert_allclose(
        surface.only(2, 0).at(x_place, y_place), surface(at_x, at_y)[[2, 0]], rtol=1e-14
    )
    np.testing.assert_allclose(curve.only(1).at(x_place)[0], at_x**2, atol=1e-12)


def test_off_the_axis_a_place_goes_on_with_the_last_cell_and_nan_stays_nan() -> None:
    curve = Curves(X_AXIS, coefficients(X_AXIS.nodes()[:, None] ** 3))
    found = curve.at(X_AXIS.place(np.array([-2.1, 2.2, np.nan])))[0]
    np.testing.assert_allclose(found[:2], [(-2.1) ** 3, 2.2**3], rtol=1e-9)
    assert np.isnan(found[2])
