"""Two coils on one circuit: the direct solution, the limits where they are one, and who governs the freeze control."""

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from kits.sizing.balance.balance import BalanceInput, Status, solve_balance
from kits.sizing.balance.two_coils import SecondCoil, TwoCoilsResult, solve_two_coils
from tests.kits.sizing.plants import idle, plant
from tests.reference.direct_balance import Plant
from tests.reference.direct_two_coils import solve_two_directly

COIL_FIELDS = tuple(f.name for f in fields(SecondCoil))[:7]
LINE_PARTS = ("length_m", "bore_m", "k")


def like(x: BalanceInput, **changes: Any) -> SecondCoil:
    """A second coil like the first, but for the changes."""
    return SecondCoil(**({name: getattr(x, name) for name in COIL_FIELDS} | changes))


def at_row(x: BalanceInput, second: SecondCoil, k: int) -> tuple[Plant, tuple[Plant, Plant]]:
    """The inputs of the direct solution of one row: the plant, and each coil with its line to the junction."""
    flat, _ = x.flat()
    whole = Plant(**{f.name: getattr(flat, f.name)[k].item() for f in fields(Plant)})

    def of(name: str) -> float:
        return float(np.broadcast_to(getattr(second, name), flat.air_in_c.shape)[k])

    first = replace(whole, **{f"suction_{part}": of(f"first_{part}") for part in LINE_PARTS})
    other = replace(
        whole,
        **{name: of(name) for name in COIL_FIELDS},
        **{f"suction_{part}": of(f"second_{part}") for part in LINE_PARTS},
    )
    return whole, (first, other)


def bus() -> tuple[BalanceInput, SecondCoil]:
    """A dash coil and a smaller one at the rear on longer pipes, over speeds, airs and blower steps."""
    rng, count = np.random.default_rng(12), 32
    x = plant(
        displacement_cc=rng.uniform(90, 170, count),
        speed_rpm=rng.uniform(900, 3500, count),
        air_in_c=rng.uniform(22, 38, count),
        rh=rng.uniform(0.3, 0.6, count),
        condenser_m3_h=rng.uniform(2000, 2800, count),
        cond_air_in_c=rng.uniform(25, 40, count),
        freeze_surface_c=1.0,
    )
    second = like(
        x,
        evap_ua_air_w_k=x.evap_ua_air_w_k * rng.uniform(0.3, 0.9, count),
        evap_ua_ref_w_k=x.evap_ua_ref_w_k * rng.uniform(0.3, 0.9, count),
        superheat_k=rng.uniform(3, 9, count),
        air_kg_s=x.air_kg_s * rng.uniform(0.3, 0.9, count),
        air_in_c=x.air_in_c + rng.uniform(-2, 4, count),
        air_in_w=x.air_in_w * 0.95,
        first_length_m=0.6,
        first_k=1.0,
        second_length_m=rng.uniform(2, 5, count),
        second_k=2.0,
    )
    return x, second


@pytest.mark.parametrize("gas", ["R-134a", "R-1234yf"])
def test_two_coils_are_those_of_the_direct_solution(gas: str) -> None:
    # oracle: tests.reference.direct_two_coils, CoolProp and brentq
    x, second = bus()
    got = solve_two_coils(gas, x, second)
    assert set(got.status) == {"full", "freeze-limited"}
    for k in range(got.status.size):
        expected = solve_two_directly(gas, *at_row(x, second, k))
        assert (got.status[k] == Status.FREEZE_LIMITED) == expected["frozen"]
        for name in (
            "power_w",
            "duty",
            "suction_pa",
            "discharge_pa",
            "capacity_w",
            "sensible_w",
            "flow_kg_s",
        ):
            np.testing.assert_allclose(getattr(got, name)[..., k], expected[name], rtol=1e-3, err_msg=name)
        for name in ("condensing_c", "discharge_c", "surface_c", "evaporating_c", "air_off_c"):
            np.testing.assert_allclose(getattr(got, name)[..., k], expected[name], atol=0.05, err_msg=name)


def assert_like_one(two: TwoCoilsResult, x: BalanceInput, relative: float) -> None:
    one = solve_balance("R-134a", x)
    assert two.status.tolist() == one.status.tolist()
    np.testing.assert_allclose(two.capacity_w.sum(axis=0), one.capacity_w, rtol=relative)
    np.testing.assert_allclose(two.flow_kg_s.sum(axis=0), one.flow_kg_s, rtol=relative)
    for name in ("power_w", "heat_rejected_w", "duty", "suction_pa", "discharge_pa"):
        np.testing.assert_allclose(getattr(two, name), getattr(one, name), rtol=relative, err_msg=name)
    for name in ("condensing_c", "discharge_c"):
        np.testing.assert_allclose(getattr(two, name), getattr(one, name), atol=100 * relative, err_msg=name)


ONES = {
    "full flow": idle(displacement_cc=np.linspace(60, 170, 6), condenser_m3_h=2200),
    "freeze control": plant(coil_m3_h=np.linspace(200, 450, 6), speed_rpm=3000.0, condenser_m3_h=2500),
}


