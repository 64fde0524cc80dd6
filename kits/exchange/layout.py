"""The workbook's layout: its sheets in order, their columns, keys and references.

One sheet is one table. A row is known by its key columns; where a table points at another, the sheet carries
the key columns of the other in place of a number nobody can read. Choices and lengths come from the models
(kits.exchange.bridge completes the columns), so that they are written down once.

Heads are the field's words with the unit in brackets: `area_m2` is "area [m²]".
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from vehicles.physics.quantities import is_dimensionless, quantity_of

FORMAT: Final = 1
ABOUT: Final = "About"
ABOUT_LINE: Final = "model line"
ABOUT_FORMAT: Final = "format"
ABOUT_COMPLETE: Final = "complete"
OPTION_HEAD: Final = "option: "

TEXT: Final = "text"
NUMBER: Final = "number"
WHOLE: Final = "whole number"
DECIMAL: Final = "decimal"
DATE: Final = "date"
YES_NO: Final = "yes/no"
CHOICE: Final = "choice"
LIST: Final = "list"
OPTIONS: Final = "options"
NUMERIC: Final = frozenset({NUMBER, WHOLE, DECIMAL})

LINE: Final = "line"
SHARED: Final = "shared"

# How a sheet uses its option columns, one a feature: not at all, exactly one option ("left"), several
# ("left, right"), or terms ("left", "left, right", "not electric", blank for any).
NO_OPTIONS: Final = ""
ONE_EACH: Final = "one option a feature"
SEVERAL: Final = "several options"
TERMS: Final = "terms"

ORIGIN: Final = "origin_kind:choice origin_source origin_by origin_on:date origin_note"

HEADS: Final = {
    "engine_rpm_per_km_h": "engine speed per road speed [rpm per km/h]",
    "minutes_min": "time [min]",
    "u_w_m2k": "U [W/m²K]",
    "position_a": "position A",
    "port_a": "port A",
    "position_b": "position B",
    "port_b": "port B",
    "end_a": "end A",
    "end_b": "end B",
    "fits_positions": "fits positions",
    "joins_joints": "joins joints",
    "wires_circuits": "wires circuits",
    "step_key": "step",
    "free_area_cm2": "free area [cm²]",
}


@dataclass(frozen=True)
class Column:
    """One column: the field it fills, its head, what a cell holds, whether a cell may be blank."""

    field: str
    head: str
    kind: str
    required: bool = False
    key: bool = False
    choices: tuple[str, ...] = ()
    max_length: int | None = None
    decimals: int | None = None
    low: int | None = None
    high: int | None = None
    pattern: str = ""
    default: str | float | Decimal | bool | None = None


@dataclass(frozen=True)
class Reference:
    """The model's `field` points at the row of `sheet` whose key stands in these columns."""

    field: str
    sheet: str
    columns: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """One table: who owns it, its columns and what they point at.

    `of_line`: the model has a field `line`, filled from the first sheet. `append_only`: rows are only added,
    each known by all its columns. `options`: how the option columns are used; the rows of `option_model`
    carry them, by its field `option_owner`.
    """

    name: str
    model: str
    owner: str
    columns: tuple[Column, ...]
    references: tuple[Reference, ...] = ()
    of_line: bool = False
    append_only: bool = False
    options: str = NO_OPTIONS
    option_model: str = ""
    option_owner: str = ""

    @property
    def key(self) -> tuple[str, ...]:
        """The fields that tell one row from another."""
        return tuple(column.field for column in self.columns if column.key)

    @property
    def by_field(self) -> dict[str, Column]:
        """The columns by field."""
        return {column.field: column for column in self.columns}

    @property
    def parent(self) -> Reference | None:
        """The first reference that is part of the row's key: the row belongs to what it points at."""
        key = set(self.key)
        return next((r for r in self.references if set(r.columns) <= key), None)

    def reference_of(self, field: str) -> Reference | None:
        """The first reference a column is part of, or None for a field of the row itself."""
        return next((r for r in self.references if field in r.columns), None)


def head_of(field: str, kind: str) -> str:
    """The head of a field: its words, and its unit in brackets when it holds a number with one."""
    if field in HEADS:
        return HEADS[field]
    quantity = quantity_of(field) if kind in NUMERIC else None
    if quantity is None:
        return field.replace("_", " ")
    words = field.removesuffix("_" + quantity.key).replace("_", " ")
    return f"{words} [{quantity.unit}]"


