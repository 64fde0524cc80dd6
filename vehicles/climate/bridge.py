"""Duty point rows to the heat load's climate state."""

from vehicles.climate import models
from vehicles.heatload.inputs import ClimateState

STANDING_KM_H = 1.0


def climate_state(row: models.DutyPoint) -> ClimateState:
    """Weather, sun, driving and target of a duty point."""
    # a fixed engine speed belongs to a moving or a standing car; the engine's side follows that
    moving = "cruise" if row.road_speed_km_h > STANDING_KM_H else "idle"
    return ClimateState(
        row.outside_c, row.relative_humidity, row.altitude_m, row.beam_normal_w_m2, row.diffuse_horizontal_w_m2,
        row.sun_altitude_deg, row.heading_deg, row.road_speed_km_h,
        moving if row.engine_state == "fixed" else row.engine_state, row.occupants, row.air_mode, row.target_c,
        row.fresh_share, row.kind == "winter",
    )  # fmt: skip
