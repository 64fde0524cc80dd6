"""Bad input is refused with a sentence that names it, and does not disturb its neighbours in the batch."""

from typing import Any

import numpy as np
import pytest

from kits.sizing.balance.balance import Status, solve_balance
from tests.kits.sizing.plants import plant

NAN, INF = float("nan"), float("inf")

INVALID: list[tuple[dict[str, Any], str]] = [
    ({"air_kg_s": 0.0}, "The coil's air flow must be above zero."),
    ({"cond_air_kg_s": 0.0}, "The condenser's air flow must be above zero."),
    ({"evap_ua_air_w_k": -1.0}, "The coil's conductance on the air side must be above zero."),
    ({"evap_ua_ref_w_k": 0.0}, "The coil's conductance on the refrigerant side must be above zero."),
    ({"cond_ua_w_k": -5.0}, "The condenser's conductance must be above zero."),
    ({"displacement_m3": 0.0}, "The compressor's displacement must be above zero."),
    ({"speed_rpm": 0.0}, "The compressor's speed must be above zero."),
    ({"suction_bore_m": 0.0}, "The suction line's bore must be above zero."),
    ({"suction_length_m": -1.0}, "The suction line's length must not be negative."),
    ({"superheat_k": -1.0}, "The superheat must not be negative."),
    ({"air_in_w": -0.001}, "The humidity ratio of the coil's air must not be negative."),
    ({"air_in_w": 0.1}, "The coil's air holds more water than it can."),
    ({"high_pressure_cut_out_pa": 0.0}, "The high-pressure cut-out must be above zero."),
    ({"speed_min_rpm": 7000.0}, "The lowest speed is above the highest speed."),
    ({"freeze_mode": "hope"}, "The freeze mode is one of cycling, suction-regulated, speed-controlled."),
    ({"freeze_mode": "speed-controlled"}, "Only an electric compressor can be speed-controlled."),
    ({"air_in_w": NAN}, "The input air_in_w is not a number."),
    ({"v1": NAN}, "The input v1 is not a number."),
    ({"cond_air_in_c": INF}, "The input cond_air_in_c is not a number."),
    ({"discharge_limit_c": NAN}, "The input discharge_limit_c is not a number."),
]

OUT_OF_RANGE: list[tuple[dict[str, Any], str]] = [
    ({"air_in_c": 90.0, "rh": 0.1}, "The coil's air inlet lies outside -40 to 80 °C."),
    ({"cond_air_in_c": 85.0}, "The condenser's air inlet lies outside -40 to 80 °C."),
    ({"superheat_k": 61.0}, "The superheat lies outside 0 to 60 K."),
    ({"subcooling_k": 41.0}, "The subcooling lies outside 0 to 40 K."),
    ({"pressure_pa": 3e4}, "The air pressure lies outside 500 to 1,200 hPa."),
    ({"freeze_surface_c": -30.0}, "The freeze control's surface temperature lies outside -20 to 30 °C."),
    ({"speed_rpm": 499.0}, "The speed is below the compressor's lowest."),
    ({"cond_air_in_c": -5.0, "condenser_m3_h": 2500}, "Condensing would be below 20 °C."),
    ({"cond_air_in_c": 70.0}, "Condensing would be above 85 °C: the condenser cannot reject the heat."),
    (
        {"evap_ua_ref_w_k": 40.0, "displacement_cc": 800, "v0": 0.7, "v1": 0.0, "v2": 0.0, "v3": 0.0},
        "Evaporating would be below -30 °C.",
    ),
    (
        {"air_in_c": 70.0, "rh": 0.03, "displacement_cc": 20, "condenser_m3_h": 2500, "speed_rpm": 1000.0},
        "Evaporating would be above 30 °C.",
    ),
    ({"v0": 1.6}, "The volumetric efficiency would leave 0.05 to 1."),
    ({"i0": 1.3}, "The isentropic efficiency would leave 0.05 to 1."),
    ({"superheat_k": 60.0, "suction_gain_k": 30.0}, "The discharge gas would be hotter than 160 °C."),
]


@pytest.mark.parametrize(("changes", "sentence"), INVALID, ids=lambda v: str(v)[:40])
def test_invalid_input_is_refused_with_a_sentence(changes: dict[str, Any], sentence: str) -> None:
    got = solve_balance("R-134a", plant(**changes))
    assert (got.status, got.reason) == (Status.INVALID, sentence)
    assert np.isnan(got.capacity_w)


@pytest.mark.parametrize(("changes", "sentence"), OUT_OF_RANGE, ids=lambda v: str(v)[:40])
def test_a_point_outside_the_model_says_where(changes: dict[str, Any], sentence: str) -> None:
    got = solve_balance("R-134a", plant(**changes))
    assert (got.status, got.reason) == (Status.OUT_OF_RANGE, sentence)
    assert np.isnan(got.capacity_w)


def test_a_bad_row_leaves_its_neighbours_alone() -> None:
    good = solve_balance("R-134a", plant())
    mixed = solve_balance("R-134a", plant(air_kg_s=[0.1027, 0.0, NAN, 0.1027]))
    assert mixed.status.tolist() == [good.status, "invalid input", "invalid input", good.status]
    assert np.isfinite(mixed.power_w).tolist() == [True, False, False, True]
    assert mixed.capacity_w[0] == mixed.capacity_w[3]


def test_fields_that_do_not_fit_together_are_named() -> None:
    with pytest.raises(ValueError, match=r"do not fit together: .*air_kg_s \(2,\)"):
        solve_balance("R-134a", plant(air_kg_s=[0.1, 0.1], cond_air_kg_s=[0.3, 0.3, 0.3]))


def test_scaled_multiplies_only_the_named_fields() -> None:
    x = plant(coil_m3_h=[300.0, 400.0])
    more = x.scaled(air_kg_s=1.05)
    np.testing.assert_allclose(more.air_kg_s, 1.05 * x.air_kg_s)
    assert more.cond_air_kg_s == x.cond_air_kg_s
