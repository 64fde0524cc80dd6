"""Defaults: one file, each with its source and a band, each use reported."""

from dataclasses import replace

import pytest

from tests.vehicles.heatload.cars import COUPE, SUMMER, point
from vehicles.heatload.defaults import default_value, defaults
from vehicles.heatload.inputs import BOUNDARIES, DRIVES, ENGINE_BOUNDARIES, EngineTemperatures
from vehicles.heatload.prepare import engine_temperatures_c, prepare
from vehicles.physics.origin import Kind


@pytest.mark.parametrize("default", defaults().values(), ids=lambda d: d.key)
def test_the_file_itself_has_no_row_that_contradicts_itself(default) -> None:
    # against slips of the hand in the file: it says nothing of whether a band or a value is right
    assert default.low <= default.value <= default.high
    assert default.source and default.unit and default.kind in {kind.value for kind in Kind}


def test_there_is_a_default_for_every_engine_side_panel_in_every_state() -> None:
    keys = {f"{d}.{s}.{b}_c" for d in DRIVES for s in ("idle", "cruise") for b in ENGINE_BOUNDARIES}
    assert keys <= set(defaults())


def test_an_engine_that_idles_hot_heats_its_side_at_least_as_much_as_one_at_speed() -> None:
    for boundary in ENGINE_BOUNDARIES:
        idle, cruise = (default_value(f"combustion.{state}.{boundary}_c") for state in ("idle", "cruise"))
        assert idle >= cruise > 35, boundary


def test_only_the_defaults_that_were_used_are_reported() -> None:
    engine = EngineTemperatures(by_state={"cruise": {"bulkhead": 52.0}})
    _, assumed = engine_temperatures_c(point(COUPE, engine=engine))
    assert set(assumed) == {"engine.cruise.tunnel_c", "engine.cruise.floor_c"}
    assert all(o.kind is Kind.DEFAULT and o.is_uncertain and o.source for o in assumed.values())


def test_fully_measured_panels_report_no_default() -> None:
    engine = EngineTemperatures(by_state={"cruise": {"bulkhead": 52, "tunnel": 66, "floor": 61}})
    assert prepare([point(engine=engine)]).assumed == ({},)


def test_a_measured_panel_changes_the_load_by_its_own_conductance() -> None:
    cold, hot = (EngineTemperatures(by_state={"cruise": {"bulkhead": t}}) for t in (50.0, 60.0))
    p = prepare([point(engine=cold), point(engine=hot)])
    # 0.7 m² of 3 W/m²K, U as given
    assert p.engine_ua_t_w[1] - p.engine_ua_t_w[0] == pytest.approx(0.7 * 3.0 * 10)


def test_defaults_follow_the_outside_temperature() -> None:
    warm, cool = (engine_temperatures_c(point(climate=replace(SUMMER, outside_c=t)))[0] for t in (35, 20))
    assert [w - c for w, c in zip(warm, cool, strict=True)] == [15] * len(warm)
    assert warm[1] == defaults()["combustion.cruise.bulkhead_c"].value


@pytest.mark.parametrize(("outside_c", "idle_c", "cruise_c"), [(35, 80, 70), (20, 65, 55)])
def test_a_tunnel_that_nobody_measured_has_eighty_degrees_at_idle_and_seventy_at_cruise_on_a_hot_day(
    outside_c: float, idle_c: float, cruise_c: float
) -> None:
    # common practice, no source; by hand: 15 K less outside are 15 K less beyond the tunnel
    for state, expected_c in (("idle", idle_c), ("cruise", cruise_c)):
        beyond, assumed = engine_temperatures_c(
            point(climate=replace(SUMMER, outside_c=outside_c, engine_state=state))
        )
        assert beyond[BOUNDARIES.index("tunnel")] == expected_c
        assert assumed[f"engine.{state}.tunnel_c"].kind is Kind.DEFAULT


def test_a_survey_follows_the_outside_temperature_only_when_it_noted_its_own() -> None:
    by_state = {"cruise": {"bulkhead": 40.0, "tunnel": 50.0, "floor": 45.0}}
    as_is, noted = EngineTemperatures(by_state=by_state), EngineTemperatures(by_state=by_state, outside_c=20)
    assert engine_temperatures_c(point(engine=as_is))[0][1] == 40
    assert engine_temperatures_c(point(engine=noted))[0][1] == 55


@pytest.mark.parametrize(("speed", "state"), [(0, "idle"), (50, "cruise")])
def test_at_a_fixed_engine_speed_the_panels_go_by_whether_the_car_moves(speed: float, state: str) -> None:
    climate = replace(SUMMER, engine_state="fixed", road_speed_km_h=speed)
    assert f"engine.{state}.bulkhead_c" in engine_temperatures_c(point(climate=climate))[1]


def test_with_the_engine_off_the_panels_are_at_outside_temperature() -> None:
    beyond, assumed = engine_temperatures_c(point(climate=replace(SUMMER, engine_state="off")))
    assert set(beyond) == {35}
    assert not assumed


def test_an_electric_car_has_cooler_panels_than_one_with_an_engine() -> None:
    combustion, electric = (prepare([point(engine=EngineTemperatures(drive=d))]) for d in DRIVES)
    assert electric.engine_ua_t_w[0] < combustion.engine_ua_t_w[0]
