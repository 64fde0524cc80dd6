"""Hoses and lines against fluids and CoolProp over random gases, states, bores, lengths and flows.

fluids solves Colebrook's equation in closed form (Clamond), properties come from exact CoolProp flashes. Agreements
stated: 1e-9 where only the relation is compared, 0.1 % where our property tables stand between.
"""

import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.two_phase_voidage import Zivi
from scipy.integrate import quad

from kits.sizing.gas.charge import zone_densities
from kits.sizing.gas.hoses import hose_velocity_m_s, suction_hose_loss_k
from kits.sizing.gas.lines import (
    line_pressure_drop_pa,
    mean_void_fraction,
)
from kits.sizing.gas.refrigerant import refrigerant

FLUIDS = {"R-134a": "R134a", "R-1234yf": "R1234yf", "R-152a": "R152A"}
COUNT = 300
RELATION, TABLES = 1e-9, 1e-3
TURBULENT = 4000
"""From here on Colebrook's equation holds; between laminar and it there is no relation to agree with."""


def test_pressure_lost_in_a_hose_with_its_ends() -> None:
    rng = np.random.default_rng(81)
    flow, length = rng.uniform(0.005, 0.08, COUNT), rng.uniform(0.1, 6, COUNT)
    bore, k = rng.uniform(0.006, 0.02, COUNT), rng.uniform(0, 8, COUNT)
    rho, mu = rng.uniform(5, 1300, COUNT), 10 ** rng.uniform(-5, -3.6, COUNT)
    got = line_pressure_drop_pa(flow, length, bore, k, rho, mu)
    compared = 0
    for j in range(COUNT):
        v = flow[j] / rho[j] / (np.pi / 4 * bore[j] ** 2)
        re = fluids.Reynolds(V=v, D=bore[j], rho=rho[j], mu=mu[j])
        if re < TURBULENT:
            continue
        total = fluids.K_from_f(
            fd=fluids.friction_factor(Re=re, eD=0.0, Method="Clamond"), L=length[j], D=bore[j]
        )
        assert got[j] == pytest.approx(fluids.dP_from_K(total + k[j], rho=rho[j], V=v), rel=RELATION)
        compared += 1
    assert compared > 0.9 * COUNT


@pytest.mark.parametrize("gas", FLUIDS)
def test_what_a_suction_hose_costs_in_kelvin(gas: str) -> None:
    rng, fluid = np.random.default_rng(82), FLUIDS[gas]
    for _ in range(40):
        t, superheat = rng.uniform(-5, 15), rng.uniform(2, 20)
        flow, length, bore_mm, k = (
            rng.uniform(0.01, 0.05),
            rng.uniform(0.3, 4),
            rng.uniform(11, 18),
            rng.uniform(0, 4),
        )
        p = PropsSI("P", "T", t + 273.15, "Q", 1, fluid)
        rho, mu = (PropsSI(what, "P", p, "T", t + superheat + 273.15, fluid) for what in ("D", "V"))
        v = flow / rho / (np.pi / 4 * (bore_mm / 1000) ** 2)
        re = fluids.Reynolds(V=v, D=bore_mm / 1000, rho=rho, mu=mu)
        f = fluids.friction_factor(Re=re, eD=0.0, Method="Clamond")
        drop = fluids.dP_from_K(fluids.K_from_f(fd=f, L=length, D=bore_mm / 1000) + k, rho=rho, V=v)
        expected = t - (PropsSI("T", "P", p - drop, "Q", 1, fluid) - 273.15)
        got = suction_hose_loss_k(
            refrigerant(gas),
            flow_kg_s=flow,
            length_m=length,
            bore_mm=bore_mm,
            loss_factor=k,
            evaporating_c=t,
            superheat_k=superheat,
        )
        assert got == pytest.approx(expected, rel=TABLES, abs=1e-4)
        assert hose_velocity_m_s(flow, bore_mm, rho) == pytest.approx(v, rel=RELATION)


def test_the_mean_of_zivis_void_fraction() -> None:
    rng = np.random.default_rng(84)
    for _ in range(60):
        start = rng.uniform(0, 0.6)
        rho_l, rho_v = rng.uniform(900, 1300), rng.uniform(8, 120)
        mean = quad(Zivi, start, 1, args=(rho_l, rho_v))[0] / (1 - start)
        assert mean_void_fraction(rho_l, rho_v, start) == pytest.approx(mean, rel=1e-7)


@pytest.mark.parametrize("gas", FLUIDS)
def test_the_densities_that_the_charge_is_made_of(gas: str) -> None:
    rng, fluid = np.random.default_rng(85), FLUIDS[gas]
    for _ in range(25):
        evaporating, condensing = rng.uniform(-10, 15), rng.uniform(35, 72)
        discharge, superheat, subcooling = (
            condensing + rng.uniform(8, 45),
            rng.uniform(1, 15),
            rng.uniform(1, 15),
        )
        got = zone_densities(
            refrigerant(gas),
            evaporating_c=evaporating,
            condensing_c=condensing,
            discharge_c=discharge,
            superheat_k=superheat,
            subcooling_k=subcooling,
            suction_gain_k=3.0,
        )
        expected = _densities(fluid, evaporating, condensing, discharge, superheat, subcooling)
        for zone, value in expected.items():
            assert getattr(got, zone) == pytest.approx(value, rel=TABLES), zone


def _densities(fluid, evaporating, condensing, discharge, superheat, subcooling) -> dict[str, float]:
    """The zones again, from exact flashes, with Zivi's void fraction of fluids and a numerical mean."""
    p_e, p_c = (PropsSI("P", "T", t + 273.15, "Q", 1, fluid) for t in (evaporating, condensing))

    def at(what, p, t):
        return PropsSI(what, "P", p, "T", t + 273.15, fluid)

    def edge(what, t, q):
        return PropsSI(what, "T", t + 273.15, "Q", q, fluid)

    def two_phase(t, start):
        rho_l, rho_v = edge("D", t, 0), edge("D", t, 1)
        void = quad(Zivi, start, 1, args=(rho_l, rho_v))[0] / (1 - start)
        return void * rho_v + (1 - void) * rho_l

    liquid_h = at("H", p_c, condensing - subcooling)
    h_l, h_v = edge("H", evaporating, 0), edge("H", evaporating, 1)
    coil_end, hose_end = (at("D", p_e, evaporating + superheat + gain) for gain in (0.0, 3.0))
    hot, liquid = at("D", p_c, discharge), at("D", p_c, condensing - subcooling)
    suction = (coil_end + hose_end) / 2
    return {
        "compressor": (suction + hot) / 2,
        "discharge": hot,
        "desuperheated": (hot + edge("D", condensing, 1)) / 2,
        "condensing": two_phase(condensing, 0.0),
        "subcooled": (edge("D", condensing, 0) + liquid) / 2,
        "liquid": liquid,
        "receiver_vapour": edge("D", condensing, 1),
        "evaporating": two_phase(evaporating, (liquid_h - h_l) / (h_v - h_l)),
        "superheated": (edge("D", evaporating, 1) + coil_end) / 2,
        "suction": suction,
    }
