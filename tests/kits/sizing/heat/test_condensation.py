"""Condensation against ASHRAE Fundamentals 2021 ch. 23 and Cengel's worked example, and its limiting cases."""

from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.heat import condensation
from tests.by_name import by_name
from tests.reference import case, check, load
from vehicles.physics import air

TABLE_4 = [c["id"] for c in load("condensation.json") if c["id"].startswith("cond-ashrae-t4")]
INF = float("inf")
NAN = float("nan")


@pytest.mark.parametrize("name", TABLE_4)
def test_thickness_and_dew_point_of_the_handbooks_table_are_met(name: str) -> None:
    # ASHRAE Handbook Fundamentals 2021 (SI) ch. 23 Table 4
    one = case("condensation.json", name)
    i = one["inputs"]
    dew = air.dew_point_c(air.humidity_ratio(i["T_air"], i["RH_pct"] / 100))
    got = condensation.flat_thickness_mm(
        cold_c=i["T_fluid"],
        air_c=i["T_air"],
        surface_c=dew,
        cold_film_w_m2k=INF,
        bare_m2k_w=0.0,
        insulation_w_mk=i["k"],
        air_film_w_m2k=i["h_surface"],
    )
    check(dew, one["outputs"]["T_dp"], one["tolerance"], "T_dp")
    check(got, one["outputs"]["thickness_formula_mm"], one["tolerance"], "thickness_formula_mm")
    check(got, one["outputs"]["thickness_mm"], one["tolerance"], "thickness_mm")


@pytest.mark.parametrize("name", TABLE_4)
def test_with_the_tables_thickness_the_surface_is_at_the_dew_point(name: str) -> None:
    i, out = case("condensation.json", name)["inputs"], case("condensation.json", name)["outputs"]
    wall = condensation.flat_wall(
        i["T_fluid"], i["T_air"], INF, out["thickness_formula_mm"] / 1000 / i["k"], i["h_surface"]
    )
    assert condensation.warmer_by_k(wall.second_c, out["T_dp"]) == pytest.approx(0, abs=0.01)


def test_insulation_round_a_pipe_meets_the_worked_example() -> None:
    # Cengel, Heat and Mass Transfer, ch. 7, "Effect of Insulation on Surface Temperature" (a hot pipe)
    one = case("condensation.json", "cond-cengel-7-9")
    i = one["inputs"]
    got = condensation.round_thickness_mm(
        cold_c=i["T_in"],
        air_c=i["T_air"],
        surface_c=i["T_surface"],
        inside_film_w_m2k=i["h_i"],
        bore_radius_m=i["r1"],
        pipe_radius_m=i["r2"],
        pipe_w_mk=i["k_pipe"],
        insulation_w_mk=i["k_ins"],
        air_film_w_m2k=i["h_o"],
    )
    check(got / 10, one["outputs"]["thickness_cm"], one["tolerance"], "thickness_cm")
    check(i["r2"] + got / 1000, one["outputs"]["r3_m"], one["tolerance"], "r3_m")
    wall = condensation.round_wall(
        inside_c=i["T_in"],
        outside_c=i["T_air"],
        inside_film_w_m2k=i["h_i"],
        bore_radius_m=i["r1"],
        pipe_radius_m=i["r2"],
        pipe_w_mk=i["k_pipe"],
        outer_radius_m=i["r2"] + got / 1000,
        insulation_w_mk=i["k_ins"],
        outside_film_w_m2k=i["h_o"],
    )
    assert wall.second_c == pytest.approx(i["T_surface"], abs=1e-9)


@pytest.mark.parametrize("material", ["elastomeric", "polyolefin"])
def test_a_foam_conducts_more_than_its_still_air_and_more_the_warmer(material: str) -> None:
    # CoolProp: what no foam filled with air can stay below; in that range it rises by 0.3 % a kelvin
    t_c = np.array([-18.0, 3.0, 24.0])
    air_w_mk = [PropsSI("L", "T", t + 273.15, "P", 101325, "Air") for t in t_c]
    k = condensation.conductivity_w_mk(material, t_c)
    assert (k > air_w_mk).all()
    assert (k < 2.2 * np.array(air_w_mk)).all()
    assert (np.diff(k) > 0).all()


def test_a_measured_foam_conducts_less_than_the_standard_allows() -> None:
    # ASHRAE Handbook Fundamentals 2021 (SI) ch. 23 Table 9, measured elastomeric pipe insulation
    out = case("condensation.json", "cond-k-ashrae-t8")["outputs"]
    for t_c, key in ((12.8, "elastomeric_measured_12.8C"), (24.0, "elastomeric_measured_24C")):
        assert out[key] < condensation.conductivity_w_mk("elastomeric", t_c) < 1.15 * out[key]


