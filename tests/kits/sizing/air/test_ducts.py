"""Ducts against worked examples (ASHRAE Fundamentals 2021 ch. 21, Cengel and Cimbala) and fluids."""

from typing import Any

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.air import ducts
from tests.reference import check, load
from vehicles.physics import air

GRAVITY = 9.81
CASES = {c["id"]: c for c in load("ducts.json")}
ELSEWHERE = {
    "duct-parallel-pump": "tests/kits/sizing/air/test_parallel_ducts.py",
    "fan-law-fox": "tests/kits/sizing/air/test_blower.py",
}


def friction(i: dict[str, Any]) -> dict[str, Any]:
    return {"f_darcy": ducts.friction_factor(i["Re"], i.get("rel_roughness", 0.0))}


def straight(i: dict[str, Any]) -> dict[str, Any]:
    v = i["Q_L_s"] / 1000 / ducts.circle_area_m2(i["D_mm"] / 1000)
    mu = ducts.air_viscosity_pa_s(20.0)
    loss = ducts.straight_loss_pa(v, i["L_m"], i["D_mm"] / 1000, i["eps_mm"] / 1000, i["rho"], mu)
    return {"V_m_s": v, "dp_Pa": loss}


def flexible(i: dict[str, Any]) -> dict[str, Any]:
    factor = ducts.flexible_duct_factor(i["D_mm"], i["compression_pct"])
    return {"PDCF": factor, "dp_Pa": factor * i["dp_stretched_Pa"]}


def pipe(i: dict[str, Any]) -> dict[str, Any]:
    v = i["Q"] / ducts.circle_area_m2(i["D"])
    re = i["rho"] * v * i["D"] / i["mu"]
    loss = ducts.straight_loss_pa(v, i["L"], i["D"], i["eps_mm"] / 1000, i["rho"], i["mu"])
    return {
        "V": v,
        "f": ducts.friction_factor(re, i["eps_mm"] / 1000 / i["D"]),
        "dp_Pa": loss,
        "h_L_m": loss / i["rho"] / GRAVITY,
        "P_W": loss * i["Q"],
    }


def expansion(i: dict[str, Any]) -> dict[str, Any]:
    v2 = i["V1"] * ducts.circle_area_m2(i["D1"]) / ducts.circle_area_m2(i["D2"])
    loss = ducts.minor_loss_pa(i["V1"], i["K"], i["rho"])
    head1, head2 = (ducts.minor_loss_pa(v, 1.0, i["rho"]) for v in (i["V1"], v2))
    after = 1000 * i["P1_kPa"] + i["alpha"] * (head1 - head2) - loss
    return {"h_L": loss / i["rho"] / GRAVITY, "P2_kPa": after / 1000}


def reservoir(i: dict[str, Any]) -> dict[str, Any]:
    v = i["Q"] / ducts.circle_area_m2(i["D"])
    loss = ducts.straight_loss_pa(v, i["L"], i["D"], i["eps_mm"] / 1000, i["rho"], i["mu"])
    loss = loss + ducts.minor_loss_pa(v, i["K_sum"], i["rho"])
    return {"z1_m": i["z2"] + loss / i["rho"] / GRAVITY}


def density(i: dict[str, Any]) -> dict[str, Any]:
    return {"rho": air.density_kg_m3(i["T_C"], 0.0, 100 * i["p_mbar"])}


WAYS = {
    "duct-colebrook": friction,
    "duct-ashrae-ex6": straight,
    "duct-flex-comp": flexible,
    "duct-cengel-8-3": pipe,
    "duct-cengel-8-6": expansion,
    "duct-cengel-8-8": reservoir,
    "duct-hundy": density,
}


@pytest.mark.parametrize("name", sorted(CASES.keys() - ELSEWHERE.keys()))
def test_a_published_case_is_met(name: str) -> None:
    case = CASES[name]
    (way,) = [w for start, w in WAYS.items() if name.startswith(start)]
    got = way(case["inputs"])
    assert got.keys() == case["outputs"].keys()
    for output, expected in case["outputs"].items():
        check(got[output], expected, case["tolerance"], output)


def test_friction_agrees_with_fluids_over_the_turbulent_range() -> None:
    rng = np.random.default_rng(61)
    re = 10 ** rng.uniform(np.log10(4000), 8, 2000)
    # half of the walls nearly smooth, half rough
    rough = np.where(rng.random(2000) < 0.5, 10 ** rng.uniform(-7, -3, 2000), rng.uniform(0, 0.1, 2000))
    # the defining equation; fluids solves it another way (Clamond)
    oracle = [fluids.friction.Clamond(r, e) for r, e in zip(re, rough, strict=True)]
    np.testing.assert_allclose(ducts.friction_factor(re, rough), oracle, rtol=1e-9)


