"""The heater matrix against ht's effectiveness, heat balances and limits."""

from dataclasses import replace

import ht
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.heat.heating import (
    CP_AIR_J_KGK,
    MatrixModel,
    RatedMatrixPoint,
    air_mass_flow_kg_s,
    fit_matrix,
    heat_against_need,
    matrix_conductance_w_k,
    matrix_heat,
    vent_with_heat_c,
)
from kits.sizing.words.defaults import default_value
from tests.reference import case, check

MODEL = MatrixModel(
    air_k_w=0.0095,
    water_k_w=0.0018,
    ref_air_kg_s=0.108,
    ref_coolant_l_min=8.0,
    air_exponent=0.6,
    water_exponent=0.8,
    worst_error_share=0.0,
    points=3,
)
SHEET = (
    RatedMatrixPoint(200, 8, 0, 90, 3900),
    RatedMatrixPoint(300, 8, 0, 90, 5200),
    RatedMatrixPoint(300, 4, 0, 90, 4550),
)
air_flows = st.floats(0.03, 0.25)
coolant_flows = st.floats(0.5, 15)


def rated_from(model: MatrixModel, flow: float, coolant: float) -> RatedMatrixPoint:
    water = default_value("rating_water_j_lk")
    heat = matrix_heat(model, air_mass_flow_kg_s(flow, 0.0), 0.0, coolant, 90.0, water).heat_w
    return RatedMatrixPoint(flow, coolant, 0.0, 90.0, float(heat))


@pytest.mark.parametrize(
    ("name", "default"), [("heat-water-90", "rating_water_j_lk"), ("heat-glycol-85", "coolant_j_lk")]
)
def test_the_heat_of_a_litre_is_that_of_the_property_library(name, default):
    known = case("heating.json", name)  # CoolProp
    check(default_value(default), known["outputs"]["heat_J_lK"], known["tolerance"], "heat_J_lK")


def test_three_hundred_watts_past_the_valve_are_three_kelvin_at_the_vents():
    known = case("heating.json", "heat-leak-300")  # common practice, no source
    given_ = known["inputs"]
    air = air_mass_flow_kg_s(given_["airflow_m3_h"], given_["air_C"])
    check(
        vent_with_heat_c(8.0, given_["leak_W"], air) - 8.0,
        known["outputs"]["rise_K"],
        known["tolerance"],
        "rise_K",
    )


@given(air=air_flows, coolant=coolant_flows)
def test_the_heat_for_a_kelvin_is_that_of_an_independent_library(air, coolant):
    # ht: effectiveness_from_NTU, crossflow with both streams unmixed, as an integral of its own
    per_litre = default_value("coolant_j_lk")
    c = sorted([air * CP_AIR_J_KGK, coolant / 60 * per_litre])
    resistance = 0.0095 * (air / 0.108) ** -0.6 + 0.0018 * (coolant / 8.0) ** -0.8
    effectiveness = ht.effectiveness_from_NTU(1 / resistance / c[0], c[0] / c[1], subtype="crossflow")
    assert matrix_conductance_w_k(MODEL, air, coolant) == pytest.approx(effectiveness * c[0], rel=1e-4)


@given(air=air_flows, coolant=coolant_flows, inlet=st.floats(-20, 30), water=st.floats(40, 100))
def test_what_the_coolant_gives_the_air_takes(air, coolant, inlet, water):
    found = matrix_heat(MODEL, air, inlet, coolant, water)
    to_air = air * CP_AIR_J_KGK * (found.air_out_c - inlet)
    from_coolant = coolant / 60 * default_value("coolant_j_lk") * (water - found.coolant_out_c)
    assert to_air == pytest.approx(float(found.heat_w), rel=1e-9, abs=1e-6)
    assert from_coolant == pytest.approx(float(found.heat_w), rel=1e-9, abs=1e-6)
    assert inlet <= found.air_out_c <= water


@given(air=air_flows, coolant=coolant_flows, more=st.floats(1.01, 2))
def test_more_air_or_more_coolant_never_gives_less_heat(air, coolant, more):
    least = float(matrix_conductance_w_k(MODEL, air, coolant))
    assert matrix_conductance_w_k(MODEL, air * more, coolant) >= least * (1 - 1e-9)
    assert matrix_conductance_w_k(MODEL, air, coolant * more) >= least * (1 - 1e-9)


def test_a_shut_valve_leaves_air_and_coolant_as_they_are():
    assert matrix_heat(MODEL, 0.1, 5.0, 0.0, 90.0) == (0.0, 5.0, 90.0)


def test_a_trickle_of_coolant_gives_all_the_heat_it_has():
    found = matrix_heat(replace(MODEL, water_k_w=1e-6), 0.1, 0.0, 0.2, 90.0)
    assert found.coolant_out_c == pytest.approx(0.0, abs=1.5)