def test_a_coil_at_250_pa_below_the_cabin_needs_a_trap_of_25_mm() -> None:
    # common practice (from memory), and hydrostatics
    one = case("condensation.json", "cond-trap-250")
    got = condensation.trap_height_mm(one["inputs"]["coil_pa"])
    check(got, one["outputs"]["height_mm"], one["tolerance"], "height_mm")
    assert got * 1e-3 * 1000 * 9.80665 == pytest.approx(250)
    assert condensation.trap_height_mm(250) == got
    assert condensation.trap_height_mm(0, 10) == 10


def test_three_kilograms_an_hour_are_fifty_millilitres_a_minute() -> None:
    assert condensation.water_ml_min(3) == pytest.approx(50)


walls = st.tuples(
    st.floats(-5, 20), st.floats(25, 60), st.floats(3, 60), st.floats(0, 1), st.floats(3, 60)
)  # fmt: skip


@given(walls)
def test_either_side_may_be_the_cold_one(wall: tuple[float, ...]) -> None:
    cold, warm, h1, r, h2 = wall
    one, other = condensation.flat_wall(cold, warm, h1, r, h2), condensation.flat_wall(warm, cold, h2, r, h1)
    assert one.first_c == pytest.approx(other.second_c, abs=1e-9)
    assert one.second_c == pytest.approx(other.first_c, abs=1e-9)
    assert one.heat == pytest.approx(-other.heat)


@given(walls, st.floats(0.001, 1))
def test_more_insulation_warms_the_surface_and_loses_less(wall: tuple[float, ...], more: float) -> None:
    cold, warm, h1, r, h2 = wall
    thin, thick = (
        condensation.flat_wall(cold, warm, h1, r, h2),
        condensation.flat_wall(cold, warm, h1, r + more, h2),
    )
    assert thick.second_c > thin.second_c
    assert thick.heat < thin.heat
    # without resistance both faces are one, to rounding
    assert cold <= thin.first_c <= thin.second_c + 1e-9
    assert thin.second_c <= warm


@given(st.floats(-5, 15), st.floats(25, 45), st.floats(0.1, 0.9), st.floats(0.02, 0.06), st.floats(5, 12))
def test_the_thickness_holds_the_surface_it_was_asked_for(
    cold: float, warm: float, share: float, k: float, film: float
) -> None:
    asked = cold + share * (warm - cold)
    flat = condensation.flat_thickness_mm(
        cold_c=cold,
        air_c=warm,
        surface_c=asked,
        cold_film_w_m2k=25,
        bare_m2k_w=0.005,
        insulation_w_mk=k,
        air_film_w_m2k=film,
    )
    got = condensation.flat_wall(cold, warm, 25, 0.005 + flat / 1000 / k, film).second_c
    pipe = condensation.round_thickness_mm(
        cold_c=cold,
        air_c=warm,
        surface_c=asked,
        inside_film_w_m2k=500,
        bore_radius_m=0.006,
        pipe_radius_m=0.011,
        pipe_w_mk=0.2,
        insulation_w_mk=k,
        air_film_w_m2k=film,
    )
    outer = 0.011 + pipe / 1000
    round_got = condensation.round_wall(
        inside_c=cold,
        outside_c=warm,
        inside_film_w_m2k=500,
        bore_radius_m=0.006,
        pipe_radius_m=0.011,
        pipe_w_mk=0.2,
        outer_radius_m=outer,
        insulation_w_mk=k,
        outside_film_w_m2k=film,
    ).second_c
    for thickness, surface in ((flat, got), (pipe, round_got)):
        # what the bare wall already holds is warmer than asked
        assert surface >= asked - 1e-7
        assert thickness == 0 or surface == pytest.approx(asked, abs=1e-7)


def test_a_pipe_as_wide_as_a_wall_is_a_wall() -> None:
    flat = condensation.flat_thickness_mm(
        cold_c=4,
        air_c=27,
        surface_c=20,
        cold_film_w_m2k=25,
        bare_m2k_w=0.001 / 0.2,
        insulation_w_mk=0.04,
        air_film_w_m2k=8,
    )
    wide = condensation.round_thickness_mm(
        cold_c=4,
        air_c=27,
        surface_c=20,
        inside_film_w_m2k=25,
        bore_radius_m=1000.0,
        pipe_radius_m=1000.001,
        pipe_w_mk=0.2,
        insulation_w_mk=0.04,
        air_film_w_m2k=8,
    )
    assert wide == pytest.approx(flat, rel=1e-3)


