"""What a gas asks for beyond its physics: climate, fire, oil."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.gases import (
    climate_effects,
    co2_equivalent_kg,
    gas_in_cabin_kg_m3,
    is_refused_in_cabin_air,
    lower_flammable_limit_kg_m3,
    oil_balance_ml,
    oil_to_add_ml,
    oils_for,
)
from kits.sizing.refrigerant import known_refrigerants
from tests.reference import case, check


@pytest.mark.parametrize(("case_id", "basis"), [("gwp-ar4", "fourth assessment"), ("gwp-eu-573", "2024/573")])
def test_the_potentials_are_those_of_their_basis(case_id: str, basis: str) -> None:
    # source: IPCC AR4 WG1 table 2.14; Regulation (EU) 2024/573 annexes I and II (from memory)
    known = case("charge.json", case_id)
    for gas, expected in known["outputs"].items():
        effect = next(e for e in climate_effects(gas) if basis in e.basis)
        check(effect.gwp, expected, known["tolerance"], gas)
        assert effect.source


def test_the_co2_equivalent_is_mass_times_potential() -> None:
    # source: definition
    known = case("charge.json", "gwp-co2e")
    got = co2_equivalent_kg(1000 * known["inputs"]["charge_kg"], known["inputs"]["gwp"])
    check(got, known["outputs"]["CO2e_kg"], known["tolerance"], "CO2e_kg")
    check(got / 1000, known["outputs"]["CO2e_t"], known["tolerance"], "CO2e_t")


def test_every_known_gas_has_a_potential_and_one_that_nobody_knows_has_none() -> None:
    assert all(climate_effects(gas) for gas in known_refrigerants())
    assert climate_effects("R-999") == ()


def test_the_limits_of_the_gases_that_burn() -> None:
    # from memory: ISO 817
    limits = {gas: lower_flammable_limit_kg_m3(gas) for gas in known_refrigerants()}
    assert limits == {"R-134a": None, "R-12": None, "R-1234yf": 0.289, "R-152a": 0.130}
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
