"""Refrigerant hoses: bores, volume, velocity, loss, oil return, and what a metre more costs."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.sizing.gas.hoses import (
    hose_end_loss,
    hose_sizes,
    hose_velocity_m_s,
    hose_volume_ml,
    next_size_up,
    nominal_bore_mm,
    oil_return_velocity_m_s,
    one_metre_more_k,
    suction_hose_loss_k,
)
from kits.sizing.gas.refrigerant import refrigerant
from tests.by_name import by_name
from tests.reference import check, load

GAS = refrigerant("R-134a")


def test_the_bores_are_those_of_their_size_and_no_sixteenths() -> None:
    # the inch fraction and the bore are the same thing to the tenth of a millimetre, a maker's size to the whole one
    for size in hose_sizes():
        over, under = (int(n) for n in size.inch.split("/"))
        assert size.bore_mm == pytest.approx(25.4 * over / under, abs=0.06)
        assert size.nominal_mm == round(size.bore_mm)
        # a refrigerant hose is narrower or as wide as its number of sixteenths, never wider
        assert size.bore_mm <= 25.4 * int(size.size.removeprefix("#")) / 16 * 0.9
    assert nominal_bore_mm("#6") != pytest.approx(25.4 * 6 / 16, rel=0.1)


def test_the_next_size_up_is_the_next_and_above_the_largest_there_is_none() -> None:
    chain = [next_size_up(s.bore_mm) for s in hose_sizes()]
    assert [s.size if s else None for s in chain] == ["#8", "#10", "#12", None]
    # a maker's 8 mm is still a #6, its 13 mm a #10
    assert [next_size_up(mm).size for mm in (8.0, 10.0, 13.0)] == ["#8", "#10", "#12"]  # type: ignore[union-attr]
    assert nominal_bore_mm("#7") is None


@pytest.mark.parametrize(
    "line", [c for c in load("lines.json") if c["id"].startswith("line-suction")], ids=lambda c: c["id"]
)
def test_suction_hoses_agree_with_the_reference(line: dict[str, Any]) -> None:
    # source: Darcy-Weisbach with Colebrook, CoolProp 8.0.0
    known = line["inputs"]
    gas, superheat = refrigerant(known["fluid"]), known["T_gas"] - known["T_sat"]
    bore_mm = 1000 * known["D_m"]
    loss = suction_hose_loss_k(
        gas,
        flow_kg_s=known["m_kg_s"],
        length_m=known["L_m"],
        bore_mm=bore_mm,
        loss_factor=0.0,
        evaporating_c=known["T_sat"],
        superheat_k=superheat,
    )
    check(loss, line["outputs"]["sat_temp_loss_K"], line["tolerance"], "sat_temp_loss_K")
    velocity = hose_velocity_m_s(known["m_kg_s"], bore_mm, line["outputs"]["rho"])
    check(velocity, line["outputs"]["V_m_s"], line["tolerance"], "V_m_s")


def test_a_metre_of_each_size_holds_what_geometry_says() -> None:
    # parts' sheets round to 49, 83, 127 and 199 ml
    volumes = hose_volume_ml(np.array([s.bore_mm for s in hose_sizes()]), 1.0)
    assert np.round(volumes).tolist() == [49, 83, 127, 199]


def test_a_suction_loss_of_two_kelvin_is_where_practice_has_it() -> None:
    # common practice, no source: #10 5 m 3.3 K, #12 5 m 1.2 K at 45 g/s; -5 °C evaporating is assumed with them
    loss = suction_hose_loss_k(
        GAS,
        flow_kg_s=0.045,
        length_m=5.0,
        bore_mm=np.array([12.7, 15.9]),
        loss_factor=0.0,
        evaporating_c=-5.0,
        superheat_k=10.0,
    )
    np.testing.assert_allclose(loss, [3.3, 1.2], rtol=0.15)
    assert loss[0] > 2 > loss[1]


@settings(max_examples=40, deadline=None)
@given(st.floats(0.005, 0.06), st.floats(0.3, 6), st.floats(10, 16), st.floats(0, 10))
def test_a_longer_narrower_or_fuller_hose_never_loses_less(
    flow: float, length: float, bore: float, evaporating: float
) -> None:
    args = (1.5, evaporating, 5.0)
    base = by_name(suction_hose_loss_k, GAS, flow, length, bore, *args)
    assert by_name(suction_hose_loss_k, GAS, flow, length + 0.5, bore, *args) > base
    assert by_name(suction_hose_loss_k, GAS, flow, length, 0.95 * bore, *args) > base
    assert by_name(suction_hose_loss_k, GAS, 1.1 * flow, length, bore, *args) > base


def test_one_metre_more_is_the_difference_it_makes() -> None:
    args = (12.7, 1.5, 2.0, 5.0)
    more = by_name(one_metre_more_k, GAS, 0.04, 2.0, *args)
    longer, now = (by_name(suction_hose_loss_k, GAS, 0.04, metres, *args) for metres in (3.0, 2.0))
    assert more == pytest.approx(float(longer - now), rel=1e-12)
    ten = by_name(suction_hose_loss_k, GAS, 0.04, 12.0, *args) - now
    # the saturation curve is steeper at the lower pressure
    assert 10 * more < ten < 11 * more


def test_volume_and_velocity_give_the_time_that_the_mass_takes_to_pass() -> None:
    flow, bore, length, rho = 0.03, 12.7, 2.0, 16.0
    seconds = hose_volume_ml(bore, length) * 1e-6 * rho / flow
    assert length / hose_velocity_m_s(flow, bore, rho) == pytest.approx(float(seconds), rel=1e-12)


def test_oil_return_follows_its_limiting_cases() -> None:
    # as heavy as the oil, the gas lifts it without moving; four times the bore needs twice the velocity
    assert oil_return_velocity_m_s(12.7, 949.999, 950.0) == pytest.approx(0, abs=1e-3)
    one, four = oil_return_velocity_m_s(np.array([12.7, 50.8]), 16.0, 950.0)
    assert four == pytest.approx(2 * one)
    # common practice, no source: 2.5 m/s in level lines, 5 in risers, cover it for the bores of cars
    assert 1 < one < 5


@pytest.mark.parametrize("bad", [(0, 16, 950), (12.7, 0, 950), (12.7, 960, 950), (float("nan"), 16, 950)])
def test_oil_return_refuses_what_is_no_line(bad: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="Oil return needs"):
        oil_return_velocity_m_s(*bad)
    assert np.isnan(oil_return_velocity_m_s(*(np.array([v], dtype=float) for v in bad))).all()


def test_an_end_loses_more_the_more_it_is_bent_to_either_side() -> None:
    # by hand, with losses that differ from the defaults: 0.4 straight, 0.4 + 0.3 at half of 90 degrees, 0.4 + 0.6
    ends = hose_end_loss(np.array([0, 45, -45, 90, 180]), 0.4, 0.6)
    assert ends == pytest.approx([0.4, 0.7, 0.7, 1.0, 1.6])


def test_a_hose_without_bore_or_with_a_negative_length_is_refused() -> None:
    with pytest.raises(ValueError, match="bore above zero"):
        hose_volume_ml(0, 1)
    with pytest.raises(ValueError, match="bore above zero"):
        hose_volume_ml(7.9, -1)
    with pytest.raises(ValueError, match="flow not negative"):
        hose_velocity_m_s(-0.01, 12.7, 16)
    assert np.isfinite(hose_velocity_m_s(np.array([0.01, -0.01]), 12.7, 16)).tolist() == [True, False]