def test_a_thin_pipe_needs_less_than_a_wall() -> None:
    flat = condensation.flat_thickness_mm(
        cold_c=4,
        air_c=27,
        surface_c=20,
        cold_film_w_m2k=INF,
        bare_m2k_w=0,
        insulation_w_mk=0.04,
        air_film_w_m2k=8,
    )
    assert (
        condensation.round_thickness_mm(
            cold_c=4,
            air_c=27,
            surface_c=20,
            inside_film_w_m2k=INF,
            bore_radius_m=0.01,
            pipe_radius_m=0.01,
            pipe_w_mk=0.2,
            insulation_w_mk=0.04,
            air_film_w_m2k=8,
        )
        < flat
    )


def test_no_insulation_makes_a_surface_as_warm_as_the_air() -> None:
    assert (
        condensation.flat_thickness_mm(
            cold_c=4,
            air_c=27,
            surface_c=27,
            cold_film_w_m2k=25,
            bare_m2k_w=0,
            insulation_w_mk=0.04,
            air_film_w_m2k=8,
        )
        == INF
    )
    assert (
        condensation.round_thickness_mm(
            cold_c=4,
            air_c=27,
            surface_c=28,
            inside_film_w_m2k=25,
            bore_radius_m=0.01,
            pipe_radius_m=0.011,
            pipe_w_mk=0.2,
            insulation_w_mk=0.04,
            air_film_w_m2k=8,
        )
        == INF
    )
    assert condensation.next_stock_mm(INF) == INF


def test_a_wall_that_holds_it_bare_needs_none() -> None:
    assert (
        condensation.flat_thickness_mm(
            cold_c=4,
            air_c=27,
            surface_c=5,
            cold_film_w_m2k=25,
            bare_m2k_w=0.1,
            insulation_w_mk=0.04,
            air_film_w_m2k=8,
        )
        == 0
    )
    assert (
        condensation.round_thickness_mm(
            cold_c=4,
            air_c=27,
            surface_c=3,
            inside_film_w_m2k=25,
            bore_radius_m=0.03,
            pipe_radius_m=0.031,
            pipe_w_mk=0.2,
            insulation_w_mk=0.04,
            air_film_w_m2k=8,
        )
        == 0
    )
    assert condensation.next_stock_mm(0) == 0


def test_the_next_stock_thickness_is_never_thinner() -> None:
    got = condensation.next_stock_mm(np.array([0.2, 3.0, 3.1, 13.0, 13.1, 31.0, 32.1]))
    assert got.tolist() == [3, 3, 5, 13, 16, 32, INF]


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (condensation.flat_thickness_mm, (4, 3, 10, 25, 0, 0.04, 8)),
        (condensation.flat_thickness_mm, (4, 27, 10, 25, 0, 0, 8)),
        (condensation.flat_thickness_mm, (4, 27, NAN, 25, 0, 0.04, 8)),
        (condensation.round_thickness_mm, (4, 27, 10, 25, 0.02, 0.01, 0.2, 0.04, 8)),
        (condensation.round_thickness_mm, (4, 27, 10, 25, 0, 0.01, 0.2, 0.04, 8)),
        (condensation.round_thickness_mm, (4, 27, 10, 1e-9, 0.01, 0.01, 0.2, 0.04, 8)),
        (condensation.next_stock_mm, (-1,)),
        (condensation.next_stock_mm, (NAN,)),
        (condensation.trap_height_mm, (NAN,)),
        (condensation.trap_height_mm, (100, -1)),
        (condensation.water_ml_min, (-1,)),
        (lambda *a: condensation.conductivity_w_mk("elastomeric", *a), (100,)),
        (lambda *a: condensation.flat_wall(*a).heat, (4, 27, 0, 0.1, 8)),
        (lambda *a: condensation.flat_wall(*a).heat, (4, 27, 25, -0.1, 8)),
        (lambda *a: condensation.flat_wall(*a).heat, (NAN, 27, 25, 0.1, 8)),
        (lambda *a: condensation.flat_wall(*a).heat, (4, 27, INF, 0.0, INF)),
        (lambda *a: by_name(condensation.round_wall, *a).heat, (4, 27, 25, 0.01, 0.02, 0.2, 0.015, 0.04, 8)),
    ],
)
def test_a_scalar_out_of_range_is_refused_and_a_batch_marks_the_row(function: Any, arguments: Any) -> None:
    with pytest.raises(ValueError, match=r"[a-z ]{10,}"):
        by_name(function, *arguments)
    assert np.isnan(by_name(function, *(np.array([x]) for x in arguments))).all()


def test_an_unknown_material_is_named() -> None:
    with pytest.raises(KeyError, match="felt"):
        condensation.conductivity_w_mk("felt", 20)


def test_every_default_says_where_it_comes_from() -> None:
    for row in condensation.condensation_defaults().values():
        assert row.source, row.key
        assert row.meaning, row.key
