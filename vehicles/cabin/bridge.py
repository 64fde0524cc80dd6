"""Cabin rows to the heat load's values, for the options of one car."""

from collections.abc import Mapping

from vehicles.cabin import models
from vehicles.heatload.inputs import CabinData, Opening, Seat, Surface
from vehicles.records.terms import terms_of


def cabin_data(row: models.Cabin, options: Mapping[str, str]) -> CabinData:
    """The cabin with the surfaces that exist with these options; related rows must be prefetched."""
    return CabinData(
        volume_m3=row.volume_m3,
        surfaces=tuple(_surface(s) for s in row.surfaces.all() if _applies(s, options)),
        seats=tuple(Seat(s.code, s.activity, s.face_x_mm, s.face_y_mm, s.face_z_mm) for s in row.seats.all()),
        openings=tuple(Opening(o.code, o.area_m2, o.height_m) for o in row.openings.all()),
        leakage_m3_h=tuple((leak.road_speed_km_h, leak.leakage_m3_h) for leak in row.leakage.all()),
        intake_rise_k=row.intake_rise_k,
        flap_leak_share=row.flap_leak_share,
        fresh_air_m3_h=row.fresh_air_m3_h,
    )


def _applies(row: models.Surface, options: Mapping[str, str]) -> bool:
    return terms_of((t.option.feature.code, t.option.code, t.excluded) for t in row.terms.all()).applies(
        options
    )


def _surface(row: models.Surface) -> Surface:
    layers = tuple((layer.thickness_mm, layer.conductivity_w_mk) for layer in row.layers.all())
    return Surface(
        code=row.code,
        name=row.name,
        kind=row.kind,
        boundary=row.boundary,
        area_m2=row.area_m2,
        tilt_deg=row.tilt_deg,
        facing_deg=row.facing_deg,
        u_w_m2k=row.u_w_m2k,
        layers=layers,
        absorptance=row.absorptance,
        transmittance=row.transmittance,
        inward_share=row.inward_share,
        shade_factor=row.shade_factor,
    )
