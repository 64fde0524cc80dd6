"""What a gas asks for beyond its physics: climate, fire, oil."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.gas.gases import (
    climate_effects,
    co2_equivalent_kg,
    gas_in_cabin_kg_m3,
    is_refused_in_cabin_air,
    lower_flammable_limit_kg_m3,
    oil_balance_ml,
    oil_to_add_ml,
    oils_for,
)
from kits.sizing.gas.refrigerant import known_refrigerants
from tests.reference import case, check


@pytest.mark.parametrize("nth", range(3), ids=["R-134a", "R-12", "R-152a"])
def test_a_potential_follows_from_forcing_and_lifetime(nth: int) -> None:
    # IPCC AR4 WG1 chapter 2 (from memory); a gas that decays forces RE·τ·(1 − exp(−100/τ)) in a hundred years
    known = case("charge.json", "gwp-ar4-forcing")
    i = known["inputs"]
    gas, lifetime = i["gas"][nth], i["lifetime_years"][nth]
    ppb_kg = 1e-9 * i["atmosphere_kg"] * i["molar_mass"][nth] / i["air_molar_mass"]
    forcing = i["forcing_w_m2_ppb"][nth] / ppb_kg * lifetime * (1 - np.exp(-100 / lifetime))
    for effect in climate_effects(gas):
        check(effect.gwp, forcing / i["co2_w_years_m2_kg"], known["tolerance"], "gwp")
        assert effect.source


def test_the_gas_that_lasts_for_days_has_nearly_no_effect_on_either_basis() -> None:
    assert [effect.gwp < 5 for effect in climate_effects("R-1234yf")] == [True, True]


@pytest.mark.parametrize(("gwp", "grams"), [(1430, 3500), (3922, 1270), (2088, 2390), (1774, 2820)])
def test_five_tonnes_of_carbon_dioxide_are_the_charges_that_are_published(gwp: float, grams: float) -> None:
    # guides to the regulation of leak checks, from memory: 5 t are 3.5 kg of R-134a, 1.27 kg of R-404A, 2.39 kg of
    # R-410A and 2.82 kg of R-407C
    assert co2_equivalent_kg(grams, gwp) == pytest.approx(5000, rel=0.005)


def test_every_known_gas_has_a_potential_and_one_that_nobody_knows_has_none() -> None:
    assert all(climate_effects(gas) for gas in known_refrigerants())
    assert climate_effects("R-999") == ()


def test_the_limits_of_the_gases_that_burn() -> None:
    # from memory: 6.2 and 4.8 % by volume (ISO 817); a kilomole of gas fills 24.465 m³ at 25 °C and one atmosphere
    by_volume = {"R-1234yf": 0.062 * 114.04, "R-152a": 0.048 * 66.05}
    for gas in known_refrigerants():
        limit = lower_flammable_limit_kg_m3(gas)
        assert limit == (pytest.approx(by_volume[gas] / 24.465, rel=0.01) if gas in by_volume else None)
    assert [gas for gas in known_refrigerants() if is_refused_in_cabin_air(gas)] == ["R-152a"]


def test_a_charge_in_a_cabin_stands_at_the_limit_where_the_mass_balance_says() -> None:
    assert gas_in_cabin_kg_m3(578, 2.0) == pytest.approx(0.289)
    found = gas_in_cabin_kg_m3(np.array([500.0, 1000.0]), 2.0)
    assert found[1] == pytest.approx(2 * found[0])


@pytest.mark.parametrize("bad", [(0, 2), (-5, 2), (500, 0), (500, -1), (float("nan"), 2)])
def test_gas_without_a_cabin_or_a_charge_is_refused(bad: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        gas_in_cabin_kg_m3(*bad)
    assert np.isnan(gas_in_cabin_kg_m3(*(np.array([v], dtype=float) for v in bad))).all()


def test_a_co2_equivalent_without_a_charge_is_refused() -> None:
    with pytest.raises(ValueError, match="charge above zero"):
        co2_equivalent_kg(0, 1430)


@given(st.floats(0, 300), st.floats(0, 300), st.floats(0, 300))
def test_the_oil_that_is_to_be_added_or_drained_makes_the_total(
    prefill: float, total: float, more: float
) -> None:
    to_add = float(oil_to_add_ml(total, prefill))
    made = oil_balance_ml(prefill, max(to_add, 0.0), max(-to_add, 0.0))
    assert made == pytest.approx(total, abs=1e-9)
    assert oil_balance_ml(prefill, more, more) == pytest.approx(prefill, abs=1e-9)


@pytest.mark.parametrize("bad", [(-1, 0, 0), (100, -1, 0), (100, 0, -1), (100, 20, 121)])
def test_no_more_oil_is_drained_than_is_there(bad: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="Oil amounts"):
        oil_balance_ml(*bad)


def test_the_oil_goes_with_the_gas_and_high_voltage_takes_ester_only() -> None:
    # common practice, from memory
    assert oils_for("R-134a", is_high_voltage=False) == ("pag", "ester")
    assert {oils_for(gas, is_high_voltage=True) for gas in known_refrigerants()} == {("ester",)}
    assert oils_for("R-999", is_high_voltage=False) == ()
