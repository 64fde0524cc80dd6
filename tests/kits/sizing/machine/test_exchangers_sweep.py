"""Heat exchangers and insulation against ht over random sizes and flows.

Agreements stated: 1e-9 where ht has the relation in closed form, 1e-4 for crossflow with both streams unmixed, which
ht integrates numerically. Films: ht has none of the relations used here (still air, driving car, jet), so none is
compared; the handbook's values stand in the tests of their modules.
"""

import ht
import numpy as np
import pytest
from ht.conduction import R_cylinder, k_to_R

from kits.sizing.heat.condensation import flat_wall, round_thickness_mm, round_wall
from kits.sizing.heat.effectiveness import effectiveness_from_ntu, ntu_from_effectiveness
from kits.sizing.heat.heating import CP_AIR_J_KGK, MatrixModel, matrix_heat
from kits.sizing.machine.condenser import CondenserModel, heat_rejected_w
from kits.sizing.machine.evaporator import bypass_factor, coil
from vehicles.physics.air import humidity_ratio

CLOSED, INTEGRATED = 1e-9, 1e-4
CONDENSER_AIR_CP_J_KGK = 1007.0


def test_counterflow_and_its_inverse() -> None:
    rng = np.random.default_rng(91)
    ntu, cr = rng.uniform(0.01, 6, 300), rng.uniform(0, 1, 300)
    got = effectiveness_from_ntu(ntu, cr, "counterflow")
    expected = [ht.effectiveness_from_NTU(n, c, subtype="counterflow") for n, c in zip(ntu, cr, strict=True)]
    np.testing.assert_allclose(got, expected, rtol=CLOSED)
    back = [ht.NTU_from_effectiveness(e, c, subtype="counterflow") for e, c in zip(got, cr, strict=True)]
    np.testing.assert_allclose(ntu_from_effectiveness(got, cr, "counterflow"), back, rtol=1e-6)


def test_crossflow_with_both_streams_unmixed() -> None:
    rng = np.random.default_rng(92)
    ntu, cr = rng.uniform(0.05, 8, 60), rng.uniform(0.02, 1, 60)
    expected = [ht.effectiveness_from_NTU(n, c, subtype="crossflow") for n, c in zip(ntu, cr, strict=True)]
    np.testing.assert_allclose(effectiveness_from_ntu(ntu, cr, "crossflow"), expected, rtol=INTEGRATED)


def test_a_heater_matrix_from_its_resistances_to_its_heat() -> None:
    rng = np.random.default_rng(93)
    for _ in range(40):
        air_k_w, water_k_w, air_ref = (
            rng.uniform(0.006, 0.02),
            rng.uniform(0.001, 0.004),
            rng.uniform(0.06, 0.15),
        )
        model = MatrixModel(
            air_k_w=air_k_w,
            water_k_w=water_k_w,
            ref_air_kg_s=air_ref,
            ref_coolant_l_min=8.0,
            air_exponent=0.6,
            water_exponent=0.8,
            worst_error_share=0.0,
            points=3,
        )
        air, litres, per_litre = rng.uniform(0.04, 0.2), rng.uniform(1, 14), rng.uniform(3300, 4150)
        inlet, water = rng.uniform(-20, 25), rng.uniform(50, 95)
        resistance = air_k_w * (air / air_ref) ** -0.6 + water_k_w * (litres / 8) ** -0.8
        streams = air * CP_AIR_J_KGK, litres / 60 * per_litre
        ratio = min(streams) / max(streams)
        effectiveness = ht.effectiveness_from_NTU(1 / resistance / min(streams), ratio, subtype="crossflow")
        heat = effectiveness * min(streams) * (water - inlet)
        got = matrix_heat(model, air, inlet, litres, water, per_litre)
        assert got.heat_w == pytest.approx(heat, rel=INTEGRATED)