def _column(word: str, all_key: bool) -> Column:
    name, _, kind = word.partition(":")
    field = name.rstrip("*!")
    if not kind:
        kind = NUMBER if quantity_of(field) or is_dimensionless(field) else TEXT
    kind = {"whole": WHOLE, "yes": YES_NO}.get(kind, kind)
    key = name.endswith("*")
    return Column(field, head_of(field, kind), kind, required=key or name.endswith("!"), key=key or all_key)


def _sheet(
    name: str,
    model: str,
    owner: str,
    columns: str,
    references: Mapping[str, tuple[str, str]] | None = None,
    *,
    of_line: bool = False,
    append_only: bool = False,
    options: tuple[str, str, str] = (NO_OPTIONS, "", ""),
) -> Sheet:
    """A sheet from its columns in one string: `field:kind`, `*` after a key, `!` after a required field."""
    return Sheet(
        name,
        model,
        owner,
        tuple(_column(word, append_only) for word in columns.split()),
        tuple(Reference(f, sheet, tuple(cols.split())) for f, (sheet, cols) in (references or {}).items()),
        of_line,
        append_only,
        *options,
    )


_CABIN = {"cabin": ("Cabins", "cabin")}
_POWERTRAIN = {"powertrain": ("Powertrains", "powertrain")}
_KIT = {"kit": ("Kits", "kit")}
_POSITION = {"position": ("Positions", "kit position")}
_REVISION = {"revision": ("Revisions", "part_number part_revision")}
_FITMENT = {"fitment": ("Fitments", "kit variant")}


def _points_of(sheet: str) -> dict[str, tuple[str, str]]:
    return {"data": (sheet, "part_number part_revision")}


