"""Compute the property tables of one refrigerant with CoolProp (slow: only when no file exists).

Over saturation temperature (°C):
  saturation   ln p, and density, enthalpy, entropy, viscosity of both phases
  gas          density, enthalpy, entropy, viscosity over the root of superheat
  liquid       density, enthalpy, viscosity over the root of subcooling
  by_entropy   superheat, enthalpy above saturated vapour, density, viscosity, over the root of entropy above
               saturated vapour
  by_enthalpy  superheat, over the root of enthalpy above saturated vapour
and t_sat: saturation temperature over ln p. Properties bend sharply near saturation; the root gives the grid
its fine end there.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from kits.sizing.gas.spline import Axis, Curves, Surfaces, coefficients
from vehicles.physics.arrays import FloatArray, IntArray
from vehicles.physics.newton import bracket_batch

ZERO_C_K = 273.15
IIR_ENTHALPY_J_KG = 200e3
IIR_ENTROPY_J_KGK = 1000.0

Tables = dict[str, Curves | Surfaces]


def build_tables(fluid: str, grid: dict[str, float], saturation_to_c: float, only_saturation: bool) -> Tables:
    """All property tables of one fluid, computed with CoolProp.

    Formula: properties at the nodes of an even grid over saturation temperature and the root of superheat or
    subcooling, with a cubic spline through them; the inverses by the root of the spline itself.
    Parameters: fluid, CoolProp's name; grid, nodes and ranges from data/refrigerants.json, °C and K; saturation_to_c,
    upper end of the saturation axis, °C, a few kelvin below the critical point; only_saturation, leave out gas, liquid
    and the inverses.
    Returns: the tables by name; pressure as ln Pa, density kg/m³, enthalpy J/kg and entropy J/(kg K) with 200 kJ/kg and
    1 kJ/(kg K) for saturated liquid at 0 °C, viscosity Pa s.
    Validity: pure fluids that CoolProp has a viscosity for.
    Source: CoolProp; reference state of the International Institute of Refrigeration.
    Check: saturated liquid at 0 °C has the 200 kJ/kg of the reference state.

    >>> grid = {"saturation_from_c": -20.0, "saturation_step_k": 5.0, "pressure_nodes": 9}
    >>> saturation = build_tables("R134a", grid, 40.0, only_saturation=True)["saturation"]
    >>> round(float(saturation(np.array([0.0]))[2, 0]))
    200000
    """
    from CoolProp import CoolProp

    state = CoolProp.AbstractState("HEOS", fluid)
    state.update(CoolProp.QT_INPUTS, 0, ZERO_C_K)
    zero = (state.hmass() - IIR_ENTHALPY_J_KG, state.smass() - IIR_ENTROPY_J_KGK)
    steps = round((saturation_to_c - grid["saturation_from_c"]) / grid["saturation_step_k"])
    t_axis = Axis(grid["saturation_from_c"], grid["saturation_step_k"], steps + 1)
    t_c = t_axis.nodes()
    saturation = _saturation(CoolProp, state, t_c, zero)
    p_axis = _axis(saturation[-1, 0], grid["pressure_nodes"], saturation[0, 0])
    curves: Tables = {
        "saturation": Curves(t_axis, coefficients(saturation)),
        "t_sat": Curves(p_axis, coefficients(_t_sat(CoolProp, state, p_axis.nodes()))),
    }
    if only_saturation:
        return curves
    gas_axis = _axis(np.sqrt(grid["superheat_to_k"]), grid["superheat_nodes"])
    gas_t_c = t_c[:, None] + gas_axis.nodes() ** 2
    gas = _surfaces(t_axis, gas_axis, _one_phase(CoolProp, state, CoolProp.iphase_gas, t_c, gas_t_c, zero))
    liquid_axis = _axis(np.sqrt(grid["subcooling_to_k"]), grid["subcooling_nodes"])
    liquid_t_c = t_c[:, None] - liquid_axis.nodes() ** 2
    liquid = _one_phase(CoolProp, state, CoolProp.iphase_liquid, t_c, liquid_t_c, zero)
    reach = np.sqrt(np.minimum(grid["inverse_superheat_to_k"], grid["inverse_gas_to_c"] - t_c))
    return curves | {
        "gas": gas,
        "liquid": _surfaces(t_axis, liquid_axis, liquid[:, :, [0, 1, 3]]),
        "by_entropy": _inverse(gas, 2, reach),
        "by_enthalpy": _inverse(gas, 1, reach),
    }


def _axis(stop: float, count: float, start: float = 0.0) -> Axis:
    return Axis(float(start), float((stop - start) / (count - 1)), int(count))


def _surfaces(x_axis: Axis, y_axis: Axis, values: FloatArray) -> Surfaces:
    across = coefficients(coefficients(values).swapaxes(0, 1)).swapaxes(0, 1)
    return Surfaces(x_axis, y_axis, np.ascontiguousarray(across))


def _saturation(coolprop: Any, state: Any, t_c: FloatArray, zero: tuple[float, float]) -> FloatArray:
    """Rows of (ln p, liquid's rho, h, s, mu, vapour's rho, h, s, mu)."""
    rows = []
    for t in t_c:
        row = []
        for quality in (0, 1):
            state.update(coolprop.QT_INPUTS, quality, t + ZERO_C_K)
            row += [state.rhomass(), state.hmass() - zero[0], state.smass() - zero[1], state.viscosity()]
        rows.append([np.log(state.p()), *row])
    return np.array(rows)


def _one_phase(
    coolprop: Any, state: Any, phase: int, t_sat_c: FloatArray, t_c: FloatArray, zero: tuple[float, float]
) -> FloatArray:
    """(rho, h, s, mu) at the pressure of each saturation temperature and its row of temperatures."""
    found = np.empty((*t_c.shape, 4))
    for i, t_sat in enumerate(t_sat_c):
        state.unspecify_phase()
        state.update(coolprop.QT_INPUTS, 1, t_sat + ZERO_C_K)
        p = state.p()
        # with the phase given, also the state on the saturation line is the one that is meant
        state.specify_phase(phase)
        for j, t in enumerate(t_c[i]):
            state.update(coolprop.PT_INPUTS, p, t + ZERO_C_K)
            found[i, j] = (
                state.rhomass(),
                state.hmass() - zero[0],
                state.smass() - zero[1],
                state.viscosity(),
            )
    state.unspecify_phase()
    return found


def _t_sat(coolprop: Any, state: Any, ln_p: FloatArray) -> FloatArray:
    """Saturation temperature, °C, shape (n, 1)."""
    found = []
    for p in np.exp(ln_p):
        state.update(coolprop.PQ_INPUTS, p, 1)
        found.append(state.T() - ZERO_C_K)
    return np.array(found)[:, None]


def _inverse(gas: Surfaces, quantity: int, reach: FloatArray) -> Surfaces:
    """Superheat, enthalpy above saturated vapour, density, viscosity, over the root of `quantity` above it.

    reach  root of the superheat that the inverse must cover at each saturation temperature
    """
    t_c = gas.x_axis.nodes()
    saturated = gas(t_c, np.zeros(t_c.size))
    span = float((gas(t_c, reach) - saturated)[quantity].max())
    axis = _axis(np.sqrt(span), gas.y_axis.count)
    wanted = axis.nodes() ** 2
    t_flat = np.repeat(t_c, axis.count)
    goal = (saturated[quantity][:, None] + wanted).ravel()
    root = bracket_batch(_difference(gas, quantity, t_flat, goal), np.zeros(goal.size), gas.y_axis.stop)
    at_saturation = np.tile(wanted == 0, t_c.size)
    if not (root.converged | at_saturation).all():
        raise ArithmeticError("The gas table does not reach far enough for its inverse.")
    place = np.where(at_saturation, 0.0, root.x)
    rho, h, _, mu = gas(t_flat, place)
    values = np.stack([place**2, h - np.repeat(saturated[1], axis.count), rho, mu], axis=1)
    return _surfaces(gas.x_axis, axis, values.reshape(t_c.size, axis.count, -1))


def _difference(
    gas: Surfaces, quantity: int, t_c: FloatArray, goal: FloatArray
) -> Callable[[FloatArray, IntArray], FloatArray]:
    def difference(x: FloatArray, rows: IntArray) -> FloatArray:
        found: FloatArray = gas(t_c[rows], x)[quantity] - goal[rows]
        return found

    return difference
