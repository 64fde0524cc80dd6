"""The sheets of the cars: model line, features, cabins, powertrains, variants, duty points."""

from typing import Final

from kits.exchange.columns import LINE, ONE_EACH, ORIGIN, SEVERAL, SHARED, TERMS, sheet_of

_CABIN = {"cabin": ("Cabins", "cabin")}
_POWERTRAIN = {"powertrain": ("Powertrains", "powertrain")}
_SITE = {"site": ("Sites", "site")}

CARS: Final = (
    sheet_of(
        "Model line",
        "vehicles.ModelLine",
        LINE,
        "code* name! maker note",
        purpose="The model line itself. One row.",
    ),
    sheet_of(
        "Features",
        "vehicles.Feature",
        SHARED,
        "code* name! sort:whole",
        purpose="What cars differ in: steering side, roof, charging. Each feature heads a column of options.",
    ),
    sheet_of(
        "Options",
        "vehicles.Option",
        SHARED,
        "feature* code* name! sort:whole",
        {"feature": ("Features", "feature")},
        purpose="What a feature can be: left, right.",
    ),
    sheet_of(
        "Line features",
        "vehicles.LineFeature",
        LINE,
        "feature* sort:whole",
        {"feature": ("Features", "feature")},
        of_line=True,
        purpose="Which features this line has.",
    ),
    sheet_of(
        "Line options",
        "vehicles.LineOption",
        LINE,
        "feature* option*",
        {"option": ("Options", "feature option")},
        of_line=True,
        purpose="Which of their options exist in this line.",
    ),
    sheet_of(
        "Excluded",
        "vehicles.ExcludedCombination",
        LINE,
        "code* reason!",
        of_line=True,
        options=(SEVERAL, "vehicles.ExcludedTerm", "combination"),
        purpose="Options that never come together in this line, and why.",
    ),
    sheet_of(
        "Cabins",
        "vehicles.Cabin",
        LINE,
        "code* name! volume_m3 intake_rise_k flap_leak_share fresh_air_m3_h duct_gain_w_k matrix_leak_w "
        + ORIGIN,
        of_line=True,
        purpose="The rooms to be cooled: volume, fresh air, leaks of flap, duct and heater.",
    ),
    sheet_of(
        "Leakage",
        "vehicles.CabinLeakage",
        LINE,
        "cabin* road_speed_km_h* leakage_m3_h! " + ORIGIN,
        _CABIN,
        purpose="How much air a closed cabin leaks at a road speed.",
    ),
    sheet_of(
        "Seats",
        "vehicles.Seat",
        LINE,
        "cabin* code* activity!:choice face_x_mm face_y_mm face_z_mm " + ORIGIN,
        _CABIN,
        purpose="Who sits where and does what: heat and moisture of people, and where their faces are.",
    ),
    sheet_of(
        "Surfaces",
        "vehicles.Surface",
        LINE,
        "cabin* code* name! kind!:choice boundary:choice area_m2 tilt_deg facing_deg u_w_m2k absorptance "
        "transmittance inward_share shade_factor " + ORIGIN,
        _CABIN,
        options=(TERMS, "vehicles.SurfaceTerm", "surface"),
        purpose="Roof, sides, floor, glass, canvas: area, tilt, and how heat and sun pass. By option.",
    ),
    sheet_of(
        "Layers",
        "vehicles.SurfaceLayer",
        LINE,
        "cabin* surface* layer_order*:whole material! thickness_mm! conductivity_w_mk! " + ORIGIN,
        {"surface": ("Surfaces", "cabin surface")},
        purpose="What a surface is made of, from outside to inside, in place of its U.",
    ),
    sheet_of(
        "Openings",
        "vehicles.Opening",
        LINE,
        "cabin* code* name! area_m2! height_m! " + ORIGIN,
        _CABIN,
        purpose="What is open while driving: windows without glass, an open back.",
    ),
    sheet_of(
        "Powertrains",
        "vehicles.Powertrain",
        LINE,
        "code* name! drive:choice hot_idle_rpm engine_rpm_per_km_h crank_pulley_mm system_voltage_v high_voltage_v "
        "positive_earth:yes generator_kind:choice battery_ah coolant_limit_c " + ORIGIN,
        of_line=True,
        purpose="Engines or motors: idle speed, pulley, battery, limits.",
    ),
    sheet_of(
        "Pulleys",
        "vehicles.Pulley",
        LINE,
        "powertrain* code* x_mm! y_mm! diameter_mm! groove belt_order:whole plane_mm belt_side:choice "
        + ORIGIN,
        _POWERTRAIN,
        purpose="Where each pulley stands, seen from the front. The belt's order counts from 1, a second one's "
        "from 11.",
    ),
    sheet_of(
        "Charging",
        "vehicles.ChargingPoint",
        LINE,
        "powertrain* engine_rpm* current_a! " + ORIGIN,
        _POWERTRAIN,
        purpose="What dynamo or alternator gives at an engine speed.",
    ),
    sheet_of(
        "Car loads",
        "vehicles.ElectricalLoad",
        LINE,
        "powertrain* code* name! current_a! by_day:yes by_night:yes in_rain:yes " + ORIGIN,
        _POWERTRAIN,
        purpose="What the car itself draws, by day, by night, in rain.",
    ),
    sheet_of(
        "Engine side",
        "vehicles.EngineTemperature",
        LINE,
        "powertrain! engine_state!:choice boundary!:choice temperature_c! " + ORIGIN,
        _POWERTRAIN,
        append_only=True,
        purpose="How warm bulkhead, tunnel, floor and lid get. A better value is another row.",
    ),
    sheet_of(
        "Coolant",
        "vehicles.CoolantState",
        LINE,
        "powertrain* engine_state*:choice coolant_c! coolant_flow_l_min " + ORIGIN,
        _POWERTRAIN,
        purpose="Coolant temperature and flow through the heater, idling and cruising.",
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
        purpose="The buildable cars: one option of each feature, a cabin, a powertrain.",
    ),
    sheet_of(
        "Chassis",
        "vehicles.ChassisRange",
        LINE,
        "variant* prefix* first*:whole last!:whole",
        {"variant": ("Variants", "variant")},
        purpose="Chassis numbers by which a car is told to be a variant.",
    ),
    sheet_of(
        "Sites",
        "vehicles.Site",
        SHARED,
        "code* name! latitude_deg! longitude_deg! utc_offset_h! altitude_m ground_reflectance " + ORIGIN,
        purpose="Places whose sun is worked out by date and hour.",
    ),
    sheet_of(
        "Design states",
        "vehicles.DesignState",
        SHARED,
        "site* month*:whole day:whole dry_bulb_max_c! daily_range_k! humidity_kg_kg! beam_tau! diffuse_tau! "
        + ORIGIN,
        _SITE,
        purpose="A clear, hot day of a month at a site: its air and its sky.",
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
        purpose="The climates and driving states to size for, with a fixed sun or the sun of a site.",
    ),
    sheet_of(
        "Bench points",
        "vehicles.BenchPoint",
        SHARED,
        "code* name! subject!:choice speed_rpm evaporating_c condensing_c superheat_k subcooling_k "
        "evaporator_air_on_c relative_humidity:number condenser_air_on_c " + ORIGIN,
        purpose="The states in which compressors and systems are measured on a bench.",
    ),
    sheet_of(
        "Duty sets",
        "vehicles.DutySet",
        SHARED,
        "code* name! reserve_estimated_share reserve_calibrated_share",
        purpose="Named sets of duty points, with the reserve they ask for.",
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
        purpose="Which duty points a set has, and which of them must be held.",
    ),
)
