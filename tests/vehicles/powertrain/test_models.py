"""A powertrain's numbers lie where such numbers can lie, its parts are there once. The database holds it."""

import pytest
from django.core.exceptions import ValidationError
from django.db.models import ProtectedError

from tests.vehicles.rows import Held, above, hold, make_line, make_variant, rules_of, word
from vehicles.models import (
    ChargingPoint,
    CoolantState,
    ElectricalLoad,
    EngineTemperature,
    Powertrain,
    Pulley,
)

ENGINE = {"code": "p9", "name": "Engine"}
PULLEY = {"code": "gen", "x_mm": -120.0, "y_mm": 80.0, "diameter_mm": 70.0}
LOAD = {"code": "wipers", "name": "Wipers", "current_a": 3.5}
TEMPERATURE = {"engine_state": "idle", "boundary": "tunnel", "temperature_c": 71.0}
COOLANT = {"engine_state": "cruise", "coolant_c": 84.0}

RULES = [
    (Powertrain, word("powertrain_drive_known", "drive", "combustion", "electric")),
    (Powertrain, word("powertrain_generator_known", "generator_kind", "dynamo", "alternator", "converter")),
    (Powertrain, above("powertrain_idle_positive", "hot_idle_rpm")),
    (Powertrain, above("powertrain_gearing_positive", "engine_rpm_per_km_h")),
    (Powertrain, above("powertrain_crank_pulley_positive", "crank_pulley_mm")),
    (Powertrain, above("powertrain_voltage_positive", "system_voltage_v")),
    (Powertrain, above("powertrain_high_voltage_positive", "high_voltage_v")),
    (Powertrain, above("powertrain_battery_positive", "battery_ah")),
    (Powertrain, Held("powertrain_code_once", ({"code": "p2"},), ({"code": "p1"}, {"code": "P1"}))),
    (Pulley, word("pulley_side_known", "belt_side", "inner", "outer")),
    (Pulley, word("pulley_groove_known", "groove", "", "V 13 mm", "poly-V")),
    (Pulley, word("pulley_drives_known", "drives", "", "crank", "water pump")),
    (Pulley, above("pulley_diameter_positive", "diameter_mm")),
    (Pulley, Held("pulley_once", ({"code": "fan"},), ({"code": "CRANK"},))),
    (ChargingPoint, above("charging_rpm_not_negative", "engine_rpm", zero=True)),
    (ChargingPoint, above("charging_current_not_negative", "current_a", zero=True)),
    (ChargingPoint, Held("charging_point_once", ({"engine_rpm": 901.0},), ({"engine_rpm": 900.0},))),
    (ElectricalLoad, above("electrical_load_positive", "current_a")),
    (ElectricalLoad, Held("electrical_load_once", ({"code": "radio"},), ({"code": "LAMPS"},))),
    (EngineTemperature, word("engine_temperature_state_known", "engine_state", "idle", "cruise")),
    (EngineTemperature, word("engine_temperature_boundary_known", "boundary", "bulkhead", "tunnel", "engine_lid")),
    (CoolantState, above("coolant_flow_not_negative", "coolant_flow_l_min", zero=True)),
    (CoolantState, word("coolant_state_known", "engine_state", "cruise")),
    (CoolantState, Held("coolant_state_once", ({"engine_state": "cruise"},), ({"engine_state": "idle"},))),
]  # fmt: skip


@pytest.fixture
def good(db) -> dict[type, dict[str, object]]:
    """A stored engine with one row of each kind, and beside it a good row of each kind that is not stored."""
    line = make_line()
    engine = Powertrain.objects.create(line=line, code="p1", name="Engine")
    Pulley.objects.create(powertrain=engine, **PULLEY | {"code": "crank"})
    ChargingPoint.objects.create(powertrain=engine, engine_rpm=900.0, current_a=4.0)
    ElectricalLoad.objects.create(powertrain=engine, **LOAD | {"code": "lamps"})
    EngineTemperature.objects.create(powertrain=engine, **TEMPERATURE)
    CoolantState.objects.create(powertrain=engine, engine_state="idle", coolant_c=92.0)
    own = {"powertrain": engine}
    return {
        Powertrain: {**ENGINE, "line": line},
        Pulley: PULLEY | own,
        ChargingPoint: {"engine_rpm": 1500.0, "current_a": 18.0} | own,
        ElectricalLoad: LOAD | own,
        EngineTemperature: TEMPERATURE | own,
        CoolantState: COOLANT | own,
    }


@pytest.mark.parametrize(("model", "held"), RULES, ids=[held.rule for _, held in RULES])
def test_the_database_holds(good, model, held) -> None:
    hold(model, good[model], held)


