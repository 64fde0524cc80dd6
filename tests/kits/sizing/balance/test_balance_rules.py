"""Rules that every plant keeps: monotony, and continuity across every switch of the model."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.sizing.balance.balance import BalanceInput, BalanceResult, Status, solve_balance
from kits.sizing.balance.balance_input import UNSOLVED
from tests.kits.sizing.plants import idle, plant

ROUNDING = 1e-7
CONTINUOUS = (
    "capacity_w",
    "power_w",
    "condensing_c",
    "evaporating_c",
    "air_off_c",
    "flow_kg_s",
    "discharge_c",
)

plants = st.fixed_dictionaries(
    {
        "coil_m3_h": st.floats(150, 600),
        "air_in_c": st.floats(18, 45),
        "rh": st.floats(0.15, 0.75),
        "condenser_m3_h": st.floats(800, 2800),
        "cond_air_in_c": st.floats(22, 48),
        "speed_rpm": st.floats(700, 4000),
        "displacement_cc": st.floats(70, 170),
        "gas": st.sampled_from(["R-134a", "R-1234yf", "R-152a"]),
    }
)


def _pair(base: dict[str, Any], **change: list[float]) -> BalanceResult:
    """The plant twice, a little different."""
    rest = {k: v for k, v in base.items() if k not in change and k != "gas"}
    return solve_balance(base["gas"], plant(**rest, **change))


def _both(result: BalanceResult) -> bool:
    return not np.isin(result.status, UNSOLVED).any()


@settings(max_examples=30, deadline=None)
@given(base=plants, length=st.floats(0.3, 3), more=st.floats(0.1, 3))
def test_a_longer_suction_hose_never_raises_capacity(
    base: dict[str, Any], length: float, more: float
) -> None:
    got = _pair(base, suction_length_m=[length, length + more])
    assert not _both(got) or got.capacity_w[1] <= got.capacity_w[0] * (1 + ROUNDING)


@settings(max_examples=30, deadline=None)
@given(base=plants, factor=st.floats(1.01, 1.5))
def test_a_bigger_compressor_never_lowers_capacity(base: dict[str, Any], factor: float) -> None:
    size = base["displacement_cc"]
    got = _pair(base, displacement_cc=[size, size * factor])
    assert not _both(got) or got.capacity_w[1] >= got.capacity_w[0] * (1 - ROUNDING)


@settings(max_examples=30, deadline=None)
@given(base=plants, hotter=st.floats(0.5, 12))
def test_hotter_condenser_air_never_raises_capacity_and_always_the_head(
    base: dict[str, Any], hotter: float
) -> None:
    air = base["cond_air_in_c"]
    got = _pair(base, cond_air_in_c=[air, air + hotter])
    if _both(got):
        assert got.capacity_w[1] <= got.capacity_w[0] * (1 + ROUNDING)
        assert got.condensing_c[1] > got.condensing_c[0]


@settings(max_examples=25, deadline=None)
@given(
    air=st.floats(33, 40),
    speed=st.floats(750, 1000),
    size=st.floats(110, 150),
    fan=st.floats(900, 1500),
    rh=st.floats(0.3, 0.5),
)
def test_eight_kelvin_at_idle_cost_five_to_ten_percent(
    air: float, speed: float, size: float, fan: float, rh: float
) -> None:
    # common practice, no source
    x = idle(
        air_in_c=air,
        rh=rh,
        cond_air_in_c=[air, air + 8],
        speed_rpm=speed,
        displacement_cc=size,
        condenser_m3_h=fan,
    )
    got = solve_balance("R-134a", x)
    assert got.status.tolist() == ["full", "full"]
    assert 0.05 <= 1 - got.capacity_w[1] / got.capacity_w[0] <= 0.10


def _assert_no_jump(result: BalanceResult, names: tuple[str, ...] = CONTINUOUS) -> None:
    """Along a fine sweep no step is much larger than its neighbours."""
    for name in names:
        steps = np.abs(np.diff(getattr(result, name)))
        typical = np.median(steps) + 1e-9 * np.abs(getattr(result, name)).max()
        assert steps.max() <= 8 * typical, f"{name} jumps by {steps.max():.3g} in steps of {typical:.3g}"


def _sweep(gas: str, x: BalanceInput, statuses: set[str]) -> BalanceResult:
    got = solve_balance(gas, x)
    assert set(got.status) == statuses
    return got


def _around(gas: str, low: float, high: float, switches: Any, build: Any) -> np.ndarray[Any, Any]:
    """A fine range around the place between low and high where `switches` turns true."""
    for _ in range(4):
        places = np.linspace(low, high, 41)
        first = int(np.argmax(switches(solve_balance(gas, build(places)))))
        assert first > 0
        low, high = places[first - 1], places[first]
    return np.linspace(low - 2e-3, low + 2e-3, 81)


@pytest.mark.parametrize("gas", ["R-134a", "R-1234yf", "R-152a"])
@pytest.mark.parametrize("mode", ["cycling", "suction-regulated", "speed-controlled"])
def test_nothing_jumps_where_the_freeze_control_takes_over(gas: str, mode: str) -> None:
    def build(displacement_cc: Any) -> BalanceInput:
        electric = mode == "speed-controlled"
        return plant(
            displacement_cc=displacement_cc, condenser_m3_h=2200, freeze_mode=mode, electric=electric
        )

    around = _around(gas, 20.0, 250.0, lambda r: r.status == Status.FREEZE_LIMITED, build)
    got = _sweep(gas, build(around), {"full", "freeze-limited"})
    frozen = got.status == Status.FREEZE_LIMITED
    switch = np.flatnonzero(np.diff(frozen))
    assert switch.size == 1
    before, after = switch[0], switch[0] + 1
    for name in (*CONTINUOUS, "suction_pa", "duty", "speed_rpm", "torque_nm"):
        value = getattr(got, name)
        nearby = np.abs(np.diff(value))
        largest = max(nearby[:before].max(), nearby[after:].max(), 1e-9 * abs(value[before]))
        assert abs(value[after] - value[before]) <= 1.5 * largest, name


def test_nothing_jumps_where_the_slowest_speed_begins_to_cycle() -> None:
    def build(air_in_c: Any) -> BalanceInput:
        return plant(
            air_in_c=air_in_c,
            rh=0.4,
            condenser_m3_h=2200,
            freeze_mode="speed-controlled",
            electric=True,
            speed_min_rpm=900.0,
            speed_rpm=3500.0,
        )

    around = _around("R-134a", 12.0, 30.0, lambda r: r.speed_rpm > 900.0001, build)
    got = _sweep("R-134a", build(around), {"freeze-limited"})
    assert 0 < (got.duty < 1).sum() < around.size
    _assert_no_jump(got, ("capacity_w", "condensing_c", "evaporating_c", "air_off_c", "flow_kg_s"))


@pytest.mark.parametrize("gas", ["R-134a", "R-1234yf"])
def test_nothing_jumps_where_the_pressure_switch_would_open(gas: str) -> None:
    def build(cond_air_in_c: Any) -> BalanceInput:
        return idle(cond_air_in_c=cond_air_in_c, high_pressure_cut_out_pa=18e5)

    around = _around(gas, 25.0, 55.0, lambda r: r.status == Status.HIGH_PRESSURE, build)
    got = _sweep(gas, build(around), {"full", "high pressure"})
    _assert_no_jump(got)


@pytest.mark.parametrize("frozen", [True, False])
def test_nothing_jumps_where_the_coil_becomes_wet(frozen: bool) -> None:
    speed, size = (3500.0, 150) if frozen else (800.0, 70)

    def build(rh: Any) -> BalanceInput:
        return plant(air_in_c=32.0, rh=rh, speed_rpm=speed, displacement_cc=size, condenser_m3_h=2600)

    rh = _around("R-134a", 0.05, 0.6, lambda r: r.latent_w > 1e-6, build)
    got = _sweep("R-134a", build(rh), {"freeze-limited"} if frozen else {"full"})
    assert 0 < (got.latent_w > 1e-9).sum() < rh.size
    steps = np.abs(np.diff(got.capacity_w))
    # a wet coil takes more heat with every share of humidity, a dry one hardly: a kink, but no step
    assert steps.max() <= 1.2 * steps[-5:].max()
    assert got.latent_w[got.latent_w > 1e-9].min() < 2 * np.diff(got.latent_w)[-1]


def test_nothing_jumps_where_the_surface_passes_from_ice_to_water() -> None:
    surface = np.linspace(-0.5, 0.5, 101)
    got = _sweep(
        "R-134a", plant(freeze_surface_c=surface, speed_rpm=3500.0, condenser_m3_h=2500), {"freeze-limited"}
    )
    _assert_no_jump(got)