def test_losses_agree_with_fluids() -> None:
    rng = np.random.default_rng(62)
    v, d, length = rng.uniform(3, 25, 300), rng.uniform(0.04, 0.3, 300), rng.uniform(0.1, 5, 300)
    rough, k, rho = rng.uniform(0, 0.001, 300), rng.uniform(0, 5, 300), rng.uniform(0.9, 1.3, 300)
    mu = ducts.air_viscosity_pa_s(rng.uniform(-20, 60, 300))
    got = ducts.straight_loss_pa(v, length, d, rough, rho, mu) + ducts.minor_loss_pa(v, k, rho)
    for j in range(300):
        f = fluids.friction_factor(
            Re=fluids.Reynolds(V=v[j], D=d[j], rho=rho[j], mu=mu[j]), eD=rough[j] / d[j]
        )
        total_k = fluids.K_from_f(fd=f, L=length[j], D=d[j]) + k[j]
        assert got[j] == pytest.approx(fluids.dP_from_K(total_k, rho=rho[j], V=v[j]), rel=1e-9)


def test_viscosity_agrees_with_the_standard_atmosphere() -> None:
    t_c = np.array([-40.0, 0.0, 20.0, 60.0])
    oracle = [fluids.ATMOSPHERE_1976.viscosity(t + 273.15) for t in t_c]
    np.testing.assert_allclose(ducts.air_viscosity_pa_s(t_c), oracle, rtol=1e-4)


@given(st.floats(10, 1e6), st.floats(1.0001, 1.5), st.floats(0, 0.1))
def test_more_flow_always_loses_more(re: float, more: float, rough: float) -> None:
    assert (
        ducts.friction_factor(re * more, rough) * (re * more) ** 2 > ducts.friction_factor(re, rough) * re**2
    )


@pytest.mark.parametrize("edge", [2300.0, 4000.0])
@pytest.mark.parametrize("rough", [0.0, 0.02, 0.1])
def test_friction_has_no_step_where_the_transition_begins_and_ends(edge: float, rough: float) -> None:
    below, at, above = (float(ducts.friction_factor(edge + d, rough)) for d in (-0.01, 0.0, 0.01))
    assert below == pytest.approx(at, rel=1e-5)
    assert above == pytest.approx(at, rel=1e-5)


def test_roughness_never_lowers_friction() -> None:
    rough = np.linspace(0, 0.1, 50)
    for re in (3000.0, 5e3, 1e5, 1e7):
        assert np.all(np.diff(ducts.friction_factor(re, rough)) > 0)


def test_laminar_flow_does_not_feel_the_wall() -> None:
    assert ducts.friction_factor(1000, 0.08) == ducts.friction_factor(1000, 0) == 0.064


def test_a_hose_pulled_straight_loses_no_more_and_a_small_one_suffers_most() -> None:
    assert ducts.flexible_duct_factor(60, 0) == 1
    assert np.all(np.diff(ducts.flexible_duct_factor(np.array([57, 150, 250, 400]), 10)) < 0)


def test_nothing_is_lost_at_rest_or_over_no_length() -> None:
    assert ducts.straight_loss_pa(0, 2, 0.06, 0.0009, 1.2, 1.8e-5) == 0
    assert ducts.straight_loss_pa(8, 0, 0.06, 0.0009, 1.2, 1.8e-5) == 0
    assert ducts.minor_loss_pa(8, 0, 1.2) == 0


NAN = float("nan")


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (ducts.friction_factor, (0, 0)),
        (ducts.friction_factor, (NAN, 0)),
        (ducts.friction_factor, (1e5, -0.001)),
        (ducts.friction_factor, (1e5, 0.2)),
        (ducts.straight_loss_pa, (8, 1, 0, 0, 1.2, 1.8e-5)),
        (ducts.straight_loss_pa, (8, -1, 0.06, 0, 1.2, 1.8e-5)),
        (ducts.straight_loss_pa, (-8, 1, 0.06, 0, 1.2, 1.8e-5)),
        (ducts.straight_loss_pa, (8, 1, 0.06, 0.01, 1.2, 1.8e-5)),
        (ducts.straight_loss_pa, (8, 1, 0.06, 0, NAN, 1.8e-5)),
        (ducts.minor_loss_pa, (8, -1, 1.2)),
        (ducts.minor_loss_pa, (8, NAN, 1.2)),
        (ducts.minor_loss_pa, (8, 1, 0)),
        (ducts.flexible_duct_factor, (60, 31)),
        (ducts.flexible_duct_factor, (0, 4)),
        (ducts.circle_area_m2, (NAN,)),
        (ducts.air_viscosity_pa_s, (500,)),
    ],
)
def test_a_scalar_out_of_range_is_refused_and_a_batch_marks_the_row(function: Any, arguments: Any) -> None:
    with pytest.raises(ValueError, match=r"[a-z ]{10,}"):
        function(*arguments)
    assert np.isnan(function(*(np.array([x]) for x in arguments))).all()
