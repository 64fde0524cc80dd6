"""Which limit holds: the lever of which a little more brings most, or the freeze control."""

import numpy as np
import pytest

from kits.sizing.balance.balance import BalanceInput, Status, solve_balance
from kits.sizing.balance.limits import limiting_factor
from tests.kits.sizing.plants import idle, plant


def limit_of(x: BalanceInput) -> object:
    return limiting_factor("R-134a", x, solve_balance("R-134a", x)).item()


def test_a_freeze_limited_point_is_held_by_the_freeze_control() -> None:
    assert limit_of(plant(air_in_c=22.0, speed_rpm=3000.0, condenser_m3_h=2500)) == "freeze"


def test_also_where_high_pressure_or_over_speed_is_named_first() -> None:
    frozen = {"air_in_c": 22.0, "speed_rpm": 3000.0, "condenser_m3_h": 2500}
    x = plant(**frozen, high_pressure_cut_out_pa=[5e5, 29.5e5], speed_max_rpm=[6500.0, 2500.0])
    got = solve_balance("R-134a", x)
    assert got.status.tolist() == [Status.HIGH_PRESSURE, Status.OVER_SPEED]
    assert limiting_factor("R-134a", x, got).tolist() == ["freeze", "freeze"]


@pytest.mark.parametrize(
    ("x", "limit"),
    [
        (idle(displacement_cc=60, condenser_m3_h=2500), "compressor"),
        (
            idle(speed_rpm=1500.0, coil_m3_h=500, condenser_m3_h=800, cond_ua_w_k=300.0),
            "condenser",
        ),
        (
            idle(
                displacement_cc=170,
                speed_rpm=2200.0,
                coil_m3_h=180,
                condenser_m3_h=2500,
                freeze_surface_c=-8.0,
            ),
            "coil air",
        ),
    ],
)
def test_the_obvious_limit_is_named(x: BalanceInput, limit: str) -> None:
    assert limit_of(x) == limit


def test_the_named_lever_really_brings_most() -> None:
    x = idle(displacement_cc=[60, 120, 170], speed_rpm=[900.0, 1500.0, 2500.0])
    base = solve_balance("R-134a", x).capacity_w
    gains = {
        "compressor": solve_balance("R-134a", x.scaled(displacement_m3=1.05)).capacity_w / base,
        "coil air": solve_balance("R-134a", x.scaled(air_kg_s=1.05)).capacity_w / base,
        # conductance and air both up by 5 %
        "condenser": solve_balance(
            "R-134a", x.scaled(cond_ua_w_k=1.05, cond_air_kg_s=1.05, cond_ref_air_kg_s=1.05)
        ).capacity_w
        / base,
    }
    named = limiting_factor("R-134a", x, solve_balance("R-134a", x))
    for k, name in enumerate(named):
        assert gains[name][k] == max(g[k] for g in gains.values())


def test_points_without_numbers_have_no_limit_and_shapes_are_kept() -> None:
    x = idle(air_kg_s=np.array([[0.1, 0.0], [np.nan, 0.1]]))
    got = limiting_factor("R-134a", x, solve_balance("R-134a", x))
    assert got.shape == (2, 2)
    assert got[0, 1] is None
    assert got[1, 0] is None
    assert got[0, 0] == got[1, 1] == "compressor"
