"""The condensing temperature alone: it balances the condenser, from below, or there is none."""

from typing import Any

import numpy as np
from scipy.optimize import brentq

from kits.sizing.balance.condensing_search import TIGHT, CondensingSearch, estimate_c
from kits.sizing.gas.refrigerant import refrigerant
from tests.kits.sizing.plants import plant
from vehicles.physics.arrays import FloatArray, IntArray

TOO_SMALL = {"condenser_m3_h": 250.0, "cond_air_in_c": 50.0}


def search_of(**changes: Any) -> CondensingSearch:
    flat, _ = plant(**changes).flat()
    return CondensingSearch(refrigerant("R-134a"), flat)


def every(search: CondensingSearch) -> tuple[Any, FloatArray, IntArray]:
    return search.at_speed, search.x.speed_rpm, np.arange(search.count)


def test_it_is_where_the_condenser_rejects_what_arrives() -> None:
    # oracle: scipy.optimize.brentq on the same pass
    search = search_of(cond_air_in_c=np.linspace(20, 45, 6), condenser_m3_h=2200.0)
    found = search.condensing(*every(search), TIGHT)
    assert not found.too_hot.any()
    for k in range(search.count):

        def surplus(t: float, k: int = k) -> float:
            state = search.at_speed(search.x.speed_rpm[[k]], np.array([t]), np.array([k]))
            return float((state.rejected_w - state.heat_w)[0])

        expected = brentq(surplus, search.x.cond_air_in_c[k] + 1, 80, xtol=1e-10)
        np.testing.assert_allclose(found.condensing_c[k], expected, atol=1e-7)
        np.testing.assert_allclose(found.lift_k[k], expected - search.x.cond_air_in_c[k], rtol=1e-7)


def test_what_is_seen_at_least_lies_below_the_balance_and_pumps_more() -> None:
    search = search_of(cond_air_in_c=np.linspace(20, 45, 6), condenser_m3_h=2200.0)
    least, found = search.at_least(*every(search)), search.condensing(*every(search), TIGHT)
    assert (least.condensing_c < found.condensing_c).all()
    assert (least.pumped > found.pumped).all()


def test_a_condenser_too_small_for_the_heat_is_too_hot_and_leaves_the_others_alone() -> None:
    search = search_of(condenser_m3_h=np.array([250.0, 2200.0]), cond_air_in_c=np.array([50.0, 35.0]))
    found = search.condensing(*every(search), TIGHT)
    assert found.too_hot.tolist() == [True, False]
    assert found.condensing_c[0] == search.ceiling_c
    assert search.at_least(*every(search_of(**TOO_SMALL))).too_hot.tolist() == [True]


def test_the_lowest_of_several_roots_is_found_and_a_narrow_hump_is_not_overlooked() -> None:
    search = search_of()
    ceiling = search.ceiling_c
    # rises through 50 and falls through 60; above zero only between 61.9 and 63.1; never
    surplus = (
        lambda t: (t - 50) * (60 - t) / 100,
        lambda t: 0.03 - 0.05 * np.abs(t - 62.5),
        lambda t: -0.2 - 0 * t,
    )
    found, too_hot = search.lowest_condensing(
        lambda t, rows: np.choose(rows, [f(t) for f in surplus]), np.full(3, 35.0)
    )
    np.testing.assert_allclose(found, [50, 61.9, ceiling], atol=1e-6)
    assert too_hot.tolist() == [False, False, True]


def test_the_estimate_is_a_good_place_to_begin() -> None:
    search = search_of(cond_air_in_c=np.linspace(20, 45, 6), condenser_m3_h=2200.0)
    found = search.condensing(*every(search), TIGHT)
    np.testing.assert_allclose(estimate_c(search.plants, search.at_freeze), found.condensing_c, atol=3.0)
