"""Cabin rows to the heat load's values, for the options of one car."""

from collections.abc import Mapping

from vehicles.cabin import models
from vehicles.heatload.inputs import CabinData, Opening, Seat, Surface
from vehicles.records.terms import terms_of


def cabin_data(row: models.Cabin, options: Mapping[str, str]) -> CabinData:
    """The cabin with the surfaces that exist with these options; related rows must be prefetched."""
    return CabinData(
        row.volume_m3,
        tuple(_surface(s) for s in row.surfaces.all() if _applies(s, options)),
        tuple(Seat(s.code, s.activity, s.face_x_mm, s.face_y_mm, s.face_z_mm) for s in row.seats.all()),
        tuple(Opening(o.code, o.area_m2, o.height_m) for o in row.openings.all()),
        tuple((leak.road_speed_km_h, leak.leakage_m3_h) for leak in row.leakage.all()),
        row.intake_rise_k,
        row.flap_leak_share,
        row.fresh_air_m3_h,
    )


def _applies(row: models.Surface, options: Mapping[str, str]) -> bool:
    return terms_of((t.option.feature.code, t.option.code, t.excluded) for t in row.terms.all()).applies(
        options
    )


def _surface(row: models.Surface) -> Surface:
    layers = tuple((layer.thickness_mm, layer.conductivity_w_mk) for layer in row.layers.all())
    return Surface(
        row.code, row.name, row.kind, row.boundary, row.area_m2, row.tilt_deg, row.facing_deg, row.u_w_m2k, layers,
        row.absorptance, row.transmittance, row.inward_share, row.shade_factor,
    )  # fmt: skip
