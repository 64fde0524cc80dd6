"""Bolts against ISO 898-1 and a worked example (Wentzell, Machine Design, example 6.1)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing import fasteners
from tests.reference import case, check

INCH_MM = 25.4
POUND_N = 4.4482216152605


def test_wentzell_example_6_1():
    one = case("fasteners.json", "bolt-wentzell-6-1")
    i = one["inputs"]
    preload_n = i["fraction"] * i["Sp_psi"] * i["As_in2"] * POUND_N
    torque = fasteners.tightening_torque_nm(i["C"], i["D_in"] * INCH_MM, preload_n)
    check(torque, one["outputs"]["T_Nm"], one["tolerance"], "T_Nm")


@pytest.mark.parametrize("size", [5, 6, 10])
def test_proof_load_and_torque_of_class_8_8(size):
    # ISO 898-1 for the proof load, K·d·F for the torque
    one = case("fasteners.json", f"bolt-M{size}-8.8")
    wanted, tolerance = one["outputs"], one["tolerance"]
    proof = fasteners.proof_load_n(size, "8.8")
    share = fasteners.fastener_constants().preload_share
    assert share == one["inputs"]["preload_fraction_of_proof"]
    low, high = fasteners.torque_band_nm(size)
    for name, got in (
        ("proof_load_N", proof),
        ("preload_N", share * proof),
        ("torque_Nm", high),
        ("torque_Nm_K0.15", low),
    ):
        check(got, wanted[name], tolerance, name)


def test_a_stronger_class_takes_more_torque_and_a_bigger_thread_too():
    sizes = sorted(fasteners.fastener_constants().proof_load_n["8.8"])
    bands = [fasteners.torque_band_nm(size) for size in sizes]
    assert bands == sorted(bands)
    for size in sizes:
        assert fasteners.torque_band_nm(size, "10.9") > fasteners.torque_band_nm(size, "8.8")


@given(st.floats(0.05, 0.9), st.floats(1, 40), st.floats(0, 1e5))
def test_torque_gives_its_preload_back(k, d, force):
    torque = fasteners.tightening_torque_nm(k, d, force)
    assert torque / (k * d / 1000) == pytest.approx(force, rel=1e-9, abs=1e-9)


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
