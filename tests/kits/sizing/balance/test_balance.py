"""The refrigeration balance: closure, statuses, and the orders of magnitude a practitioner knows."""

import subprocess
import sys
from typing import Any

import numpy as np
import pytest

from kits.sizing.balance.balance import BalanceInput, BalanceResult, Status, solve_balance, solve_point
from kits.sizing.balance.balance_input import UNSOLVED
from kits.sizing.gas.refrigerant import refrigerant
from tests.kits.sizing.plants import idle, plant

GASES = ("R-134a", "R-1234yf", "R-152a")
MODES = ("cycling", "suction-regulated", "speed-controlled")
BAR = 1e5
ATMOSPHERE_PA = 101325.0


def random_plants(count: int, seed: int) -> BalanceInput:
    rng = np.random.default_rng(seed)
    mode = rng.choice(MODES, count)
    return plant(
        coil_m3_h=rng.uniform(150, 600, count),
        air_in_c=rng.uniform(15, 45, count),
        rh=rng.uniform(0.15, 0.8, count),
        condenser_m3_h=rng.uniform(700, 2800, count),
        displacement_cc=rng.uniform(60, 170, count),
        speed_rpm=rng.uniform(600, 4500, count),
        cond_air_in_c=rng.uniform(20, 52, count),
        suction_length_m=rng.uniform(0.5, 5, count),
        freeze_mode=mode,
        electric=mode == "speed-controlled",
        speed_min_rpm=500.0,
    )


def solved(result: BalanceResult) -> Any:
    return ~np.isin(result.status, UNSOLVED)


@pytest.mark.parametrize("gas", GASES)
def test_energy_closes_and_no_point_is_left_without_a_verdict(gas: str) -> None:
    got = solve_balance(gas, random_plants(400, 1))
    good = solved(got)
    assert good.sum() > 250
    balance = (got.capacity_w + got.suction_gain_w + got.power_w) / got.heat_rejected_w - 1
    assert np.abs(balance[good]).max() < 1e-6
    assert np.isnan(got.capacity_w[~good]).all()
    assert all(got.reason[~good])
    assert not any(got.reason[good])
    assert not (got.status == Status.NO_SOLUTION).any()


def test_the_reported_numbers_belong_together() -> None:
    got = solve_balance("R-134a", random_plants(300, 2))
    x, _ = random_plants(300, 2).flat()
    good, gas = solved(got), refrigerant("R-134a")
    np.testing.assert_allclose(got.sensible_w + got.latent_w, got.capacity_w, rtol=1e-12)
    np.testing.assert_allclose(got.cop[good], (got.capacity_w / got.power_w)[good])
    np.testing.assert_allclose(got.torque_nm * 2 * np.pi * got.speed_rpm / 60, got.power_w)
    np.testing.assert_allclose(gas.p_sat_pa(got.condensing_c[good]), got.condensing_pa[good])
    np.testing.assert_allclose(gas.p_sat_pa(got.evaporating_c[good]), got.evaporating_pa[good])
    water = (x.air_in_w - got.air_off_w) * x.air_kg_s * 3600
    np.testing.assert_allclose(got.condensate_kg_h[good], water[good])
    assert (got.discharge_pa[good] > got.condensing_pa[good]).all()
    assert (got.suction_pa[good] < got.evaporating_pa[good]).all()
    assert (got.surface_c[good] > got.evaporating_c[good]).all()
    assert ((got.duty[good] > 0) & (got.duty[good] <= 1)).all()


def test_coil_at_the_freeze_limit_has_the_known_capacities() -> None:
    # common practice, no source: 27 °C/50 %, 250/320/400/550 m³/h: 2.8/3.5/4.3/5.7 kW, about 60 % sensible
    got = solve_balance(
        "R-134a",
        plant(coil_m3_h=[250, 320, 400, 550], speed_rpm=3500.0, condenser_m3_h=2500, suction_bore_m=0.0159),
    )
    assert (got.status == Status.FREEZE_LIMITED).all()
    np.testing.assert_allclose(got.capacity_w, [2800, 3500, 4300, 5700], rtol=0.03)
    np.testing.assert_allclose(got.sensible_w / got.capacity_w, 0.6, atol=0.03)
    assert (got.duty < 1).all()