CARS: Final = (
    _sheet("Model line", "vehicles.ModelLine", LINE, "code* name! maker note"),
    _sheet("Features", "vehicles.Feature", SHARED, "code* name! sort:whole"),
    _sheet(
        "Options",
        "vehicles.Option",
        SHARED,
        "feature* code* name! sort:whole",
        {"feature": ("Features", "feature")},
    ),
    _sheet(
        "Line options",
        "vehicles.LineOption",
        LINE,
        "feature* option*",
        {"option": ("Options", "feature option")},
        of_line=True,
    ),
    _sheet(
        "Excluded",
        "vehicles.ExcludedCombination",
        LINE,
        "code* reason!",
        of_line=True,
        options=(SEVERAL, "vehicles.ExcludedTerm", "combination"),
    ),
    _sheet(
        "Cabins",
        "vehicles.Cabin",
        LINE,
        "code* name! volume_m3 intake_rise_k flap_leak_share fresh_air_m3_h duct_gain_w_k matrix_leak_w "
        + ORIGIN,
        of_line=True,
    ),
    _sheet(
        "Leakage",
        "vehicles.CabinLeakage",
        LINE,
        "cabin* road_speed_km_h* leakage_m3_h! " + ORIGIN,
        _CABIN,
    ),
    _sheet(
        "Seats",
        "vehicles.Seat",
        LINE,
        "cabin* code* activity!:choice face_x_mm face_y_mm face_z_mm " + ORIGIN,
        _CABIN,
    ),
    _sheet(
        "Surfaces",
        "vehicles.Surface",
        LINE,
        "cabin* code* name! kind!:choice boundary:choice area_m2 tilt_deg facing_deg u_w_m2k absorptance "
        "transmittance inward_share shade_factor " + ORIGIN,
        _CABIN,
        options=(TERMS, "vehicles.SurfaceTerm", "surface"),
    ),
    _sheet(
        "Layers",
        "vehicles.SurfaceLayer",
        LINE,
        "cabin* surface* layer_order*:whole material! thickness_mm! conductivity_w_mk! " + ORIGIN,
        {"surface": ("Surfaces", "cabin surface")},
    ),
    _sheet(
        "Openings",
        "vehicles.Opening",
        LINE,
        "cabin* code* name! area_m2! height_m! " + ORIGIN,
        _CABIN,
    ),
    _sheet(
        "Powertrains",
        "vehicles.Powertrain",
        LINE,
        "code* name! drive:choice hot_idle_rpm engine_rpm_per_km_h crank_pulley_mm system_voltage_v "
        "positive_earth:yes generator_kind:choice battery_ah coolant_limit_c " + ORIGIN,
        of_line=True,
    ),
    _sheet(
        "Pulleys",
        "vehicles.Pulley",
        LINE,
        "powertrain* code* x_mm! y_mm! diameter_mm! groove " + ORIGIN,
        _POWERTRAIN,
    ),
    _sheet(
        "Charging",
        "vehicles.ChargingPoint",
        LINE,
        "powertrain* engine_rpm* current_a! " + ORIGIN,
        _POWERTRAIN,
    ),
    _sheet(
        "Car loads",
        "vehicles.ElectricalLoad",
        LINE,
        "powertrain* code* name! current_a! by_day:yes by_night:yes in_rain:yes " + ORIGIN,
        _POWERTRAIN,
    ),
    _sheet(
        "Engine side",
        "vehicles.EngineTemperature",
        LINE,
        "powertrain! engine_state!:choice boundary!:choice temperature_c! " + ORIGIN,
        _POWERTRAIN,
        append_only=True,
    ),
    _sheet(
        "Coolant",
        "vehicles.CoolantState",
        LINE,
        "powertrain* engine_state*:choice coolant_c! coolant_flow_l_min " + ORIGIN,
        _POWERTRAIN,
    ),
    _sheet(
        "Variants",
        "vehicles.Variant",
        LINE,
        "code* name! built_from:date built_until:date vehicle_category reference_mass_kg cabin! powertrain!",
        {**_CABIN, **_POWERTRAIN},
        of_line=True,
        options=(ONE_EACH, "vehicles.VariantOption", "variant"),
    ),
    _sheet(
        "Chassis",
        "vehicles.ChassisRange",
        LINE,
        "variant* prefix* first*:whole last!:whole",
        {"variant": ("Variants", "variant")},
    ),
    _sheet(
        "Duty points",
        "vehicles.DutyPoint",
        SHARED,
        "code* name! kind!:choice outside_c! relative_humidity!:number altitude_m beam_normal_w_m2 "
        "diffuse_horizontal_w_m2 sun_altitude_deg heading_deg road_speed_km_h engine_state!:choice "
        "engine_rpm occupants:whole air_mode!:choice fresh_share blower_share target_c! " + ORIGIN,
    ),
    _sheet(
        "Duty sets",
        "vehicles.DutySet",
        SHARED,
        "code* name! reserve_estimated_share reserve_calibrated_share",
    ),
    _sheet(
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

PARTS: Final = (
    _sheet(
        "Parts",
        "kits.Part",
        SHARED,
        "number*:text name! kind!:choice unit:choice supply:choice note",
    ),
    _sheet(
        "Revisions",
        "kits.PartRevision",
        SHARED,
        "part_number*:text revision* maturity:choice mass_g inner_volume_ml in_force_from:date "
        "in_force_until:date " + ORIGIN,
        {"part": ("Parts", "part_number")},
    ),
    _sheet(
        "Structure",
        "kits.StructureEdge",
        SHARED,
        "part_number*:text part_revision* number*:whole child!:text quantity!:decimal",
        {"parent": ("Revisions", "part_number part_revision"), "child": ("Parts", "child")},
    ),
    _sheet(
        "Ports",
        "kits.Port",
        SHARED,
        "part_number*:text part_revision* code* role!:choice form!:choice size! gender!:choice material "
        "angle_deg",
        _REVISION,
    ),
    _sheet(
        "Compressors",
        "kits.CompressorData",
        SHARED,
        "part_number*:text part_revision* displacement_cc speed_min_rpm speed_max_rpm electric:yes pulley_mm "
        "clutch_current_a supply_voltage_v " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Compressor points",
        "kits.CompressorPoint",
        SHARED,
        "part_number*:text part_revision* speed_rpm* pressure_ratio* volumetric_effectiveness! "
        "isentropic_effectiveness! " + ORIGIN,
        _points_of("Compressors"),
    ),
    _sheet(
        "Evaporators",
        "kits.EvaporatorData",
        SHARED,
        "part_number*:text part_revision* rated_airflow_m3_h wet_drop_pa drop_exponent " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Evaporator points",
        "kits.EvaporatorPoint",
        SHARED,
        "part_number*:text part_revision* airflow_m3_h* air_in_c* relative_humidity*:number evaporating_c* "
        "total_w! sensible_w " + ORIGIN,
        _points_of("Evaporators"),
    ),
    _sheet(
        "Condensers",
        "kits.CondenserData",
        SHARED,
        "part_number*:text part_revision* face_area_m2 " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Condenser points",
        "kits.CondenserPoint",
        SHARED,
        "part_number*:text part_revision* airflow_m3_h* air_in_c* condensing_c* heat_w! " + ORIGIN,
        _points_of("Condensers"),
    ),
    _sheet(
        "Fans",
        "kits.FanData",
        SHARED,
        "part_number*:text part_revision* free_airflow_m3_h current_a " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Blowers",
        "kits.BlowerData",
        SHARED,
        "part_number*:text part_revision* rated_voltage_v power_w current_a " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Blower curve",
        "kits.BlowerPoint",
        SHARED,
        "part_number*:text part_revision* airflow_m3_h* static_pa! " + ORIGIN,
        _points_of("Blowers"),
    ),
    _sheet(
        "Ducts",
        "kits.DuctData",
        SHARED,
        "part_number*:text part_revision* diameter_mm length_m roughness_mm minor_loss_factor "
        "compression_share " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Vents",
        "kits.VentData",
        SHARED,
        "part_number*:text part_revision* free_area_cm2:number loss_factor " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Valves",
        "kits.ValveData",
        SHARED,
        "part_number*:text part_revision* nominal_capacity_w max_operating_pressure_bar_g " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Driers",
        "kits.DrierData",
        SHARED,
        "part_number*:text part_revision* upright:yes " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Switches",
        "kits.SwitchData",
        SHARED,
        "part_number*:text part_revision* low_cut_out_bar_g fan_on_bar_g high_cut_out_bar_g "
        "high_reset_bar_g " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Hoses",
        "kits.HoseData",
        SHARED,
        "part_number*:text part_revision* size! bore_mm wall_family! bend_radius_mm barrier:yes " + ORIGIN,
        _REVISION,
    ),
    _sheet(
        "Hose ends",
        "kits.HoseEndData",
        SHARED,
        "part_number*:text part_revision* size! adds_mm ferrule_family! angle_deg loss_factor " + ORIGIN,
        _REVISION,
    ),
)

KITS: Final = (
    _sheet(
        "Kits",
        "kits.Kit",
        SHARED,
        "code* name! refrigerant!:choice oil! oil_ml superheat_k subcooling_k freeze_mode:choice "
        "freeze_cut_out_c freeze_cut_in_c fan_on_bar_g high_cut_out_bar_g high_reset_bar_g low_cut_out_bar_g "
        "discharge_limit_c supply_voltage_v kit_current_a " + ORIGIN,
    ),
    _sheet(
        "Offers",
        "kits.KitOffer",
        LINE,
        "kit* market* duty_set!",
        {**_KIT, "duty_set": ("Duty sets", "duty_set")},
        of_line=True,
    ),
    _sheet(
        "Positions",
        "kits.Position",
        SHARED,
        "kit* number*:whole name! zone! bag role rule:choice",
        _KIT,
    ),
    _sheet(
        "Entries",
        "kits.Entry",
        SHARED,
        "kit* position*:whole number*:whole part_number!:text quantity:decimal in_force_from:date "
        "in_force_until:date alternate:yes",
        {**_POSITION, "part": ("Parts", "part_number")},
        options=(TERMS, "kits.EntryTerm", "entry"),
    ),
    _sheet(
        "Routes",
        "kits.Route",
        LINE,
        "code* name! heat_note rock_mm " + ORIGIN,
        of_line=True,
    ),
    _sheet(
        "Hose runs",
        "kits.HoseRun",
        SHARED,
        "kit* position*:whole number*:whole route! hose! end_a!:text end_b!:text clocking_deg slack_share "
        "slack_min_mm sleeve service_port crimp_place:choice tag!",
        {
            **_POSITION,
            "route": ("Routes", "route"),
            "hose": ("Parts", "hose"),
            "end_a": ("Parts", "end_a"),
            "end_b": ("Parts", "end_b"),
        },
        options=(TERMS, "kits.HoseRunTerm", "hose_run"),
    ),
    _sheet(
        "Joints",
        "kits.Joint",
        SHARED,
        "kit* code* position_a!:whole port_a!:text position_b!:whole port_b!:text",
        {
            **_KIT,
            "position_a": ("Positions", "kit position_a"),
            "position_b": ("Positions", "kit position_b"),
        },
    ),
    _sheet(
        "Circuits",
        "kits.Circuit",
        SHARED,
        "kit* position*:whole number*:whole from_connector! from_cavity! to_connector! to_cavity! colour! "
        "section_mm2! length_mm terminal seal fuse_a current_a",
        _POSITION,
    ),
    _sheet(
        "Steps",
        "kits.KitStep",
        SHARED,
        "kit* key* step_order!:whole zone! kind!:choice text! minutes_min tool caution hold_point:yes "
        "photo:yes in_force_from:date in_force_until:date fits_positions:list joins_joints:list "
        "wires_circuits:list",
        _KIT,
        options=(TERMS, "kits.StepTerm", "step"),
    ),
    _sheet(
        "Readings",
        "kits.ReadingSpec",
        SHARED,
        "kit* step_key* number*:whole name! unit! low:decimal high:decimal limit_from:choice",
        {"step": ("Steps", "kit step_key")},
    ),
    _sheet(
        "Fitments",
        "kits.Fitment",
        LINE,
        "kit* variant* condenser_place:choice ram_share fan_installed_share air_on_rise_idle_k "
        "air_on_rise_cruise_k suction_gain_k blower_voltage_v intake:choice calibrated:yes note " + ORIGIN,
        {**_KIT, "variant": ("Variants", "variant")},
    ),
    _sheet(
        "Lengths",
        "kits.RouteLength",
        LINE,
        "kit! variant! route! length_mm! cars_count:whole spread_mm instrument " + ORIGIN,
        {**_FITMENT, "route": ("Routes", "route")},
        append_only=True,
    ),
    _sheet(
        "Charges",
        "kits.ChargeRecord",
        LINE,
        "kit! variant! charge_g! tolerance_g " + ORIGIN,
        _FITMENT,
        append_only=True,
    ),
)

SHEETS: Final = CARS + PARTS + KITS
BY_NAME: Final = {sheet.name: sheet for sheet in SHEETS}

# The three list columns of the Steps sheet: field, what a step points at, and the sheet whose key is meant.
# A list holds "10, 20", "J1, J2" or "110/1, 110/2" (position/number) within the step's kit.
STEP_LISTS: Final = (
    ("fits_positions", "position", "Positions"),
    ("joins_joints", "joint", "Joints"),
    ("wires_circuits", "circuit", "Circuits"),
)
STEPS: Final = "Steps"

LINE_SHEET: Final = "Model line"
FITMENTS: Final = "Fitments"

# What a row must hold beyond single cells, by the name of the database's own rule.
RULE_SENTENCES: Final = {
    "surface_absorbs_and_passes_at_most_all": "Absorptance and transmittance together are at most 1.",
    "variant_built_in_order": "Built until must be later than built from.",
    "chassis_range_in_order": "The last number must not be below the first.",
    "part_revision_dates_in_order": "In force until must be later than in force from.",
    "entry_dates_in_order": "In force until must be later than in force from.",
    "step_dates_in_order": "In force until must be later than in force from.",
    "reading_limits_in_order": "The high limit must not be below the low one.",
}


def option_field(feature_code: str) -> str:
    """The field of a feature's column."""
    return OPTION_HEAD.strip() + feature_code.casefold()


@dataclass(frozen=True)
class FeatureOptions:
    """A feature with its options by folded code."""

    code: str
    name: str
    options: Mapping[str, str]


def with_options(sheet: Sheet, features: Iterable[FeatureOptions]) -> Sheet:
    """The sheet with one column for each feature, when it uses them."""
    if not sheet.options:
        return sheet
    more = tuple(
        Column(
            option_field(feature.code),
            OPTION_HEAD + feature.name,
            OPTIONS,
            choices=tuple(feature.options.values()),
            default="",
        )
        for feature in features
    )
    return replace(sheet, columns=sheet.columns + more)