@pytest.mark.parametrize("name", ONES)
def test_two_equal_halves_are_one_whole(name: str) -> None:
    x = ONES[name]
    half = x.scaled(evap_ua_air_w_k=0.5, evap_ref_air_kg_s=0.5, evap_ua_ref_w_k=0.5, air_kg_s=0.5)
    two = solve_two_coils("R-134a", half, like(half))
    assert_like_one(two, x, 1e-6)
    np.testing.assert_allclose(two.capacity_w[0], two.capacity_w[1], rtol=1e-6)


@pytest.mark.parametrize("name", ONES)
def test_a_second_coil_with_hardly_any_air_is_one_coil(name: str) -> None:
    # its fins are the warmer ones, so that they do not govern the freeze control
    x = ONES[name]
    small = dict.fromkeys(("evap_ua_air_w_k", "evap_ref_air_kg_s", "air_kg_s"), 1e-6)
    little = x.scaled(**small, evap_ua_ref_w_k=3e-7)
    two = solve_two_coils("R-134a", x, like(little))
    assert (two.governing == 0).all()
    assert_like_one(two, x, 1e-5)


def test_swapping_the_coils_swaps_the_answers() -> None:
    x, second = bus()
    first = {name: getattr(x, name) for name in COIL_FIELDS}
    swapped_lines = {f"{a}_{p}": getattr(second, f"{b}_{p}") for a, b in (("first", "second"), ("second", "first"))
                     for p in LINE_PARTS}  # fmt: skip
    swapped = replace(x, **{name: getattr(second, name) for name in COIL_FIELDS})
    got = solve_two_coils("R-134a", x, second)
    other = solve_two_coils("R-134a", swapped, SecondCoil(**first, **swapped_lines))
    np.testing.assert_allclose(other.capacity_w[::-1], got.capacity_w, rtol=1e-7)
    np.testing.assert_allclose(other.power_w, got.power_w, rtol=1e-7)
    assert (other.governing == 1 - got.governing).all()


def test_the_colder_fins_stand_at_the_freeze_limit_and_the_others_are_warmer() -> None:
    x, second = bus()
    got = solve_two_coils("R-134a", x, second)
    frozen = got.status == Status.FREEZE_LIMITED
    assert 0 < frozen.sum() < frozen.size
    assert {0, 1} >= set(got.governing[frozen])
    np.testing.assert_allclose(got.surface_c.min(axis=0)[frozen], 1.0, atol=1e-6)
    assert (got.surface_c.min(axis=0)[~frozen] > 1.0).all()
    assert (got.duty[frozen] < 1).all()
    assert (got.duty[~frozen] == 1).all()


def test_a_longer_pipe_to_the_second_coil_takes_capacity_from_it() -> None:
    x = idle(displacement_cc=130, condenser_m3_h=2400)
    got = solve_two_coils("R-134a", x, like(x, second_length_m=np.array([0.0, 3.0, 6.0])))
    assert (np.diff(got.capacity_w[1]) < 0).all()
    assert (np.diff(got.capacity_w[0]) > 0).all()
    assert (np.diff(got.evaporating_c[1]) > 0).all()


def test_energy_closes() -> None:
    x, second = bus()
    got = solve_two_coils("R-134a", x, second)
    taken = got.capacity_w.sum(axis=0) + got.suction_gain_w + got.power_w
    np.testing.assert_allclose(taken, got.heat_rejected_w, rtol=1e-6)


BAD = [
    ({"air_kg_s": 0.0}, Status.INVALID, "The coil's air flow must be above zero."),
    (
        {"evap_ua_ref_w_k": -1.0},
        Status.INVALID,
        "The coil's conductance on the refrigerant side must be above zero.",
    ),
    ({"superheat_k": float("nan")}, Status.INVALID, "The input superheat_k is not a number."),
    ({"second_bore_m": 0.0}, Status.INVALID, "The suction line's bore must be above zero."),
    ({"air_in_c": 95.0}, Status.OUT_OF_RANGE, "The coil's air inlet lies outside -40 to 80 °C."),
]


@pytest.mark.parametrize(("change", "status", "sentence"), BAD, ids=lambda v: str(v)[:30])
def test_bad_data_of_the_second_coil_are_marked_and_leave_the_neighbour_alone(
    change: dict[str, float], status: Status, sentence: str
) -> None:
    x = idle(displacement_cc=130, condenser_m3_h=2400)
    mixed = {name: np.array([getattr(like(x), name), value]) for name, value in change.items()}
    got = solve_two_coils("R-134a", x, like(x, **mixed))
    assert got.status.tolist() == ["full", status]
    assert got.reason.tolist() == [None, sentence]
    assert np.isfinite(got.power_w).tolist() == [True, False]
    assert np.isnan(got.capacity_w[:, 1]).all()


def test_only_a_freeze_control_that_cycles_is_solved() -> None:
    x = plant(freeze_mode="suction-regulated")
    got = solve_two_coils("R-134a", x, like(x))
    assert got.status == Status.INVALID
    assert got.reason.item() == "With two coils only a freeze control that cycles is solved."
    with pytest.raises(ValueError, match="only recognised"):
        solve_two_coils("R-12", x, like(x))
