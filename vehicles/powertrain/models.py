"""What drives the car and the kit: speeds, pulleys, charging, coolant, heat on the engine's side."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models.functions import Lower

from vehicles.cabin.models import BOUNDARIES
from vehicles.powertrain.pulleys import DRIVEN, GROOVE_MM
from vehicles.records.models import CODE, Versioned, WithOrigin, one_of, positive

DRIVES = [("combustion", "combustion engine"), ("electric", "electric motor")]
GENERATORS = [
    ("dynamo", "dynamo"),
    ("alternator", "alternator"),
    ("converter", "converter from high voltage"),
]
PULLEYS_ON = [(thing, thing) for thing in DRIVEN]
GROOVES = [(groove, groove) for groove in GROOVE_MM]
BELT_SIDES = [("inner", "inner side of the belt"), ("outer", "back of the belt")]
STATES = [("idle", "hot idle"), ("cruise", "cruise")]


class Powertrain(Versioned, WithOrigin):
    """Engine or motor of a variant, with what it can give to the kit."""

    line = models.ForeignKey("vehicles.ModelLine", on_delete=models.PROTECT, related_name="powertrains")
    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    drive = models.CharField(max_length=12, choices=DRIVES, default="combustion")
    hot_idle_rpm = models.FloatField(null=True, blank=True)
    engine_rpm_per_km_h = models.FloatField(
        null=True, blank=True, help_text="engine speed in top gear by road speed"
    )
    crank_pulley_mm = models.FloatField(
        null=True, blank=True, help_text="effective diameter that drives the compressor"
    )
    system_voltage_v = models.FloatField(null=True, blank=True)
    high_voltage_v = models.FloatField(
        null=True, blank=True, help_text="of an electric drive's battery; empty without one"
    )
    positive_earth = models.BooleanField(default=False)
    generator_kind = models.CharField(max_length=12, choices=GENERATORS, default="alternator")
    battery_ah = models.FloatField(null=True, blank=True)
    coolant_limit_c = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["line", "code"]
        constraints = [
            models.UniqueConstraint("line", Lower("code"), name="powertrain_code_once"),
            one_of("drive", DRIVES, "powertrain_drive_known"),
            one_of("generator_kind", GENERATORS, "powertrain_generator_known"),
            positive("hot_idle_rpm", "powertrain_idle_positive"),
            positive("engine_rpm_per_km_h", "powertrain_gearing_positive"),
            positive("crank_pulley_mm", "powertrain_crank_pulley_positive"),
            positive("system_voltage_v", "powertrain_voltage_positive"),
            positive("high_voltage_v", "powertrain_high_voltage_positive"),
            positive("battery_ah", "powertrain_battery_positive"),
        ]

    def __str__(self) -> str:
        return self.name


class Pulley(WithOrigin):
    """A pulley of the belt drive, seen from the front of the engine."""

    powertrain = models.ForeignKey(Powertrain, on_delete=models.CASCADE, related_name="pulleys")
    code = models.CharField(max_length=30)
    x_mm = models.FloatField()
    y_mm = models.FloatField()
    diameter_mm = models.FloatField()
    groove = models.CharField(max_length=12, blank=True, choices=GROOVES)
    belt_order = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="along the belt, beginning at the crankshaft"
    )
    plane_mm = models.FloatField(
        null=True, blank=True, help_text="groove in front of (+) or behind (−) the crankshaft's"
    )
    belt_side = models.CharField(max_length=5, choices=BELT_SIDES, default="inner")
    drives = models.CharField(
        max_length=12,
        blank=True,
        choices=PULLEYS_ON,
        help_text="what it sits on; empty where nobody has said so",
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("powertrain", Lower("code"), name="pulley_once"),
            one_of("groove", [("", ""), *GROOVES], "pulley_groove_known"),
            one_of("drives", [("", ""), *PULLEYS_ON], "pulley_drives_known"),
            one_of("belt_side", BELT_SIDES, "pulley_side_known"),
            positive("diameter_mm", "pulley_diameter_positive"),
        ]


class ChargingPoint(WithOrigin):
    """Current the generator gives at an engine speed."""

    powertrain = models.ForeignKey(Powertrain, on_delete=models.CASCADE, related_name="charging_curve")
    engine_rpm = models.FloatField()
    current_a = models.FloatField()

    class Meta:
        ordering = ["engine_rpm"]
        constraints = [
            models.UniqueConstraint(fields=["powertrain", "engine_rpm"], name="charging_point_once"),
            positive("engine_rpm", "charging_rpm_not_negative", zero=True),
            positive("current_a", "charging_current_not_negative", zero=True),
        ]


class ElectricalLoad(WithOrigin):
    """A consumer the car has without the kit."""

    powertrain = models.ForeignKey(Powertrain, on_delete=models.CASCADE, related_name="electrical_loads")
    code = models.CharField(max_length=30)
    name = models.CharField(max_length=80)
    current_a = models.FloatField()
    by_day = models.BooleanField(default=True)
    by_night = models.BooleanField(default=True)
    in_rain = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("powertrain", Lower("code"), name="electrical_load_once"),
            positive("current_a", "electrical_load_positive"),
        ]


class EngineTemperature(WithOrigin):
    """Temperature behind an engine-side surface in a state; rows are only added, the best origin wins."""

    powertrain = models.ForeignKey(Powertrain, on_delete=models.CASCADE, related_name="engine_temperatures")
    engine_state = models.CharField(max_length=8, choices=STATES)
    boundary = models.CharField(max_length=12, choices=BOUNDARIES)
    temperature_c = models.FloatField()
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            one_of("engine_state", STATES, "engine_temperature_state_known"),
            one_of("boundary", BOUNDARIES, "engine_temperature_boundary_known"),
        ]


class CoolantState(WithOrigin):
    """The engine's coolant in a state, before a condenser stands in its air."""

    powertrain = models.ForeignKey(Powertrain, on_delete=models.CASCADE, related_name="coolant_states")
    engine_state = models.CharField(max_length=8, choices=STATES)
    coolant_c = models.FloatField()
    coolant_flow_l_min = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["powertrain", "engine_state"], name="coolant_state_once"),
            one_of("engine_state", STATES, "coolant_state_known"),
            positive("coolant_flow_l_min", "coolant_flow_not_negative", zero=True),
        ]
