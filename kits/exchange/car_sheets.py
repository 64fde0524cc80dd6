"""The sheets of the cars: model line, features, cabins, powertrains, variants, duty points."""

from typing import Final

from kits.exchange.columns import LINE, ONE_EACH, ORIGIN, SEVERAL, SHARED, TERMS, sheet_of

_CABIN = {"cabin": ("Cabins", "cabin")}
_POWERTRAIN = {"powertrain": ("Powertrains", "powertrain")}
_SITE = {"site": ("Sites", "site")}

CARS: Final = (
    sheet_of("Model line", "vehicles.ModelLine", LINE, "code* name! maker note"),
    sheet_of("Features", "vehicles.Feature", SHARED, "code* name! sort:whole"),
    sheet_of(
        "Options",
        "vehicles.Option",
        SHARED,
        "feature* code* name! sort:whole",
        {"feature": ("Features", "feature")},
    ),
    sheet_of(
        "Line features",
        "vehicles.LineFeature",
        LINE,
        "feature* sort:whole",
        {"feature": ("Features", "feature")},
        of_line=True,
    ),
    sheet_of(
        "Line options",
        "vehicles.LineOption",
        LINE,
        "feature* option*",
        {"option": ("Options", "feature option")},
        of_line=True,
    ),
    sheet_of(
        "Excluded",
        "vehicles.ExcludedCombination",
        LINE,
        "code* reason!",
        of_line=True,
        options=(SEVERAL, "vehicles.ExcludedTerm", "combination"),
    ),
    sheet_of(
        "Cabins",
        "vehicles.Cabin",
        LINE,
        "code* name! volume_m3 intake_rise_k flap_leak_share fresh_air_m3_h duct_gain_w_k matrix_leak_w "
        + ORIGIN,
        of_line=True,
    ),
    sheet_of(
        "Leakage",
        "vehicles.CabinLeakage",
        LINE,
        "cabin* road_speed_km_h* leakage_m3_h! " + ORIGIN,
        _CABIN,
    ),
    sheet_of(
        "Seats",
        "vehicles.Seat",
        LINE,
        "cabin* code* activity!:choice face_x_mm face_y_mm face_z_mm " + ORIGIN,
        _CABIN,
    ),
    sheet_of(
        "Surfaces",
        "vehicles.Surface",
        LINE,
        "cabin* code* name! kind!:choice boundary:choice area_m2 tilt_deg facing_deg u_w_m2k absorptance "
        "transmittance inward_share shade_factor " + ORIGIN,
        _CABIN,
        options=(TERMS, "vehicles.SurfaceTerm", "surface"),
    ),
    sheet_of(
        "Layers",
        "vehicles.SurfaceLayer",
        LINE,
        "cabin* surface* layer_order*:whole material! thickness_mm! conductivity_w_mk! " + ORIGIN,
        {"surface": ("Surfaces", "cabin surface")},
    ),
    sheet_of(
        "Openings",
        "vehicles.Opening",
        LINE,
        "cabin* code* name! area_m2! height_m! " + ORIGIN,
        _CABIN,
    ),
    sheet_of(
        "Powertrains",
        "vehicles.Powertrain",
        LINE,
        "code* name! drive:choice hot_idle_rpm engine_rpm_per_km_h crank_pulley_mm system_voltage_v high_voltage_v "
        "positive_earth:yes generator_kind:choice battery_ah coolant_limit_c " + ORIGIN,
        of_line=True,
    ),
    sheet_of(
        "Pulleys",
        "vehicles.Pulley",
        LINE,
        "powertrain* code* x_mm! y_mm! diameter_mm! groove belt_order:whole plane_mm belt_side:choice "
        + ORIGIN,
        _POWERTRAIN,
    ),
    sheet_of(
        "Charging",
        "vehicles.ChargingPoint",
        LINE,
        "powertrain* engine_rpm* current_a! " + ORIGIN,
        _POWERTRAIN,
    ),
    sheet_of(
        "Car loads",
        "vehicles.ElectricalLoad",
        LINE,
        "powertrain* code* name! current_a! by_day:yes by_night:yes in_rain:yes " + ORIGIN,
        _POWERTRAIN,
    ),
    sheet_of(
        "Engine side",
        "vehicles.EngineTemperature",
        LINE,
        "powertrain! engine_state!:choice boundary!:choice temperature_c! " + ORIGIN,
        _POWERTRAIN,
        append_only=True,
    ),
    sheet_of(
        "Coolant",
        "vehicles.CoolantState",
        LINE,
        "powertrain* engine_state*:choice coolant_c! coolant_flow_l_min " + ORIGIN,
        _POWERTRAIN,
    ),
    sheet_of(
        "Variants",
        "vehicles.Variant",
        LINE,
        "code* name! built_from:date built_until:date vehicle_category:choice reference_mass_kg cabin! powertrain! "
        "to_be_surveyed:yes",
        {**_CABIN, **_POWERTRAIN},
        of_line=True,
        options=(ONE_EACH, "vehicles.VariantOption", "variant"),
    ),
    sheet_of(
        "Chassis",
        "vehicles.ChassisRange",
        LINE,
        "variant* prefix* first*:whole last!:whole",
        {"variant": ("Variants", "variant")},
    ),
    sheet_of(
        "Sites",
        "vehicles.Site",
        SHARED,
        "code* name! latitude_deg! longitude_deg! utc_offset_h! altitude_m ground_reflectance " + ORIGIN,
    ),
    sheet_of(
        "Design states",
        "vehicles.DesignState",
        SHARED,
        "site* month*:whole day:whole dry_bulb_max_c! daily_range_k! humidity_kg_kg! beam_tau! diffuse_tau! "
        + ORIGIN,
        _SITE,
    ),
    sheet_of(
        "Duty points",
        "vehicles.DutyPoint",
        SHARED,
        "code* name! kind!:choice outside_c! relative_humidity!:number altitude_m beam_normal_w_m2 "
        "diffuse_horizontal_w_m2 sun_altitude_deg site month:whole day:whole hour_h heading_deg road_speed_km_h "
        "engine_state!:choice engine_rpm occupants:whole air_mode!:choice fresh_share blower_share target_c! "
        + ORIGIN,
        _SITE,
    ),
    sheet_of(
        "Bench points",
        "vehicles.BenchPoint",
        SHARED,
        "code* name! subject!:choice speed_rpm evaporating_c condensing_c superheat_k subcooling_k "
        "evaporator_air_on_c relative_humidity:number condenser_air_on_c " + ORIGIN,
    ),
    sheet_of(
        "Duty sets",
        "vehicles.DutySet",
        SHARED,
        "code* name! reserve_estimated_share reserve_calibrated_share",
    ),
    sheet_of(
        "Duty set points",
        "vehicles.DutySetPoint",
        SHARED,
        "duty_set* duty_point* required:yes",
        {
            "duty_set": ("Duty sets", "duty_set"),
            "duty_point": ("Duty points", "duty_point"),
        },
    ),
)