def test_hot_condenser_air_at_idle_raises_the_head_and_costs_capacity() -> None:
    # common practice, no source: head 14, 17, 20 bar g and about -14 % for +0, +8, +15 K with 150 cc at idle
    got = solve_balance("R-134a", idle(cond_air_in_c=[35.0, 43.0, 50.0]))
    assert (got.status == Status.FULL).all()
    head_bar_g = (got.discharge_pa - ATMOSPHERE_PA) / BAR
    np.testing.assert_allclose(head_bar_g, [14, 17, 20], atol=1.5)
    loss = 1 - got.capacity_w / got.capacity_w[0]
    assert 0.05 <= loss[1] <= 0.10
    assert loss[2] == pytest.approx(0.14, abs=0.03)


def test_a_kelvin_of_suction_loss_costs_three_to_four_percent() -> None:
    # common practice, no source
    got = solve_balance(
        "R-134a",
        idle(speed_rpm=1500.0, condenser_m3_h=1800, suction_length_m=[0.5, 5.0], suction_bore_m=0.0115),
    )
    lost = got.suction_loss_k[1] - got.suction_loss_k[0]
    share = (1 - got.capacity_w[1] / got.capacity_w[0]) / lost
    assert lost > 0.5
    # the coil warms up and takes part of the loss back, so the plant loses less than the compressor would
    assert 0.01 < share < 0.04


def test_the_compressor_alone_loses_three_to_four_percent_by_a_kelvin() -> None:
    # common practice, no source: at the same coil, the flow that can be pumped
    gas = refrigerant("R-134a")
    before, after = (gas.vapour(t, 8.0).rho for t in (2.0, 1.0))
    assert 1 - after / before == pytest.approx(0.035, abs=0.005)


def test_a_small_blower_step_with_freeze_control_gives_air_near_freezing() -> None:
    # common practice, no source: a good day shows 0.4 °C at the vent, and it is the freeze control at work
    got = solve_balance(
        "R-134a",
        plant(
            coil_m3_h=80,
            air_in_c=18.0,
            rh=0.5,
            freeze_surface_c=-1.0,
            condenser_m3_h=2000,
            cond_air_in_c=20.0,
        ),
    )
    assert got.status == Status.FREEZE_LIMITED
    assert abs(got.air_off_c - 0.4) < 1.0
    assert got.duty < 1


def test_the_three_freeze_modes_cool_alike_and_pay_differently() -> None:
    got = solve_balance(
        "R-134a",
        plant(speed_rpm=3000.0, condenser_m3_h=2500, freeze_mode=MODES, electric=[False, False, True]),
    )
    cycling, regulated, slowed = range(3)
    assert (got.status == Status.FREEZE_LIMITED).all()
    for name in ("capacity_w", "sensible_w", "surface_c", "air_off_c", "evaporating_c"):
        value = getattr(got, name)
        assert np.ptp(value) == pytest.approx(0, abs=1e-9)
    assert got.duty[cycling] < 1 == got.duty[regulated] == got.duty[slowed]
    assert got.speed_rpm[slowed] < 3000 == got.speed_rpm[cycling] == got.speed_rpm[regulated]
    assert got.suction_pa[regulated] < got.suction_pa[cycling]
    assert got.power_w[regulated] > got.power_w[slowed]
    # the valve's throttling is no loss of the line
    assert got.suction_loss_k[regulated] == pytest.approx(got.suction_loss_k[cycling], rel=0.1)


def test_a_speed_controlled_compressor_cycles_at_its_lowest_speed() -> None:
    small = {
        "coil_m3_h": 100,
        "rh": 0.3,
        "condenser_m3_h": 2500,
        "freeze_mode": "speed-controlled",
        "electric": True,
    }
    got = solve_balance("R-134a", plant(**small, speed_rpm=3000.0, speed_min_rpm=[200.0, 1800.0]))
    assert got.speed_rpm[1] == 1800
    assert got.duty[1] < 1 == got.duty[0]
    assert 200 < got.speed_rpm[0] < 1800


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({}, Status.FULL),
        ({"speed_rpm": 3000.0, "condenser_m3_h": 2500, "air_in_c": 25.0}, Status.FREEZE_LIMITED),
        ({"electric": True, "speed_max_rpm": 900.0}, Status.SPEED_LIMITED),
        ({"speed_max_rpm": 800.0}, Status.OVER_SPEED),
        ({"speed_max_rpm": 800.0, "high_pressure_cut_out_pa": 12e5}, Status.HIGH_PRESSURE),
        ({"speed_rpm": 400.0}, Status.OUT_OF_RANGE),
        ({"air_in_c": 2.0, "rh": 0.9}, Status.NO_SOLUTION),
        ({"air_kg_s": 0.0}, Status.INVALID),
    ],
)
def test_status_of_a_point(changes: dict[str, Any], status: Status) -> None:
    got = solve_balance("R-134a", idle(**changes))
    assert got.status == status
    assert bool(np.isnan(got.capacity_w)) == (status in UNSOLVED)