def test_every_rule_of_a_powertrain_has_its_case() -> None:
    models = (Powertrain, Pulley, ChargingPoint, ElectricalLoad, EngineTemperature, CoolantState)
    assert rules_of(*models) == {held.rule for _, held in RULES}


def test_a_place_may_have_several_temperatures_since_rows_are_only_added(good) -> None:
    again = EngineTemperature(**good[EngineTemperature] | {"temperature_c": 66.0})
    again.full_clean()
    again.save()
    assert list(EngineTemperature.objects.values_list("temperature_c", flat=True)) == [71.0, 66.0]
    assert again.recorded_at is not None


def test_a_charging_curve_rises_in_speed_however_it_was_entered(good) -> None:
    engine = Powertrain.objects.get()
    for rpm, current in ((5000.0, 30.0), (650.0, 0.0), (1800.0, 24.0)):
        ChargingPoint.objects.create(powertrain=engine, engine_rpm=rpm, current_a=current)
    curve = [(point.engine_rpm, point.current_a) for point in engine.charging_curve.all()]
    assert curve == [(650.0, 0.0), (900.0, 4.0), (1800.0, 24.0), (5000.0, 30.0)]


def test_pulleys_may_stand_left_of_below_and_behind_the_crankshaft_but_not_before_the_belts_beginning(
    good,
) -> None:
    far = good[Pulley] | {"x_mm": -410.5, "y_mm": -35.0, "plane_mm": -4.5, "belt_order": 0}
    Pulley(**far).full_clean()
    with pytest.raises(ValidationError, match="greater than or equal to 0"):
        Pulley(**far | {"belt_order": -1}).full_clean()


def test_a_powertrain_takes_its_parts_with_it_but_not_while_a_car_has_it(good) -> None:
    engine = Powertrain.objects.get()
    variant = make_variant(engine.line, powertrain=engine)
    with pytest.raises(ProtectedError):
        engine.delete()
    variant.delete()
    engine.delete()
    parts = (Pulley, ChargingPoint, ElectricalLoad, EngineTemperature, CoolantState)
    assert not any(model.objects.exists() for model in parts)


def test_the_same_code_may_stand_in_another_line_and_at_another_powertrain(good) -> None:
    other = Powertrain.objects.create(line=make_line("L2"), **ENGINE | {"code": "p1"})
    Pulley.objects.create(powertrain=other, **PULLEY | {"code": "crank"})
    ElectricalLoad.objects.create(powertrain=other, **LOAD | {"code": "lamps"})
    ChargingPoint.objects.create(powertrain=other, engine_rpm=900.0, current_a=4.0)
    CoolantState.objects.create(powertrain=other, engine_state="idle", coolant_c=92.0)
    assert Powertrain.objects.filter(code="p1").count() == 2


@pytest.mark.parametrize(
    ("row", "field"),
    [
        (Powertrain(**ENGINE | {"code": "p|1"}), "code"),
        (Powertrain(**ENGINE | {"name": "n" * 121}), "name"),
        (Powertrain(**ENGINE, drive="steam"), "drive"),
        (Powertrain(**ENGINE, generator_kind=""), "generator_kind"),
        (Powertrain(**ENGINE, positive_earth=None), "positive_earth"),
        (Pulley(**PULLEY | {"x_mm": None}), "x_mm"),
        (Pulley(**PULLEY | {"groove": "V" * 21}), "groove"),
        (ChargingPoint(engine_rpm=900.0, current_a=None), "current_a"),
        (ElectricalLoad(**LOAD | {"name": ""}), "name"),
        (ElectricalLoad(**LOAD | {"by_night": "dusk"}), "by_night"),
        (EngineTemperature(**TEMPERATURE | {"engine_state": "towed"}), "engine_state"),
        (EngineTemperature(**TEMPERATURE, origin_kind="hearsay"), "origin_kind"),
        (CoolantState(**COOLANT | {"coolant_c": "hot"}), "coolant_c"),
    ],
    ids=lambda value: value if isinstance(value, str) else type(value).__name__,
)
def test_a_row_that_makes_no_sense_is_told_by_its_field(row, field) -> None:
    with pytest.raises(ValidationError) as told:
        row.clean_fields()
    assert set(told.value.message_dict) - {"powertrain", "line"} == {field}


def test_nothing_is_claimed_of_an_engine_but_its_usual_kind() -> None:
    engine, load = Powertrain(), ElectricalLoad()
    assert (engine.drive, engine.generator_kind, engine.positive_earth) == ("combustion", "alternator", False)
    numbers = (engine.hot_idle_rpm, engine.system_voltage_v, engine.high_voltage_v, engine.battery_ah)
    assert numbers == (None,) * 4
    assert (load.by_day, load.by_night, load.in_rain) == (True, True, True)
    assert engine.origin_kind == load.origin_kind == "estimate"
