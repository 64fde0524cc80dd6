"""Bolts against ISO 898-1, published torques and a worked example (Wentzell, Machine Design, example 6.1)."""

import numpy as np
import pytest

from kits.sizing.mechanics import fasteners
from tests.reference import case, check

INCH_MM = 25.4
POUND_N = 4.4482216152605
COARSE_PITCH_MM = {4: 0.7, 5: 0.8, 6: 1.0, 7: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0}


def test_wentzell_example_6_1():
    one = case("fasteners.json", "bolt-wentzell-6-1")
    i = one["inputs"]
    preload_n = i["fraction"] * i["Sp_psi"] * i["As_in2"] * POUND_N
    torque = fasteners.tightening_torque_nm(i["C"], i["D_in"] * INCH_MM, preload_n)
    check(torque, one["outputs"]["T_Nm"], one["tolerance"], "T_Nm")


@pytest.mark.parametrize("size", [5, 6, 10])
def test_proof_load_of_class_8_8(size):
    # ISO 898-1
    one = case("fasteners.json", f"bolt-M{size}-8.8")
    check(
        fasteners.proof_load_n(size, "8.8"), one["outputs"]["proof_load_N"], one["tolerance"], "proof_load_N"
    )


@pytest.mark.parametrize(("property_class", "stress_mpa"), [("8.8", 580), ("10.9", 830)])
def test_every_proof_load_is_the_stress_of_its_class_on_the_stress_area(property_class, stress_mpa):
    # ISO 898-1 (from memory): As = π/4·(d − 0.9382·P)², loads cut off after three digits; pitches of ISO 261
    loads = fasteners.fastener_constants().proof_load_n[property_class]
    assert loads.keys() == COARSE_PITCH_MM.keys()
    for size, pitch in COARSE_PITCH_MM.items():
        area = np.pi / 4 * (size - 0.9382 * pitch) ** 2
        assert fasteners.proof_load_n(size, property_class) == pytest.approx(stress_mpa * area, rel=0.01)


@pytest.mark.parametrize(
    ("size", "of_8_8", "of_10_9"),
    [(5, 5.9, 8.7), (6, 10, 15), (8, 25, 36), (10, 49, 72), (12, 85, 125), (14, 135, 200), (16, 210, 310)],
)
def test_the_torques_of_the_usual_table_lie_in_the_band(size, of_8_8, of_10_9):
    # makers' tables for lightly oiled bolts of friction 0.14 (VDI 2230 of 1986), read in a worked copy
    for property_class, torque in (("8.8", of_8_8), ("10.9", of_10_9)):
        low, high = fasteners.torque_band_nm(size, property_class)
        assert 1.2 * low < torque < high


def test_oiled_and_dry_enclose_the_torques_that_are_published_with_a_preload():
    # VDI 2230 of 2001, friction 0.12 and 0.14
    one = case("fasteners.json", "bolt-vdi-2230-fine")
    i, c = one["inputs"], fasteners.fastener_constants()
    preload_n = 1000 * np.array(i["preload_kN"])
    oiled, dry = (
        fasteners.tightening_torque_nm(k, i["d_mm"], preload_n) for k in (c.nut_factor_low, c.nut_factor_high)
    )
    assert np.all((oiled < one["outputs"]["torque_Nm"]) & (one["outputs"]["torque_Nm"] < dry))


@pytest.mark.parametrize("friction", [0.115, 0.14])
def test_the_factors_are_those_of_usual_friction_in_thread_and_head(friction):
    # mechanics of a screw, handbooks: M = F·(P/2π + 0.577·d2·µ + Dk/2·µ), bearing diameter Dk about 1.3·d
    for size, pitch in COARSE_PITCH_MM.items():
        pitch_mm = size - 0.6495 * pitch
        arm_mm = pitch / (2 * np.pi) + 0.577 * pitch_mm * friction + 0.65 * size * friction
        low, high = fasteners.torque_band_nm(size)
        c = fasteners.fastener_constants()
        assert low < arm_mm / 1000 * c.preload_share * fasteners.proof_load_n(size, "8.8") < high


def test_a_stronger_class_takes_more_torque_and_a_bigger_thread_too():
    sizes = sorted(fasteners.fastener_constants().proof_load_n["8.8"])
    bands = [fasteners.torque_band_nm(size) for size in sizes]
    assert bands == sorted(bands)
    for size in sizes:
        assert fasteners.torque_band_nm(size, "10.9") > fasteners.torque_band_nm(size, "8.8")


@pytest.mark.parametrize(
    ("text", "thread"),
    [
        ("M8", 8), ("M8 × 25", 8), ("M10x35", 10), (" M6 ", 6), ("M10 × 1.25", None), ("M8 × 1", None),
        ("4.8 × 16", None), ("M9", None), ("1/4 UNC", None), ("", None), ("M8 × 16", 8), ("M10 × 1.25 × 30", None),
    ],
)  # fmt: skip
def test_only_coarse_metric_threads_have_a_band(text, thread):
    assert fasteners.thread_mm(text) == thread


def test_a_stated_torque_is_judged_by_both_ends_of_its_range():
    assert fasteners.judged(22, 25, (19.1, 25.4)) == "inside"
    assert fasteners.judged(18, 22, (19.1, 25.4)) == "below"
    assert fasteners.judged(22, 28, (19.1, 25.4)) == "above"
    assert fasteners.judged(10, 40, (19.1, 25.4)) == "above"


def test_what_is_not_known_is_refused():
    with pytest.raises(ValueError, match="M9"):
        fasteners.proof_load_n(9, "8.8")
    with pytest.raises(ValueError, match=r"3\.6"):
        fasteners.proof_load_n(8, "3.6")
    for bad in ((0, 8, 1), (1, 8, 1), (0.2, 0, 1), (0.2, 8, -1), (0.2, 8, np.nan), (0.2, 8, np.inf)):
        with pytest.raises(ValueError, match="nut factor"):
            fasteners.tightening_torque_nm(*bad)
    assert np.isnan(fasteners.tightening_torque_nm([0.2, 0.2], 8, [1000, -1])).tolist() == [False, True]
