"""The tables as the balance asks them give what the checked look-ups give."""

import numpy as np
import pytest

from kits.sizing.gas.refrigerant import refrigerant

WORKING = ("R-134a", "R-1234yf", "R-152a")


@pytest.mark.parametrize("name", WORKING)
def test_every_quantity_is_that_of_the_checked_look_up(name: str) -> None:
    # oracle: kits.sizing.gas.refrigerant, itself held against CoolProp
    gas = refrigerant(name)
    tables, rng = gas.for_cycle, np.random.default_rng(5)
    t, superheat, subcooling = rng.uniform(-40, 79, 500), rng.uniform(0, 60, 500), rng.uniform(0, 40, 500)
    at = tables.t_axis.place(t)
    saturated, gas_state = gas.saturation(t), gas.vapour(t, superheat)
    pressure = gas.p_sat_pa(t)
    np.testing.assert_allclose(tables.p_sat_pa(at), pressure, rtol=1e-13)
    np.testing.assert_allclose(tables.t_sat_c(pressure), gas.t_sat_c(pressure), rtol=1e-13)
    np.testing.assert_allclose(tables.edges(at), [saturated.s_l, saturated.h_v, saturated.s_v], rtol=1e-12)
    place = tables.superheat_axis.place(np.sqrt(superheat))
    np.testing.assert_allclose(
        tables.outlet(at, place), [gas_state.rho, gas_state.h, gas_state.mu], rtol=1e-12
    )
    np.testing.assert_allclose(tables.inlet(at, place), [gas_state.rho, gas_state.h, gas_state.s], rtol=1e-12)
    subcooled = tables.subcooling_axis.place(np.sqrt(subcooling))
    np.testing.assert_allclose(tables.liquid_h(at, subcooled), gas.liquid(t, subcooling).h, rtol=1e-12)
    end = gas.isentropic(t, gas_state.s)
    above = gas_state.s - saturated.s_v
    np.testing.assert_allclose(tables.hot(at, above), [end.rho, end.mu], rtol=1e-12)
    np.testing.assert_allclose(saturated.h_v + tables.rise(at, above), end.h, rtol=1e-12)
    root = tables.superheat_root(at, gas_state.h)
    np.testing.assert_allclose(root**2, gas.superheat_from_enthalpy(t, gas_state.h), atol=1e-9)


def test_below_saturation_the_gas_counts_as_saturated() -> None:
    gas = refrigerant("R-134a")
    at = gas.for_cycle.t_axis.place(np.array([40.0]))
    saturated = gas.saturation(40.0)
    rho, mu = gas.for_cycle.hot(at, np.array([-20.0]))
    np.testing.assert_allclose([rho[0], mu[0]], [saturated.rho_v, saturated.mu_v], rtol=1e-5)
    assert gas.for_cycle.rise(at, np.array([-20.0]))[0] == pytest.approx(0, abs=1.0)
    assert gas.for_cycle.superheat_root(at, np.array([3e5]))[0] == pytest.approx(0, abs=0.03)


def test_what_is_not_known_stays_unknown() -> None:
    tables = refrigerant("R-134a").for_cycle
    assert np.isnan(tables.p_sat_pa(tables.t_axis.place(np.array([np.nan, 20.0])))).tolist() == [True, False]
