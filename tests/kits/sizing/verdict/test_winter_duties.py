"""Winter duty points: what the matrix gives against what the cabin loses, and the verdict on both."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.sizing.case.case import Case
from kits.sizing.case.heater import Heater
from kits.sizing.case.levers import levers, pulled
from kits.sizing.heat.heating import RatedMatrixPoint, fit_matrix
from kits.sizing.verdict.judge import LARGEST_MARGIN
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.verdict.verdict import size
from kits.sizing.words.gap import Gap
from tests.kits.sizing.cases import AIR_PATH, CRUISE, case, duty
from vehicles.physics.air import HEAT_DRY_AIR

MATRIX = fit_matrix(
    [
        RatedMatrixPoint(200.0, 8.0, 0.0, 90.0, 4200.0),
        RatedMatrixPoint(300.0, 8.0, 0.0, 90.0, 5500.0),
        RatedMatrixPoint(300.0, 4.0, 0.0, 90.0, 4800.0),
    ]
)
WATER = {"coolant_flow_l_min": {"cruise": 8.0, "idle": 3.0}}
LARGE = replace(AIR_PATH.blower, curve=((300, 290), (400, 180), (520, 0)), current=((300, 14.0), (520, 14.0)))
"""A blower whose curve says nothing of small flows."""
NO_COIL = replace(AIR_PATH, coil=replace(AIR_PATH.coil, rated_pa=0.0))


def winter_duty(outside_c: float = -5.0, target_c: float = 20.0, **climate):
    weather = {
        "outside_c": outside_c, "target_c": target_c, "rh": 0.8, "beam_normal_w_m2": 0.0,
        "diffuse_horizontal_w_m2": 0.0, "sun_altitude_deg": 0.0, "heading_deg": 0.0, "occupants": 1,
        "air_mode": "fresh", "is_heating": True,
    }  # fmt: skip
    return duty("winter", 60.0, **(weather | climate))


def warm(*duties, **changes) -> Case:
    """The coupé with a kit that cools and heats."""
    return replace(case(*(duties or (winter_duty(),)), **(WATER | changes)), matrix=MATRIX)


def heats_only(*duties, volts: float = 12.0, **changes) -> Case:
    """The coupé with a kit that heats only."""
    return replace(warm(*duties, **changes), unit=Heater(NO_COIL, volts, 14.0))


def answer(of: Case, code: str = "winter") -> DutyAnswer:
    return next(a for a in size([of])[0].duties if a.code == code)


def test_load_is_what_the_cabin_loses_and_capacity_what_warms_the_air():
    found = answer(warm())
    assert found.load_w == pytest.approx(sum(found.sensible_w_by_term.values()))
    # the air's own heat balance, by hand: the volume that the blower takes in at −5 °C, warmed from inlet to vent
    air_kg_s = found.airflow_m3_h / 3600 * 101325 / (287.05 * 268.15)
    warmed_w = air_kg_s * HEAT_DRY_AIR * (found.vent_c - found.air_in_c)
    assert found.capacity_w == pytest.approx(warmed_w, rel=0.005)
    assert found.air_in_c == pytest.approx(-5.0)
    assert found.margin_share == pytest.approx(found.capacity_w / found.load_w - 1)


def test_the_cabin_that_is_held_asks_for_just_what_the_matrix_gives():
    held = answer(warm()).holds_c
    again = answer(warm(winter_duty(target_c=held)))
    assert again.margin_share == pytest.approx(0.0, abs=1e-3)


@given(st.floats(-25.0, 10.0), st.floats(50.0, 95.0), st.floats(1.0, 15.0))
@settings(max_examples=20, deadline=None)
def test_hotter_water_or_a_milder_day_never_lowers_the_margin(outside_c, coolant_c, more_k):
    def margin(outside: float, coolant: float) -> float:
        return answer(warm(winter_duty(outside), coolant_c={"cruise": coolant, "idle": 80.0})).margin_share

    at = margin(outside_c, coolant_c)
    assert margin(outside_c, coolant_c + more_k) >= at
    assert margin(min(outside_c + more_k, 18.0), coolant_c) >= at


@pytest.mark.parametrize(
    ("coolant_c", "verdict"), [(62.0, "strong enough"), (55.0, "marginal"), (48.0, "not enough")]
)
def test_the_reserve_is_that_of_the_duty_set(coolant_c, verdict):
    found = size([warm(coolant_c={"cruise": coolant_c, "idle": 80.0})])[0]
    assert (found.verdict, found.limit) == (verdict, "heater matrix")
    assert found.margin_share == pytest.approx(found.duties[0].margin_share)


def test_a_required_winter_point_decides_where_it_is_the_worst():
    cold = replace(winter_duty(), required=True)
    cool = {"coolant_c": {"cruise": 40.0, "idle": 94.0}}
    both = size([warm(CRUISE, cold, **cool)])[0]
    assert (both.verdict, both.worst_duty_point) == ("not enough", "winter")
    told = size([warm(CRUISE, replace(cold, required=False), **cool)])[0]
    assert told.verdict == size([warm(CRUISE)])[0].verdict
    assert answer(warm(CRUISE, replace(cold, required=False), **cool)).verdict == "not enough"


def test_cooling_is_answered_as_without_the_winter_point():
    summer, both = size([warm(CRUISE)])[0], size([warm(CRUISE, replace(winter_duty(), required=False))])[0]
    assert both.duties[0] == summer.duties[0]
    assert (both.outlook, both.hot_cabins, both.margin_share) == (
        summer.outlook, summer.hot_cabins, summer.margin_share,
    )  # fmt: skip


def test_a_winter_point_that_recirculates_is_no_pull_down():
    cold = winter_duty(air_mode="recirculated")
    assert {hot.code for hot in size([warm(CRUISE, cold)])[0].hot_cabins} <= {"cruise"}


def test_a_car_without_hot_water_is_told_so():
    found = answer(warm(is_electric=True))
    assert found.verdict == "not enough"
    assert found.capacity_w == 0.0
    assert found.holds_c is None
    assert "no hot water" in found.criteria[-1].sentence


@pytest.mark.parametrize(
    ("changes", "path", "where"),
    [
        ({"coolant_flow_l_min": {}}, "powertrain.coolant_flow_l_min.cruise", "powertrain:P"),
        ({"coolant_c": {"idle": 80.0}}, "powertrain.coolant_c.cruise", "powertrain:P"),
        ({"system_voltage_v": None}, "powertrain.system_voltage_v", "powertrain:P"),
        ({"blower_voltage_v": None}, "fitment.blower_voltage_v", "fitment"),
    ],
)
def test_what_is_missing_is_named_with_the_place_that_mends_it(changes, path, where):
    found = answer(warm(**changes))
    assert found.verdict == "not sized"
    assert [(gap.path, gap.where) for gap in found.missing] == [(path, where)]


def test_heating_that_stays_the_cars_own_is_not_judged():
    kit_without = case(CRUISE, winter_duty(), **WATER)
    assert size([kit_without]) == size([case(CRUISE, **WATER)])


def test_a_matrix_that_cannot_be_used_is_not_sized_where_heat_is_asked_for():
    gap = Gap("part.MX.points", "part:MX", "Part MX (heater matrix) has no rated points.")
    record = size([replace(case(CRUISE, winter_duty(), **WATER), matrix_gaps=(gap,))])[0]
    assert (record.verdict, record.missing) == ("not sized", (gap,))


def test_a_blower_outside_its_curve_gives_no_number():
    choked = replace(AIR_PATH, intake=replace(AIR_PATH.intake, rated_m3_h=20.0), blower=LARGE)
    found = answer(warm(air_path=choked))
    assert found.verdict == "not sized"
    assert (found.missing[0].path, found.load_w) == ("airflow", None)


def test_a_day_that_needs_no_heat_is_met_and_not_told_as_infinite():
    found = answer(warm(winter_duty(outside_c=25.0)))
    assert (found.verdict, found.margin_share) == ("strong enough", LARGEST_MARGIN)
    assert "Nothing to heat" in found.criteria[-1].sentence


class TestHeatsOnly:
    """A kit that brings no refrigerant."""

    def test_it_is_judged_by_its_winter_points_alone(self):
        record = size([heats_only()])[0]
        assert record.verdict == "strong enough"
        assert (record.outlook, record.hot_cabins) == (None, ())

    def test_without_a_coil_in_its_way_more_air_flows_and_more_heat(self):
        alone, shared = answer(heats_only()), answer(warm())
        assert alone.airflow_m3_h > shared.airflow_m3_h
        assert alone.capacity_w > shared.capacity_w

    def test_a_point_that_asks_for_cooling_is_not_sized_and_says_why(self):
        record = size([heats_only(CRUISE, winter_duty())])[0]
        assert record.verdict == "not sized"
        assert "heats only" in record.missing[0].sentence
        assert answer(heats_only(CRUISE, winter_duty())).verdict == "strong enough"

    @pytest.mark.parametrize(("volts", "positive_earth", "fits"), [(6.0, True, True), (12.0, True, False)])
    def test_it_may_go_into_a_six_volt_car_of_positive_earth_if_it_is_made_for_6_v(
        self, volts, positive_earth, fits
    ):
        found = answer(heats_only(volts=volts, system_voltage_v=6.0, positive_earth=positive_earth))
        assert ("supply" not in {c.code for c in found.criteria}) == fits

    def test_a_kit_that_cools_as_well_still_asks_for_negative_earth(self):
        assert "supply" in {c.code for c in answer(warm(positive_earth=True)).criteria}

    def test_its_levers_are_not_those_of_cooling_and_each_gives_what_it_states(self):
        weak = heats_only(coolant_c={"cruise": 45.0, "idle": 80.0})
        record = size([weak])[0]
        assert record.verdict == "not enough"
        of_heating = {lever.code: changed for lever in levers() if (changed := pulled(weak, lever))}
        assert not {"pulley", "second-fan", "suction-hose", "idle-up"} & set(of_heating)
        singles = [lever for lever in record.levers if lever.code in of_heating]
        assert {"roof-liner"} <= {lever.code for lever in singles}
        for lever in singles:
            assert size([of_heating[lever.code]])[0].margin_share == pytest.approx(lever.margin_share)

    def test_the_plant_that_cools_is_refused(self):
        with pytest.raises(ValueError, match="heats only"):
            _ = heats_only().plant
