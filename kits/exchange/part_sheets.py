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
        "in_force_until:date un_number:text goods_class " + ORIGIN,
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
        "clutch_current_a supply_voltage_v oil oil_prefill_ml " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Compressor points",
        "kits.CompressorPoint",
        SHARED,
        "part_number*:text part_revision* speed_rpm* pressure_ratio* volumetric_effectiveness! "
        "isentropic_effectiveness! bench_point " + ORIGIN,
        {**_points_of("Compressors"), "bench_point": ("Bench points", "bench_point")},
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
        "total_w! sensible_w bench_point " + ORIGIN,
        {**_points_of("Evaporators"), "bench_point": ("Bench points", "bench_point")},
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
        "part_number*:text part_revision* airflow_m3_h* air_in_c* condensing_c* heat_w! bench_point "
        + ORIGIN,
        {**_points_of("Condensers"), "bench_point": ("Bench points", "bench_point")},
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
        "part_number*:text part_revision* rated_voltage_v power_w current_a step_by_resistor:yes " + ORIGIN,
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
        "Blower steps",
        "kits.BlowerStep",
        SHARED,
        "part_number*:text part_revision* step*:whole voltage_share! current_a " + ORIGIN,
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
    sheet_of(
        "Filters",
        "kits.FilterData",
        SHARED,
        "part_number*:text part_revision* rated_airflow_m3_h clean_drop_pa clogged_drop_pa " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Matrices",
        "kits.MatrixData",
        SHARED,
        "part_number*:text part_revision* rated_airflow_m3_h air_drop_pa " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Matrix points",
        "kits.MatrixPoint",
        SHARED,
        "part_number*:text part_revision* airflow_m3_h* coolant_flow_l_min* air_in_c* water_in_c* heat_w! "
        + ORIGIN,
        _points_of("Matrices"),
    ),
    sheet_of(
        "Water valves",
        "kits.WaterValveData",
        SHARED,
        "part_number*:text part_revision* bore_mm leak_l_min supply_voltage_v " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Insulation",
        "kits.InsulationData",
        SHARED,
        "part_number*:text part_revision* thickness_mm conductivity_w_mk limit_c " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Pulley data",
        "kits.PulleyData",
        SHARED,
        "part_number*:text part_revision* diameter_mm groove!:choice groove_count:whole plane_mm " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Brackets",
        "kits.BracketData",
        SHARED,
        "part_number*:text part_revision* bolt_size! bolt_count:whole torque_low_nm torque_high_nm " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Generators",
        "kits.GeneratorData",
        SHARED,
        "part_number*:text part_revision* generator_kind!:choice rated_voltage_v rated_current_a pulley_mm "
        + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Generator curve",
        "kits.GeneratorPoint",
        SHARED,
        "part_number*:text part_revision* generator_rpm* current_a! " + ORIGIN,
        _points_of("Generators"),
    ),
    sheet_of(
        "Harness data",
        "kits.HarnessData",
        SHARED,
        "part_number*:text part_revision* system_voltage_v positive_earth:yes " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Connectors",
        "kits.ConnectorData",
        SHARED,
        "part_number*:text part_revision* cavity_count:whole sealed:yes rated_current_a section_low_mm2 "
        "section_high_mm2 " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Controllers",
        "kits.ControllerData",
        SHARED,
        "part_number*:text part_revision* supply_voltage_v software:text " + ORIGIN,
        {**_REVISION, "software": ("Parts", "software")},
    ),
    sheet_of(
        "O-rings",
        "kits.ORingData",
        SHARED,
        "part_number*:text part_revision* size! rubber! " + ORIGIN,
        _REVISION,
    ),
    sheet_of(
        "Supersessions",
        "kits.Supersession",
        SHARED,
        "old*:text new*:text in_force_from:date both_ways:yes note",
        {"old": ("Parts", "old"), "new": ("Parts", "new")},
    ),
    sheet_of("Suppliers", "kits.Supplier", SHARED, "code* name! note"),
    sheet_of(
        "Supplier parts",
        "kits.SupplierPart",
        SHARED,
        "part_number*:text supplier* supplier_number:text lead_time_d:whole pack_quantity:decimal preferred:yes",
        {"part": ("Parts", "part_number"), "supplier": ("Suppliers", "supplier")},
    ),
    sheet_of(
        "Prices",
        "kits.PartPrice",
        SHARED,
        "part_number*:text supplier* in_force_from*:date from_quantity*:decimal price!:decimal",
        {"supplier_part": ("Supplier parts", "part_number supplier")},
    ),
)
