"""What every car keeps on a hot day, whatever its sizes: directions in which the load may only go."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.vehicles.heatload.cars import (
    CANVAS_VAN,
    COUPE,
    DASH_AIR,
    SUMMER,
    VAN,
    VAN_AIR,
    WINDOW,
    WINTER,
    point,
)
from vehicles.heatload.inputs import LoadPoint
from vehicles.heatload.load import heat_load, heating_load_w
from vehicles.heatload.prepare import prepare
from vehicles.physics import air

CABIN_W = float(air.humidity_ratio(25, 0.5))
ROUNDING_W = 1e-6
CARS = {"coupé": (COUPE, DASH_AIR), "van": (VAN, VAN_AIR), "canvas van": (CANVAS_VAN, VAN_AIR)}
few = settings(max_examples=40, deadline=None)
cars = st.sampled_from(list(CARS))
# hotter and moister than the cabin at 25 °C and 50 %
hot_days = st.builds(
    lambda outside, rh, speed, mode: replace(
        SUMMER, outside_c=outside, rh=rh, road_speed_km_h=speed, air_mode=mode, fresh_share=0.3
    ),
    st.floats(30, 42),
    st.floats(0.4, 0.7),
    st.floats(0, 100),
    st.sampled_from(["recirculated", "fresh", "mixed"]),
)


def loads(*points: LoadPoint) -> Any:
    return heat_load(prepare(points), 25.0, CABIN_W)


def never_less(low: LoadPoint, high: LoadPoint) -> None:
    found = loads(low, high)
    for what in (found.total_w, found.total_sensible_w, found.total_latent_w):
        assert what[1] >= what[0] - ROUNDING_W


@few
@given(cars, hot_days, st.floats(1, 3))
def test_more_leakage_never_lowers_the_load(car, day, factor):
    cabin, side = CARS[car]
    leaky = replace(cabin, leakage_m3_h=tuple((v, flow * factor) for v, flow in cabin.leakage_m3_h))
    never_less(point(cabin, day, side), point(leaky, day, side))


@few
@given(cars, hot_days, st.floats(0.01, 0.5), st.floats(0.001, 0.5))
def test_a_larger_or_another_opening_never_lowers_the_load(car, day, area, more):
    cabin, side = CARS[car]
    one = replace(cabin, openings=(replace(WINDOW, area_m2=area),))
    larger = replace(cabin, openings=(replace(WINDOW, area_m2=area + more),))
    two = replace(one, openings=(*one.openings, replace(WINDOW, code="hatch", area_m2=more)))
    never_less(point(cabin, day, side), point(one, day, side))
    never_less(point(one, day, side), point(larger, day, side))
    never_less(point(one, day, side), point(two, day, side))


@few
@given(cars, hot_days, st.integers(0, 2))
def test_one_more_person_never_lowers_the_load(car, day, people):
    cabin, side = CARS[car]
    never_less(
        point(cabin, replace(day, occupants=people), side),
        point(cabin, replace(day, occupants=people + 1), side),
    )


@few
@given(cars, hot_days, st.floats(0, 25))
def test_a_cooler_day_with_the_same_water_in_the_air_never_raises_the_load(car, day, cooler):
    cabin, side = CARS[car]
    water = float(air.humidity_ratio(day.outside_c, day.rh))
    # no colder than its dew point, where the water would fall out
    colder_c = max(day.outside_c - cooler, float(air.dew_point_c(water)) + 0.01)
    rh = float(air.relative_humidity(colder_c, water))
    found = loads(point(cabin, replace(day, outside_c=colder_c, rh=rh), side), point(cabin, day, side))
    assert found.total_sensible_w[0] <= found.total_sensible_w[1] + ROUNDING_W
    # the same volume of cooler air is heavier and brings a little more water: only the whole is asked for
    assert found.total_w[0] <= found.total_w[1] + ROUNDING_W


@few
@given(cars, hot_days, st.floats(0.2, 1), st.floats(0.2, 1))
def test_better_insulation_or_lighter_paint_never_raises_the_load(car, day, u_share, paint_share):
    cabin, side = CARS[car]

    def changed(u: float, paint: float) -> Any:
        surfaces = tuple(
            replace(
                s, u_w_m2k=s.u_w_m2k * u, absorptance=None if s.absorptance is None else s.absorptance * paint
            )
            if s.kind == "opaque"
            else s
            for s in cabin.surfaces
        )
        return point(replace(cabin, surfaces=surfaces), day, side)

    never_less(changed(u_share, 1.0), point(cabin, day, side))
    never_less(changed(1.0, paint_share), point(cabin, day, side))


@few
@given(cars, hot_days)
def test_fresh_air_never_takes_less_than_recirculated(car, day):
    cabin, side = CARS[car]
    never_less(
        point(cabin, replace(day, air_mode="recirculated"), side),
        point(cabin, replace(day, air_mode="fresh"), side),
    )


@few
@given(cars, st.floats(-20, 10), st.floats(0.1, 15), st.floats(1, 3))
def test_in_winter_cold_and_leaks_never_lower_the_heat_that_is_needed(car, outside, colder, factor):
    cabin, side = CARS[car]
    leaky = replace(cabin, leakage_m3_h=tuple((v, flow * factor) for v, flow in cabin.leakage_m3_h))
    mild, cold = (replace(WINTER, outside_c=t) for t in (outside, outside - colder))
    need = heating_load_w(
        prepare([point(cabin, mild, side), point(cabin, cold, side), point(leaky, mild, side)]), 20.0
    )
    assert need[1] >= need[0] - ROUNDING_W
    assert need[2] >= need[0] - ROUNDING_W


def test_the_days_are_hotter_and_moister_than_the_cabin():
    # what the directions rest on: at the mildest of them air that comes in brings heat and water
    assert float(air.humidity_ratio(30, 0.4)) > CABIN_W == pytest.approx(0.00988, abs=2e-5)