def test_scalars_give_scalars_and_arrays_are_marked_row_by_row():
    assert np.ndim(matrix_conductance_w_k(MODEL, 0.1, 8.0)) == 0
    found = matrix_conductance_w_k(MODEL, [0.1, 0.0, np.nan, 0.1], [8.0, 8.0, 8.0, -1.0])
    assert np.isfinite(found).tolist() == [True, False, False, False]
    assert found[0] == matrix_conductance_w_k(MODEL, 0.1, 8.0)


@pytest.mark.parametrize(("air", "coolant"), [(0.0, 8.0), (-0.1, 8.0), (0.1, -1.0), (float("nan"), 8.0)])
def test_flows_that_cannot_be_are_refused(air, coolant):
    with pytest.raises(ValueError, match="air flow above 0"):
        matrix_conductance_w_k(MODEL, air, coolant)


def test_more_transfer_units_than_the_relation_is_given_for_are_refused():
    with pytest.raises(ValueError, match="10 transfer units"):
        matrix_conductance_w_k(replace(MODEL, air_k_w=1e-5, water_k_w=1e-5), 0.1, 8.0)


def test_air_that_does_not_move_has_no_temperature_behind_a_heater():
    with pytest.raises(ValueError, match="above 0"):
        vent_with_heat_c(8.0, 300.0, 0.0)


def test_a_fit_gives_the_matrix_back_its_points_were_made_from():
    points = [rated_from(MODEL, flow, coolant) for flow, coolant in ((180, 3), (180, 9), (300, 5), (380, 9))]
    found = fit_matrix(points)
    assert found.worst_error_share < 1e-6
    assert found.assumed == ()
    left_out = rated_from(MODEL, 250, 7)
    water = default_value("rating_water_j_lk")
    back = matrix_heat(found, air_mass_flow_kg_s(250, 0.0), 0.0, 7, 90.0, water).heat_w
    assert back == pytest.approx(left_out.heat_w, rel=1e-5)


def test_a_data_sheet_comes_back_within_the_error_that_is_told():
    found = fit_matrix(SHEET)
    assert 0.0 < found.worst_error_share < 0.02
    for p in SHEET:
        air = air_mass_flow_kg_s(p.airflow_m3_h, p.air_in_c)
        water = default_value("rating_water_j_lk")
        back = matrix_heat(found, air, p.air_in_c, p.coolant_flow_l_min, p.water_in_c, water).heat_w
        assert back == pytest.approx(p.heat_w, rel=found.worst_error_share * 1.001)


def test_a_point_left_out_comes_back_near_what_the_sheet_says():
    found = fit_matrix(SHEET[1:])
    back = matrix_heat(
        found, air_mass_flow_kg_s(200, 0.0), 0.0, 8, 90.0, default_value("rating_water_j_lk")
    ).heat_w
    assert back == pytest.approx(SHEET[0].heat_w, rel=0.03)


def test_one_point_comes_back_exactly_and_the_water_side_is_said_to_be_assumed():
    found = fit_matrix(SHEET[1:2])
    assert found.worst_error_share < 1e-9
    assert "one coolant flow" in found.assumed[0]


def test_where_one_coolant_flow_is_rated_a_fifth_of_the_resistance_is_the_waters():
    found = fit_matrix(SHEET[:2])
    assert found.air_k_w == pytest.approx(4 * found.water_k_w)
    assert "20 % of the resistance is taken to be the water's" in found.assumed[0]


@pytest.mark.parametrize(
    "point",
    [
        RatedMatrixPoint(0, 8, 0, 90, 5000),
        RatedMatrixPoint(300, 8, 90, 90, 5000),
        RatedMatrixPoint(300, 8, 0, 90, float("nan")),
        RatedMatrixPoint(300, 8, 0, 90, 20000),
    ],
)
def test_a_rated_point_that_cannot_be_is_refused(point):
    with pytest.raises(ValueError, match="rated point"):
        fit_matrix([point])


def test_no_rated_point_is_no_matrix():
    with pytest.raises(ValueError, match="at least one"):
        fit_matrix([])


@pytest.mark.parametrize(
    ("heat", "word"),
    [(4990.0, "not enough"), (5000.0, "marginal"), (5990.0, "marginal"), (6001.0, "strong enough")],
)
def test_the_word_follows_the_margin_and_the_reserve(heat, word):
    found = heat_against_need(heat, 5000.0, 0.2)
    assert found.word == word
    assert found.margin_share == pytest.approx(heat / 5000 - 1)


def test_a_car_that_needs_no_heat_has_enough_and_a_missing_number_is_refused():
    assert heat_against_need(0.0, -100.0, 0.2).word == "strong enough"
    with pytest.raises(ValueError, match="numbers"):
        heat_against_need(float("nan"), 5000.0, 0.2)
