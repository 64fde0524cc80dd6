"""Duty point rows to the heat load's climate state, and sites with their design states to plain values."""

from dataclasses import replace

from vehicles.climate import models
from vehicles.climate.duty_kinds import duty_kind
from vehicles.heatload.inputs import ClimateState, SiteHour
from vehicles.physics.arrays import Refusal
from vehicles.physics.design_day import DesignDay, Site, sun_of_day
from vehicles.records.bridge import origin_of

STANDING_KM_H = 1.0


def climate_state(row: models.DutyPoint) -> ClimateState:
    """Weather, sun, driving and target of a duty point."""
    # a fixed engine speed belongs to a moving or a standing car; the engine's side follows that
    moving = "cruise" if row.road_speed_km_h > STANDING_KM_H else "idle"
    state = ClimateState(
        outside_c=row.outside_c,
        rh=row.relative_humidity,
        altitude_m=row.altitude_m,
        beam_normal_w_m2=row.beam_normal_w_m2,
        diffuse_horizontal_w_m2=row.diffuse_horizontal_w_m2,
        sun_altitude_deg=row.sun_altitude_deg,
        heading_deg=row.heading_deg,
        road_speed_km_h=row.road_speed_km_h,
        engine_state=moving if row.engine_state == "fixed" else row.engine_state,
        occupants=row.occupants,
        air_mode=row.air_mode,
        target_c=row.target_c,
        fresh_share=row.fresh_share,
        is_heating=duty_kind(row.kind).asks_heat,
    )
    return state if row.site is None else _at_site(row, state)


def _at_site(row: models.DutyPoint, state: ClimateState) -> ClimateState:
    """The state with the sun of its site, month, day and hour."""
    found = site_hour(row)
    if found.design_day is None:
        return replace(
            state,
            at_site=found,
            beam_normal_w_m2=None,
            diffuse_horizontal_w_m2=None,
            sun_altitude_deg=None,
        )
    sun = sun_of_day(found.design_day, found.hour_h)
    return replace(
        state,
        at_site=found,
        beam_normal_w_m2=float(sun.beam_normal_w_m2),
        diffuse_horizontal_w_m2=float(sun.diffuse_horizontal_w_m2),
        sun_altitude_deg=float(sun.altitude_deg),
        ground_reflectance=found.site.ground_reflectance,
    )


def site_hour(row: models.DutyPoint) -> SiteHour:
    """Where and when a duty point with a site stands; its own day takes the place of the design state's."""
    held = row.site
    if held is None or row.month is None or row.hour_h is None:
        raise Refusal(f"The duty point {row.code} has no site with month and hour.")
    site = Site(
        code=held.code,
        name=held.name,
        latitude_deg=held.latitude_deg,
        longitude_deg=held.longitude_deg,
        utc_offset_h=held.utc_offset_h,
        altitude_m=held.altitude_m,
        ground_reflectance=held.ground_reflectance,
        origin=origin_of(held),
    )
    state = next((s for s in held.design_states.all() if s.month == row.month), None)
    if state is None:
        return SiteHour(site, row.month, row.hour_h, None)
    day = DesignDay(
        site=site,
        month=state.month,
        day=row.day or state.day,
        dry_bulb_max_c=state.dry_bulb_max_c,
        daily_range_k=state.daily_range_k,
        humidity_kg_kg=state.humidity_kg_kg,
        beam_tau=state.beam_tau,
        diffuse_tau=state.diffuse_tau,
        origin=origin_of(state),
    )
    return SiteHour(site, row.month, row.hour_h, day)
