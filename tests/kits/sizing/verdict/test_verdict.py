"""Cases sized as a whole: the worst point decides, gaps are named, a batch gives what each gives alone."""

from dataclasses import replace

import pytest

from kits.sizing.case.case import Case, Duty
from kits.sizing.machine.compressor import fit_efficiency
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.record import VERDICTS, SizingRecord
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.cases import COMPRESSOR, CRUISE, IDLE, TOWN, case, duty, electric_case, halves
from tests.vehicles.heatload.cars import COUPE

COOL_CRUISE = replace(CRUISE, climate=replace(CRUISE.climate, outside_c=28.0))
STEADY = replace(COMPRESSOR, isentropic=fit_efficiency([4], [2000], [0.6]))
"""its efficiency stays what it is beyond the speeds it was rated at"""
CASES: dict[str, Case] = {
    "cool": case(COOL_CRUISE, IDLE),
    "hot": case(CRUISE, IDLE),
    "six volts": case(COOL_CRUISE, IDLE, system_voltage_v=6.0, blower_voltage_v=6.5),
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


def test_of_points_with_one_verdict_the_one_with_the_least_margin_is_the_worst() -> None:
    mild, warm = (replace(duty(outside_c=c), code=f"{c:.0f} °C") for c in (20.0, 22.0))
    for record in size([case(mild, warm), case(warm, mild)]):
        margins = {d.code: d.margin_share for d in record.duties}
        assert {d.verdict for d in record.duties} == {"strong enough"}
        assert margins["22 °C"] < margins["20 °C"]
        assert record.worst_duty_point == "22 °C"


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


def test_idle_has_no_margin(records: dict[str, SizingRecord]) -> None:
    idle = records["cool"].duties[1]
    assert idle.margin_share is None
    assert idle.battery_v is not None and idle.coolant_c == 94.0


def test_a_kit_that_holds_the_target_at_idle_is_judged_there() -> None:
    (answer,) = answers_at(
        case(), [replace(IDLE, climate=replace(IDLE.climate, outside_c=20.0))], with_holds=True
    )
    assert answer.capacity_w > answer.load_w and answer.capacity_sensible_w > answer.load_sensible_w
    assert answer.holds_c is None
    assert answer.vent_judged_c == answer.vent_c


def test_a_kit_too_weak_at_idle_is_judged_with_the_cabin_as_warm_as_it_gets() -> None:
    idle = replace(IDLE, climate=replace(IDLE.climate, outside_c=42.0))
    one = case(charging_curve=((800.0, 40.0), (6000.0, 65.0)))
    (answer,) = answers_at(one, [idle], with_holds=False)
    assert answer.capacity_w < answer.load_w or answer.capacity_sensible_w < answer.load_sensible_w
    assert answer.holds_c > answer.judged_at_c + 1.0
    # the same car asked to hold just that cabin has the same vents and the same head
    (there,) = answers_at(
        one, [replace(idle, climate=replace(idle.climate, target_c=answer.holds_c))], with_holds=False
    )
    # the ducts' gain follows the target a little
    assert answer.vent_judged_c == pytest.approx(there.vent_c, abs=0.3)
    assert answer.vent_judged_c > answer.vent_c + 0.5
    vent, head = ({c.code: c.sentence for c in answer.criteria}[code] for code in ("vent", "head"))
    assert f"with the cabin at {answer.holds_c:.0f} °C" in vent
    assert float(head.split()[2]) == pytest.approx(there.high_side_bar_g, abs=0.15)


def test_a_leaking_heater_warms_the_vents_by_its_heat() -> None:
    tight, leaking = (answers_at(case(matrix_leak_w=w), [CRUISE], with_holds=False)[0] for w in (0.0, 500.0))
    # by hand: q/(m·cp), humid air near 1,015 J/(kg·K)
    risen = (leaking.vent_c - leaking.air_off_c) - (tight.vent_c - tight.air_off_c)
    assert risen == pytest.approx(500.0 / (leaking.coil_air_kg_s * 1015.0), rel=0.02)
    assert leaking.load_w - tight.load_w == pytest.approx(500.0, abs=20.0)


@pytest.mark.parametrize("outside_c", [-10.0, 0.0, 10.0])
def test_where_there_is_nothing_to_cool_nothing_is_missing(outside_c: float) -> None:
    climate = replace(CRUISE.climate, outside_c=outside_c, beam_normal_w_m2=0.0, diffuse_horizontal_w_m2=0.0)
    (answer,) = answers_at(case(), [replace(CRUISE, climate=climate)], with_holds=True)
    assert answer.verdict == "strong enough"
    assert answer.margin_share is None
    assert next(c.sentence for c in answer.criteria if c.code == "margin").startswith("Nothing to cool")


def test_next_to_nothing_to_cool_is_not_told_as_a_percentage() -> None:
    for outside_c, words in ((16.0, "ten times what is needed, or more"), (18.0, "7 times what is needed")):
        climate = replace(
            CRUISE.climate, outside_c=outside_c, beam_normal_w_m2=0.0, diffuse_horizontal_w_m2=0.0
        )
        (answer,) = answers_at(case(), [replace(CRUISE, climate=climate)], with_holds=True)
        assert answer.load_w > 0
        assert words in next(c.sentence for c in answer.criteria if c.code == "margin")


def test_a_valve_too_small_for_the_coil_is_not_enough() -> None:
    whole = answers_at(case(valve_w=7000.0), [CRUISE], with_holds=False)[0]
    assert "valve" not in {c.code for c in whole.criteria}
    starved = answers_at(case(valve_w=1200.0), [CRUISE], with_holds=False)[0]
    valve = next(c for c in starved.criteria if c.code == "valve")
    assert not valve.is_met and "starves" in valve.sentence
    assert starved.verdict == "not enough"
    unknown = answers_at(case(valve_w=None), [CRUISE], with_holds=False)[0]
    assert (unknown.verdict, unknown.capacity_w) == (whole.verdict, whole.capacity_w)


def test_of_two_coils_the_valve_of_either_may_be_too_small() -> None:
    two = halves(case(CRUISE))
    rear = two.plant.rear
    sound = replace(two, unit=replace(two.plant, valve_w=5000.0, rear=replace(rear, valve_w=5000.0)))
    starved = replace(two, unit=replace(two.plant, valve_w=5000.0, rear=replace(rear, valve_w=300.0)))
    codes = [
        {c.code for c in answers_at(c, [CRUISE], with_holds=False)[0].criteria} for c in (sound, starved)
    ]
    assert ["valve" in found for found in codes] == [False, True]


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
