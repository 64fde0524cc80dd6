"""Plausible invented cars and weather for the tests: a coupé, a van, a canvas van."""

from dataclasses import replace
from typing import Any

from vehicles.heatload.inputs import (
    AirSide,
    CabinData,
    ClimateState,
    EngineTemperatures,
    LoadPoint,
    Opening,
    Seat,
    Surface,
)


def glass(code: str, area_m2: float, tilt_deg: float, facing_deg: float, **more: Any) -> Surface:
    optics = {"u_w_m2k": 5.7, "absorptance": 0.12, "transmittance": 0.80, "inward_share": 0.3} | more
    return Surface(
        code=code,
        name=code,
        kind="glass",
        boundary="outside",
        area_m2=area_m2,
        tilt_deg=tilt_deg,
        facing_deg=facing_deg,
        **optics,
    )


def panel(code: str, area_m2: float, tilt_deg: float, facing_deg: float, u_w_m2k: float) -> Surface:
    return Surface(
        code=code,
        name=code,
        kind="opaque",
        boundary="outside",
        area_m2=area_m2,
        tilt_deg=tilt_deg,
        facing_deg=facing_deg,
        u_w_m2k=u_w_m2k,
        absorptance=0.7,
    )


def inner(code: str, boundary: str, area_m2: float, u_w_m2k: float) -> Surface:
    return Surface(code=code, name=code, kind="opaque", boundary=boundary, area_m2=area_m2, u_w_m2k=u_w_m2k)


CREW = (Seat("driver", "driver"), Seat("front", "passenger"), Seat("left", "passenger"))
COUPE = CabinData(
    volume_m3=2.4,
    surfaces=(
        glass("screen", 0.70, 55, 0),
        glass("right", 0.45, 75, 90),
        glass("left", 0.45, 75, 270),
        glass("rear", 0.55, 50, 180),
        panel("roof", 1.5, 0, 0, 3.0),
        panel("doors-right", 0.8, 90, 90, 2.8),
        panel("doors-left", 0.8, 90, 270, 2.8),
        panel("back", 0.7, 70, 180, 2.8),
        inner("bulkhead", "bulkhead", 0.7, 3.0),
        inner("tunnel", "tunnel", 0.4, 2.5),
        inner("floor", "floor", 1.0, 2.5),
        panel("floor-edge", 1.0, 180, 0, 2.5),
        inner("shelf", "none", 0.5, 2.5),
    ),
    seats=CREW,
    leakage_m3_h=((0, 15), (50, 50), (100, 100)),
    intake_rise_k=4.0,
    flap_leak_share=0.08,
)
VAN = CabinData(
    volume_m3=7.0,
    surfaces=(
        glass("screen", 0.95, 75, 0),
        glass("right", 1.1, 85, 90),
        glass("left", 1.1, 85, 270),
        glass("rear", 0.6, 85, 180),
        panel("roof", 4.8, 0, 0, 3.5),
        panel("side-right", 3.2, 90, 90, 4.5),
        panel("side-left", 3.2, 90, 270, 4.5),
        panel("back", 1.6, 90, 180, 5.5),
        inner("lid", "engine_lid", 1.2, 4.0),
        inner("floor", "floor", 1.0, 3.0),
        panel("floor-edge", 3.0, 180, 0, 3.5),
    ),
    seats=CREW,
    leakage_m3_h=((0, 30), (50, 120), (100, 220)),
    intake_rise_k=4.0,
    flap_leak_share=0.08,
)
CANVAS_VAN = replace(
    VAN,
    surfaces=(
        *(s for s in VAN.surfaces if s.code != "roof"),
        Surface(
            code="roof",
            name="roof",
            kind="canvas",
            boundary="outside",
            area_m2=4.8,
            tilt_deg=0,
            facing_deg=0,
            u_w_m2k=5.5,
            absorptance=0.7,
            transmittance=0.05,
        ),
    ),
    leakage_m3_h=((0, 60), (50, 250), (100, 450)),
)
# 950 W/m² on the horizontal
SUMMER = ClimateState(
    outside_c=35,
    rh=0.40,
    altitude_m=0,
    beam_normal_w_m2=930,
    diffuse_horizontal_w_m2=145,
    sun_altitude_deg=60,
    heading_deg=None,
    road_speed_km_h=50,
    engine_state="cruise",
    occupants=2,
    air_mode="recirculated",
    target_c=25,
)
WINTER = replace(
    SUMMER,
    outside_c=-10,
    rh=0.8,
    beam_normal_w_m2=0,
    diffuse_horizontal_w_m2=0,
    sun_altitude_deg=0,
    occupants=1,
    air_mode="fresh",
    target_c=20,
    is_heating=True,
)
DASH_AIR = AirSide(coil_air_m3_h=320, blower_w=130, duct_gain_w=20, matrix_leak_w=0)
VAN_AIR = AirSide(coil_air_m3_h=550, blower_w=250, duct_gain_w=60, matrix_leak_w=0)
NO_AIR = AirSide(coil_air_m3_h=0, blower_w=0, duct_gain_w=0, matrix_leak_w=0)


def point(
    cabin: CabinData = COUPE,
    climate: ClimateState = SUMMER,
    air_side: AirSide = DASH_AIR,
    engine: EngineTemperatures | None = None,
) -> LoadPoint:
    return LoadPoint(cabin, engine or EngineTemperatures(), climate, air_side)


def with_surface(cabin: CabinData, code: str, **changes: Any) -> CabinData:
    """The cabin with one surface changed."""
    assert any(s.code == code for s in cabin.surfaces)
    surfaces = tuple(replace(s, **changes) if s.code == code else s for s in cabin.surfaces)
    return replace(cabin, surfaces=surfaces)


WINDOW = Opening("window", 0.3, 0.4)


def one_panel(boundary: str = "outside") -> CabinData:
    """The coupé as one flat roof of 2 m²."""
    roof = replace(panel("roof", 2.0, 0, 0, 3.0), boundary=boundary)
    return replace(COUPE, surfaces=(roof,))