def test_a_condenser_is_an_exchanger_whose_one_side_keeps_its_temperature() -> None:
    rng = np.random.default_rng(94)
    for _ in range(100):
        ua, ref, exponent = rng.uniform(200, 700), rng.uniform(0.3, 0.8), rng.uniform(0.4, 0.8)
        model = CondenserModel(ua, ref, exponent, 0.0, 2, ())
        air, condensing, inlet = rng.uniform(0.1, 1.0), rng.uniform(40, 80), rng.uniform(20, 50)
        stream = air * CONDENSER_AIR_CP_J_KGK
        ntu = ua * (air / ref) ** exponent / stream
        share = ht.effectiveness_from_NTU(ntu, 0.0, subtype="boiler")
        expected = share * stream * (condensing - inlet)
        got = heat_rejected_w(model.ua_w_k, model.ref_air_kg_s, model.exponent, air, inlet, condensing)
        assert got == pytest.approx(expected, rel=CLOSED)


def test_a_dry_coil_is_an_exchanger_whose_one_side_keeps_its_temperature() -> None:
    rng = np.random.default_rng(95)
    for _ in range(100):
        ua, ref, air = rng.uniform(100, 300), rng.uniform(0.06, 0.15), rng.uniform(0.04, 0.2)
        t, surface = rng.uniform(15, 45), rng.uniform(2, 10)
        # drier than the surface's saturation: nothing condenses
        w = float(humidity_ratio(surface, rng.uniform(0.1, 0.9)))
        cp = 1006 + 1860 * w
        share = ht.effectiveness_from_NTU(ua * (air / ref) ** 0.8 / (air * cp), 0.0, subtype="boiler")
        bypass = bypass_factor(ua, ref, air, w)
        assert bypass == pytest.approx(1 - share, rel=CLOSED)
        found = coil(surface, air, t, w, 101325.0, bypass)
        assert found.total_w == pytest.approx(share * air * cp * (t - surface), rel=CLOSED, abs=1e-9)
        assert found.latent_w == pytest.approx(0, abs=1e-9)


def test_insulation_round_a_pipe() -> None:
    rng = np.random.default_rng(96)
    for _ in range(200):
        r1, wall, foam = rng.uniform(0.004, 0.04), rng.uniform(0.0005, 0.005), rng.uniform(0.001, 0.03)
        r2, r3 = r1 + wall, r1 + wall + foam
        kp, k, hi, ho = (
            rng.uniform(0.15, 1),
            rng.uniform(0.03, 0.06),
            rng.uniform(20, 500),
            rng.uniform(5, 40),
        )
        inside, outside = rng.uniform(-10, 90), rng.uniform(-10, 60)
        films = 1 / (hi * np.pi * 2 * r1), 1 / (ho * np.pi * 2 * r3)
        total = sum(films) + R_cylinder(2 * r1, 2 * r2, kp, 1.0) + R_cylinder(2 * r2, 2 * r3, k, 1.0)
        found = round_wall(
            inside_c=inside,
            outside_c=outside,
            inside_film_w_m2k=hi,
            bore_radius_m=r1,
            pipe_radius_m=r2,
            pipe_w_mk=kp,
            outer_radius_m=r3,
            insulation_w_mk=k,
            outside_film_w_m2k=ho,
        )
        heat = (outside - inside) / total
        assert found.heat == pytest.approx(heat, rel=CLOSED)
        assert found.first_c == pytest.approx(inside + heat * films[0], abs=1e-9)
        assert found.second_c == pytest.approx(outside - heat * films[1], abs=1e-9)
        # the thickness that holds this surface is the one that is there
        if abs(outside - inside) > 1:
            back = round_thickness_mm(
                cold_c=inside,
                air_c=outside,
                surface_c=found.second_c,
                inside_film_w_m2k=hi,
                bore_radius_m=r1,
                pipe_radius_m=r2,
                pipe_w_mk=kp,
                insulation_w_mk=k,
                air_film_w_m2k=ho,
            )
            assert back == pytest.approx(1000 * foam, rel=1e-6)


def test_a_flat_wall_of_layers() -> None:
    rng = np.random.default_rng(97)
    for _ in range(100):
        layers = [(rng.uniform(0.001, 0.03), rng.uniform(0.03, 50)) for _ in range(3)]
        hi, ho = rng.uniform(5, 40, 2)
        one, other = rng.uniform(-10, 60, 2)
        between = sum(k_to_R(k, thickness) for thickness, k in layers)
        found = flat_wall(one, other, hi, between, ho)
        heat = (other - one) / (1 / hi + between + 1 / ho)
        assert found.heat == pytest.approx(heat, rel=CLOSED)
        assert found.second_c - found.first_c == pytest.approx(heat * between, abs=1e-9)
