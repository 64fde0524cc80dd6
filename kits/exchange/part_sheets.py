"""The sheets of parts, their revisions and their technical data."""

from typing import Final

from kits.exchange.columns import ORIGIN, SHARED, sheet_of

_REVISION = {"revision": ("Revisions", "part_number part_revision")}


def _points_of(sheet: str) -> dict[str, tuple[str, str]]:
    return {"data": (sheet, "part_number part_revision")}


PARTS: Final = (
    sheet_of(
        "Parts",
        "kits.Part",
        SHARED,
        "number*:text name! kind!:choice unit:choice supply:choice note",
    ),
    sheet_of(
        "Revisions",
        "kits.PartRevision",
        SHARED,
        "part_number*:text revision* maturity:choice mass_g inner_volume_ml in_force_from:date "
        "in_force_until:date " + ORIGIN,
        {"part": ("Parts", "part_number")},
    ),
    sheet_of(
        "Structure",
        "kits.StructureEdge",
        SHARED,
        "part_number*:text part_revision* number*:whole child!:text quantity!:decimal",
        {"parent": ("Revisions", "part_number part_revision"), "child": ("Parts", "child")},
    ),
    sheet_of(
        "Ports",
        "kits.Port",
        SHARED,
        "part_number*:text part_revision* code* role!:choice form!:choice size! gender!:choice material "
        "angle_deg",
        _REVISION,
    ),
    sheet_of(
        "Compressors",
        "kits.CompressorData",
        SHARED,
        "part_number*:text part_revision* displacement_cc speed_min_rpm speed_max_rpm electric:yes pulley_mm "
        "clutch_current_a supply_voltage_v " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Compressor points",
        "kits.CompressorPoint",
        SHARED,
        "part_number*:text part_revision* speed_rpm* pressure_ratio* volumetric_effectiveness! "
        "isentropic_effectiveness! " + ORIGIN,
        _points_of("Compressors"),
    ),
    sheet_of(
        "Evaporators",
        "kits.EvaporatorData",
        SHARED,
        "part_number*:text part_revision* rated_airflow_m3_h wet_drop_pa drop_exponent " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Evaporator points",
        "kits.EvaporatorPoint",
        SHARED,
        "part_number*:text part_revision* airflow_m3_h* air_in_c* relative_humidity*:number evaporating_c* "
        "total_w! sensible_w " + ORIGIN,
        _points_of("Evaporators"),
    ),
    sheet_of(
        "Condensers",
        "kits.CondenserData",
        SHARED,
        "part_number*:text part_revision* face_area_m2 " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Condenser points",
        "kits.CondenserPoint",
        SHARED,
        "part_number*:text part_revision* airflow_m3_h* air_in_c* condensing_c* heat_w! " + ORIGIN,
        _points_of("Condensers"),
    ),
    sheet_of(
        "Fans",
        "kits.FanData",
        SHARED,
        "part_number*:text part_revision* free_airflow_m3_h current_a " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Blowers",
        "kits.BlowerData",
        SHARED,
        "part_number*:text part_revision* rated_voltage_v power_w current_a " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Blower curve",
        "kits.BlowerPoint",
        SHARED,
        "part_number*:text part_revision* airflow_m3_h* static_pa! " + ORIGIN,
        _points_of("Blowers"),
    ),
    sheet_of(
        "Ducts",
        "kits.DuctData",
        SHARED,
        "part_number*:text part_revision* diameter_mm length_m roughness_mm minor_loss_factor "
        "compression_share " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Vents",
        "kits.VentData",
        SHARED,
        "part_number*:text part_revision* free_area_cm2:number loss_factor " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Valves",
        "kits.ValveData",
        SHARED,
        "part_number*:text part_revision* nominal_capacity_w max_operating_pressure_bar_g " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Driers",
        "kits.DrierData",
        SHARED,
        "part_number*:text part_revision* upright:yes " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Switches",
        "kits.SwitchData",
        SHARED,
        "part_number*:text part_revision* low_cut_out_bar_g fan_on_bar_g high_cut_out_bar_g "
        "high_reset_bar_g " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Hoses",
        "kits.HoseData",
        SHARED,
        "part_number*:text part_revision* size! bore_mm wall_family! bend_radius_mm barrier:yes " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Hose ends",
        "kits.HoseEndData",
        SHARED,
        "part_number*:text part_revision* size! adds_mm ferrule_family! angle_deg loss_factor " + ORIGIN,
        _REVISION,
    ),
)
