"""Ducts in parallel: a textbook's two pipes behind a pump, the split, and its limits."""

from typing import Any

import numpy as np
import pytest

from kits.sizing.air import ducts
from kits.sizing.air.parallel_ducts import Branches, parallel_flow, split
from tests.reference import case, check
from vehicles.physics.arrays import FloatArray, IntArray

GRAVITY = 9.81


def branches(n: int = 1, rho: float = 1.2, mu: float = 1.82e-5, **columns: Any) -> Branches:
    """Round ducts without losses at the end unless told; columns of shape (m,) or (n, m)."""
    usual = {"length_m": 1.0, "roughness_m": 0.0, "friction_multiple": 1.0, "duct_k": 0.0, "end_k": 0.0}
    columns = {"is_open": True, **usual, **columns}
    columns.setdefault("end_area_m2", np.pi * np.asarray(columns["diameter_m"]) ** 2 / 4)
    m = np.broadcast(*columns.values()).shape[-1]
    arrays = {name: np.array(np.broadcast_to(v, (n, m))) for name, v in columns.items()}
    return Branches(**arrays, density_kg_m3=np.full((n, 1), rho), viscosity_pa_s=np.full((n, 1), mu))


def test_two_pipes_behind_a_pump_from_memory() -> None:
    """Cengel and Cimbala's parallel pipes; the values are recalled, so nothing rests on this test alone."""
    found = case("ducts.json", "duct-parallel-pump")
    assert found["basis"] == "memory"
    i = found["inputs"]
    d = np.array([i["D1"], i["D2"]])
    pipes = branches(rho=i["rho"], mu=i["mu"], diameter_m=d, length_m=i["L"], roughness_m=i["eps_mm"] / 1000)
    lift_pa = i["rho"] * GRAVITY * (i["z_B"] - i["z_A"])
    shaft_w = i["P_elec_W"] * i["eta"]
    got = parallel_flow(lambda q, rows: shaft_w / q - lift_pa, 0.001, shaft_w / lift_pa, pipes)
    q = got.flow_m3_s[0]
    v = q / ducts.circle_area_m2(d)
    f = ducts.friction_factor(i["rho"] * v * d / i["mu"], i["eps_mm"] / 1000 / d)
    h_loss = got.plenum_pa[0] / i["rho"] / GRAVITY
    outputs = {
        "Q_total": got.total_m3_s[0],
        "h_pump": shaft_w / got.total_m3_s[0] / i["rho"] / GRAVITY,
        "h_L": h_loss,
        **{f"Q{k + 1}": q[k] for k in range(2)},
        **{f"V{k + 1}": v[k] for k in range(2)},
        **{f"f{k + 1}": f[k] for k in range(2)},
    }
    for name, expected in found["outputs"].items():
        check(outputs[name], expected, found["tolerance"], name)


def test_every_branch_loses_the_same_and_the_flows_add_up() -> None:
    rng = np.random.default_rng(63)
    n, m = 200, 5
    total = 10 ** rng.uniform(-6, -0.5, n)  # from a trickle, laminar, to far more than a blower gives
    is_open = rng.random((n, m)) < 0.7
    is_open[:, 0] = True
    net = branches(
        n,
        diameter_m=rng.uniform(0.04, 0.08, (n, m)),
        length_m=rng.uniform(0, 3, (n, m)),
        roughness_m=rng.uniform(0, 0.002, (n, m)),
        friction_multiple=rng.uniform(1, 3, (n, m)),
        duct_k=rng.uniform(0, 3, (n, m)),
        end_k=rng.uniform(1, 3, (n, m)),
        is_open=is_open,
    )
    got = split(total, net)
    assert got.converged.all()
    np.testing.assert_allclose(got.flow_m3_s.sum(axis=1), total, rtol=1e-12)
    assert np.all(got.flow_m3_s[~is_open] == 0)
    lost = loss_by_hand(net, got.flow_m3_s)
    np.testing.assert_allclose(lost[is_open], np.repeat(got.plenum_pa, is_open.sum(axis=1)), rtol=1e-8)


def loss_by_hand(net: Branches, flow: FloatArray) -> FloatArray:
    v = flow / ducts.circle_area_m2(net.diameter_m)
    rho, mu = net.density_kg_m3, net.viscosity_pa_s
    friction = ducts.straight_loss_pa(v, net.length_m, net.diameter_m, net.roughness_m, rho, mu)
    fittings = ducts.minor_loss_pa(v, net.duct_k, rho)
    return (
        friction * net.friction_multiple
        + fittings
        + ducts.minor_loss_pa(flow / net.end_area_m2, net.end_k, rho)
    )


def test_equal_branches_share_equally_and_a_closed_one_gets_nothing() -> None:
    net = branches(diameter_m=np.full(3, 0.057), end_k=1.0, is_open=np.array([True, False, True]))
    np.testing.assert_allclose(split([0.06], net).flow_m3_s, [[0.03, 0.0, 0.03]], rtol=1e-12)


def test_without_friction_the_flows_go_with_the_areas() -> None:
    net = branches(diameter_m=np.array([0.04, 0.08]), length_m=0.0, end_k=1.5)
    np.testing.assert_allclose(split([0.05], net).flow_m3_s, [[0.01, 0.04]], rtol=1e-12)


def test_a_source_that_gives_too_much_or_too_little_is_said_not_hidden() -> None:
    net = branches(3, diameter_m=np.full((3, 2), 0.06), end_k=1.0)
    pressure = np.array([50.0, 5000.0, 1e-9])

    def source(q: FloatArray, rows: IntArray) -> FloatArray:
        return pressure[rows] + 0 * q

    got = parallel_flow(source, 0.01, 0.2, net)
    assert got.is_above_upper.tolist() == [False, True, False]
    assert got.is_below_lower.tolist() == [False, False, True]
    assert got.plenum_pa[0] == pytest.approx(50, rel=1e-9)


def test_long_rough_hoses_in_the_transition_to_laminar_flow_are_solved_too() -> None:
    # worse than any car: here friction rises steeply with flow, and simple rounds would swing for ever
    rng = np.random.default_rng(67)
    n, m = 500, 4
    net = branches(
        n,
        diameter_m=rng.uniform(0.04, 0.08, (n, m)),
        length_m=rng.uniform(2, 6, (n, m)),
        roughness_m=rng.uniform(0.001, 0.004, (n, m)),
        friction_multiple=rng.uniform(5, 15, (n, m)),
    )
    pressure = 10 ** rng.uniform(-1, 1.5, n)
    got = parallel_flow(lambda q, rows: pressure[rows] + 0 * q, 0.0, 2.0, net)
    assert got.converged.all()
    lost = loss_by_hand(net, got.flow_m3_s)
    np.testing.assert_allclose(lost, np.repeat(pressure[:, None], m, axis=1), rtol=1e-8)
