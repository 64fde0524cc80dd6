"""Air speeds at the vents and the flow they make, there and back; readings that make no sense are refused."""

from dataclasses import replace
from typing import Any

import pytest

from kits.sizing.air.airflow import airflow
from kits.sizing.air.vent_readings import vent_readings
from tests.kits.sizing.air.test_airflow import HOSE, PATH

FULL = airflow(PATH, 13.5, 1.0)
READ = dict(zip(FULL.outlet_codes, FULL.outlet_velocity_m_s, strict=True))


def test_the_predicted_speeds_give_back_the_predicted_flow() -> None:
    found = vent_readings(PATH, FULL, READ, 1.0)
    assert found.total_m3_h == pytest.approx(FULL.total_m3_h, rel=1e-12)
    assert found.apart_share == pytest.approx(0, abs=1e-12)
    assert [v.airflow_m3_h for v in found.vents] == pytest.approx(FULL.outlet_m3_h)


def test_four_vents_of_57_mm_at_8_7_m_s_are_320_m3_h() -> None:
    # the check value of the method, turned round
    vents = replace(PATH, outlets=tuple(replace(HOSE, code=f"{k}", free_area_cm2=25.52) for k in range(4)))
    found = vent_readings(vents, airflow(vents, 13.5, 1.0), dict.fromkeys("0123", 8.71), 1.0)
    assert found.total_m3_h == pytest.approx(320, rel=0.002)


def test_a_reading_in_the_middle_of_the_jet_counts_by_its_mean() -> None:
    assert vent_readings(PATH, FULL, READ, 0.8).total_m3_h == pytest.approx(0.8 * FULL.total_m3_h)


def test_a_shut_vent_counts_nothing() -> None:
    one = {**READ, "vent 0": 0.0}
    assert vent_readings(PATH, FULL, one, 1.0).total_m3_h == pytest.approx(sum(FULL.outlet_m3_h[1:]))


@pytest.mark.parametrize(
    ("read", "share", "sentence"),
    [
        ({**READ, "vent 0": -1.0}, 1.0, "not from 0 to 40"),
        ({**READ, "vent 0": float("nan")}, 1.0, "not from 0 to 40"),
        ({**READ, "vent 0": 500.0}, 1.0, "is it in m/s"),
        ({"vent 0": 8.0}, 1.0, "needs one reading"),
        (dict.fromkeys(READ, 0.0), 1.0, "is the blower on"),
        (READ, 0.0, "above 0 and at most 1"),
        (READ, 1.2, "above 0 and at most 1"),
        (READ, float("nan"), "above 0 and at most 1"),
    ],
)
def test_readings_that_make_no_sense_are_refused(read: Any, share: float, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        vent_readings(PATH, FULL, read, share)


def test_without_a_prediction_there_is_nothing_to_compare_with() -> None:
    tight = replace(
        PATH,
        blower=replace(PATH.blower, curve=PATH.blower.curve[1:]),
        outlets=(replace(HOSE, free_area_cm2=1),),
    )
    with pytest.raises(ValueError, match="no prediction"):
        vent_readings(tight, airflow(tight, 13.5, 1.0), {"left": 8.0}, 1.0)
