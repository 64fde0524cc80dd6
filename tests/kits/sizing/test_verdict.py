"""Cases sized as a whole: the worst point decides, gaps are named, a batch gives what each gives alone."""

import json
from dataclasses import replace

import pytest

from kits.sizing.case import Case, Duty
from kits.sizing.compressor import fit_efficiency
from kits.sizing.record import VERDICTS, SizingRecord
from kits.sizing.verdict import answers_at, size
from tests.kits.sizing.cases import COMPRESSOR, CRUISE, IDLE, TOWN, case, duty, electric_case
from tests.vehicles.heatload.cars import COUPE

COOL_CRUISE = replace(CRUISE, climate=replace(CRUISE.climate, outside_c=28.0))
STEADY = replace(COMPRESSOR, isentropic=fit_efficiency([4], [2000], [0.6]))
"""its efficiency stays what it is beyond the speeds it was rated at"""
CASES: dict[str, Case] = {
    "cool": case(COOL_CRUISE, IDLE),
    "hot": case(CRUISE, IDLE),
    "six volts": case(COOL_CRUISE, IDLE, system_voltage_v=6.0),
    "no battery": case(COOL_CRUISE, IDLE, battery_ah=None),
    "no surface": case(COOL_CRUISE, IDLE, cabin=replace(COUPE, volume_m3=None)),
    "fast": case(CRUISE, engine_rpm_per_km_h=70.0, compressor=STEADY),
    "beyond its fit": case(CRUISE, engine_rpm_per_km_h=70.0),
    "no air": case(CRUISE, fan_installed_share=0.2, ram_share=0.02),
    "other gas": case(COOL_CRUISE, refrigerant="R-1234yf"),
}


@pytest.fixture(scope="module")
def records() -> dict[str, SizingRecord]:
    return dict(zip(CASES, size(list(CASES.values())), strict=True))


def test_a_fitment_is_as_good_as_its_worst_required_duty_point(records: dict[str, SizingRecord]) -> None:
    for name, record in records.items():
        required = [d for d in record.duties if d.required]
        worst = max(VERDICTS.index(d.verdict) for d in required)
        assert VERDICTS.index(record.verdict) == worst, name
        assert next(d for d in required if d.code == record.worst_duty_point).verdict == record.verdict
        margins = [d.margin_share for d in required if d.margin_share is not None]
        if record.verdict != "not sized":
            assert record.margin_share == min(margins, default=None)


def test_cooler_weather_turns_the_verdict(records: dict[str, SizingRecord]) -> None:
    assert VERDICTS.index(records["cool"].verdict) < VERDICTS.index(records["hot"].verdict)
    assert records["hot"].verdict == "not enough"


def test_an_informative_point_decides_nothing() -> None:
    hot = replace(duty(outside_c=48.0), code="hot", required=False)
    (record,) = size([case(COOL_CRUISE, hot)])
    assert next(d for d in record.duties if d.code == "hot").verdict == "not enough"
    assert record.worst_duty_point == "cruise"
    assert record.verdict == next(d for d in record.duties if d.code == "cruise").verdict


def test_a_batch_gives_what_each_gives_alone(records: dict[str, SizingRecord]) -> None:
    for name in ("cool", "six volts", "other gas"):
        alone = answers_at(CASES[name], CASES[name].duties, with_holds=False)
        for one, other in zip(alone, records[name].duties, strict=True):
            assert one.verdict == other.verdict and one.status == other.status
            assert one.capacity_w == pytest.approx(other.capacity_w, rel=1e-6)
            assert one.load_w == pytest.approx(other.load_w, rel=1e-6)


def test_what_is_missing_is_named_and_judged_by_nothing(records: dict[str, SizingRecord]) -> None:
    battery = records["no battery"]
    assert battery.verdict == "not sized" and battery.margin_share is None
    assert [gap.path for gap in battery.missing] == ["powertrain.battery_ah"]
    cruise, idle = battery.duties
    assert cruise.capacity_w is not None and idle.capacity_w is None and idle.missing
    volume = records["no surface"]
    assert volume.verdict == "not sized"
    assert any("volume" in gap.path and gap.where == "cabin:C" for gap in volume.missing)


def test_a_supply_that_does_not_fit_fails_though_the_cold_would_do(records: dict[str, SizingRecord]) -> None:
    six = records["six volts"]
    assert six.verdict == "not enough"
    assert all("supply" in [c.code for c in d.criteria if not c.is_met] for d in six.duties)
    assert any(a.code == "alternator" for a in six.levers)


def test_a_guard_that_switches_off_is_a_failure_with_its_reason(records: dict[str, SizingRecord]) -> None:
    fast = records["fast"].duties[0]
    assert (fast.status, fast.verdict) == ("over speed", "not enough")
    assert "7000 rpm" in next(c.sentence for c in fast.criteria if c.code == "over-speed")
    beyond = records["beyond its fit"].duties[0]
    assert (beyond.verdict, beyond.capacity_w) == ("not enough", None)
    assert "discharge gas would be hotter than 160 °C" in beyond.criteria[0].sentence
    choked = records["no air"].duties[0]
    assert choked.verdict == "not enough"
    assert choked.status == "high pressure" or choked.capacity_w is None


def test_idle_has_no_margin_and_no_cabin_that_it_holds(records: dict[str, SizingRecord]) -> None:
    idle = records["cool"].duties[1]
    assert idle.margin_share is None and idle.holds_c is None
    assert idle.battery_v is not None and idle.coolant_c == 94.0


def test_at_what_it_holds_load_and_sensible_capacity_are_one(records: dict[str, SizingRecord]) -> None:
    for name in ("cool", "hot"):
        cruise: Duty = CASES[name].duties[0]
        held = records[name].duties[0].holds_c
        assert held is not None
        there = replace(cruise, climate=replace(cruise.climate, target_c=held))
        (answer,) = answers_at(CASES[name], [there], with_holds=False)
        # the ducts' gain and the air's volume follow the target a little
        assert answer.load_sensible_w == pytest.approx(answer.capacity_sensible_w, rel=0.02)
        assert (held < 25.0) == (records[name].duties[0].margin_share >= -0.02)


def test_a_car_without_a_required_duty_point_says_so() -> None:
    (record,) = size([case(replace(CRUISE, required=False))])
    assert record.verdict == "not sized" and record.worst_duty_point == ""
    assert record.missing[0].path == "duty_set"


def test_the_states_behind_a_picture_are_stored(records: dict[str, SizingRecord]) -> None:
    for record in records.values():
        assert SizingRecord.from_json(json.loads(json.dumps(record.as_json()))) == record
        for d in record.duties:
            names = ("surface_c", "air_in_kg_kg", "air_off_kg_kg", "discharge_bar_g", "cop")
            assert all((getattr(d, name) is None) == (d.flow_g_s is None) for name in names), d
            if d.flow_g_s is not None:
                assert d.discharge_bar_g >= d.high_side_bar_g > d.low_side_bar_g
                assert d.surface_c < d.air_off_c < d.air_in_c


def test_an_electric_compressor_follows_the_load() -> None:
    (answer,) = answers_at(electric_case(), [COOL_CRUISE], with_holds=False)
    assert answer.status == "freeze-limited" and answer.duty_share == 1.0
    assert 800 < (answer.compressor_rpm or 0) < 8000


def test_a_town_point_is_judged_three_kelvin_warmer() -> None:
    (town,) = answers_at(case(), [TOWN], with_holds=False)
    assert (town.target_c, town.judged_at_c) == (25, 28)