def test_the_discharge_limit_is_a_flag_beside_the_status() -> None:
    got = solve_balance("R-134a", idle(discharge_limit_c=[80.0, 140.0]))
    assert got.over_discharge_limit.tolist() == [True, False]
    assert got.status.tolist() == ["full", "full"]


def test_a_condenser_too_small_for_the_heat_is_out_of_range_with_its_reason() -> None:
    got = solve_balance(
        "R-134a", plant(speed_rpm=4000.0, condenser_m3_h=250, cond_air_in_c=50.0, air_in_c=45.0)
    )
    assert got.status == Status.OUT_OF_RANGE
    assert got.reason.item() == "Condensing would be above 85 °C: the condenser cannot reject the heat."


def test_of_two_states_that_balance_the_lower_condensing_temperature_is_given() -> None:
    # narrow lines and R-1234yf near its critical point: the heat rises faster than the condenser's
    x = plant(
        air_in_c=38.0,
        speed_rpm=3500.0,
        condenser_m3_h=900,
        cond_air_in_c=np.linspace(20, 48, 60),
        suction_bore_m=0.0085,
    )
    got = solve_balance("R-1234yf", x)
    known = np.flatnonzero(solved(got))
    assert known.size > 10
    assert np.array_equal(known, np.arange(known.size))
    rise = np.diff(got.condensing_c[known]) / np.diff(np.linspace(20, 48, 60))[known[:-1]]
    assert (rise > 0).all()
    assert not (got.status == Status.NO_SOLUTION).any()


def test_shapes_follow_the_inputs() -> None:
    grid = plant(coil_m3_h=np.array([[250.0], [400.0]]), cond_air_in_c=np.array([30.0, 40.0, 45.0]))
    got = solve_balance("R-134a", grid)
    assert got.status.shape == got.capacity_w.shape == got.reason.shape == (2, 3)
    one = solve_balance("R-134a", plant(coil_m3_h=400.0, cond_air_in_c=40.0))
    assert one.capacity_w.shape == ()
    assert one.capacity_w == pytest.approx(got.capacity_w[1, 1], rel=1e-9)
    assert solve_balance("R-134a", plant(coil_m3_h=np.array([]))).status.shape == (0,)


def test_a_batch_gives_each_row_what_it_gives_alone() -> None:
    x, _ = random_plants(8, 6).flat()
    together = solve_balance("R-134a", x)
    for k in range(8):
        alone = solve_balance("R-134a", x.take(np.array([k])))
        assert alone.status[0] == together.status[k]
        np.testing.assert_allclose(alone.capacity_w[0], together.capacity_w[k], rtol=1e-8)


def test_r_12_is_refused() -> None:
    with pytest.raises(ValueError, match="only recognised and recovered"):
        solve_balance("R-12", plant())


def test_a_single_point_raises_with_the_reason() -> None:
    fields = {name: getattr(idle(), name) for name in BalanceInput.__dataclass_fields__}
    assert solve_point("R-134a", **fields).status == Status.FULL
    with pytest.raises(ValueError, match="air flow must be above zero"):
        solve_point("R-134a", **(fields | {"air_kg_s": 0.0}))
    with pytest.raises(ValueError, match="there is nothing to cool"):
        solve_point("R-134a", **(fields | {"air_in_c": 1.0, "air_in_w": 0.003}))
    with pytest.raises(ValueError, match="takes one point"):
        solve_point("R-134a", **(fields | {"air_kg_s": [0.1, 0.2]}))


def test_a_warm_process_needs_neither_coolprop_nor_scipy() -> None:
    refrigerant("R-134a")
    script = (
        "import sys\n"
        "from kits.sizing.balance.balance import solve_balance\n"
        "from tests.kits.sizing.plants import plant\n"
        "assert solve_balance('R-134a', plant()).capacity_w > 1000\n"
        "slow = [m for m in ('CoolProp', 'scipy.optimize', 'scipy.interpolate') if m in sys.modules]\n"
        "assert not slow, slow\n"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
