"""One kit in one variant: how it sits, its measured lengths and charge, and the stored answer of the sizing."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models.functions import Lower

from vehicles.catalogue.models import CATEGORIES
from vehicles.records.models import (
    CODE,
    Versioned,
    WithOrigin,
    between,
    dates_in_order,
    one_of,
    positive,
    share,
)

CONDENSER_PLACES = [(p, p) for p in ("nose", "underfloor", "inside rear lid")]
EFFECTS = [(e, e) for e in ("forbids", "asks", "informs")]
INTAKES = [(p, p) for p in ("scuttle", "cabin", "wing")]
VERDICTS = [(v, v) for v in ("strong enough", "marginal", "not enough", "not sized")]


class Market(models.Model):
    """Where a kit is sold: its rules are data with a date."""

    code = models.CharField(max_length=20, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["code"]
        constraints = [models.UniqueConstraint(Lower("code"), name="market_code_once")]

    def __str__(self) -> str:
        return self.name


class MarketRule(models.Model):
    """What the law of a market forbids or asks, from when, and where that is written. We warn and cite it."""

    market = models.ForeignKey(Market, on_delete=models.CASCADE, related_name="rules")
    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    vehicle_category = models.CharField(max_length=20, blank=True, choices=CATEGORIES, help_text="empty: any")
    refrigerant = models.CharField(max_length=10, blank=True, help_text="empty: any, or by its GWP")
    above_gwp = models.FloatField(null=True, blank=True, help_text="applies to gases with a higher GWP")
    effect = models.CharField(max_length=8, choices=EFFECTS)
    text = models.TextField()
    in_force_from = models.DateField(null=True, blank=True)
    in_force_until = models.DateField(null=True, blank=True)
    source = models.CharField(max_length=200)

    class Meta:
        ordering = ["market", "code"]
        constraints = [
            models.UniqueConstraint("market", Lower("code"), name="market_rule_code_once"),
            one_of("effect", EFFECTS, "market_rule_effect_known"),
            one_of("vehicle_category", [("", ""), *CATEGORIES], "market_rule_category_known"),
            positive("above_gwp", "market_rule_gwp_not_negative", zero=True),
            dates_in_order("market_rule_dates_in_order"),
        ]


class Fitment(Versioned, WithOrigin):
    """One kit in one variant."""

    kit = models.ForeignKey("kits.Kit", on_delete=models.PROTECT, related_name="fitments")
    variant = models.ForeignKey("vehicles.Variant", on_delete=models.PROTECT, related_name="fitments")
    condenser_place = models.CharField(max_length=16, choices=CONDENSER_PLACES, default="nose")
    ram_share = models.FloatField(
        null=True, blank=True, help_text="of road speed, through the condenser's face"
    )
    fan_installed_share = models.FloatField(null=True, blank=True, help_text="of the fan's free air")
    air_on_rise_idle_k = models.FloatField(null=True, blank=True)
    air_on_rise_cruise_k = models.FloatField(null=True, blank=True)
    suction_gain_k = models.FloatField(null=True, blank=True)
    blower_voltage_v = models.FloatField(null=True, blank=True, help_text="at the motor")
    intake = models.CharField(max_length=10, choices=INTAKES, default="scuttle")
    calibrated = models.BooleanField(default=False, help_text="a trial has calibrated the prediction")
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["kit", "variant"]
        constraints = [
            models.UniqueConstraint(fields=["kit", "variant"], name="fitment_once"),
            one_of("condenser_place", CONDENSER_PLACES, "fitment_condenser_place_known"),
            share("ram_share", "fitment_ram_share"),
            share("fan_installed_share", "fitment_fan_share"),
            positive("blower_voltage_v", "fitment_blower_voltage_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.kit} in {self.variant}"


class RouteLength(WithOrigin):
    """A length of a route in a fitment; rows are only added, the best origin wins."""

    fitment = models.ForeignKey(Fitment, on_delete=models.PROTECT, related_name="route_lengths")
    route = models.ForeignKey("kits.Route", on_delete=models.PROTECT, related_name="lengths")
    length_mm = models.FloatField()
    cars_count = models.PositiveSmallIntegerField(default=1)
    spread_mm = models.FloatField(null=True, blank=True)
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            positive("length_mm", "route_length_positive"),
            positive("spread_mm", "route_length_spread_not_negative", zero=True),
        ]


class ChargeRecord(WithOrigin):
    """The refrigerant charge of a fitment; rows are only added, the best origin wins."""

    fitment = models.ForeignKey(Fitment, on_delete=models.PROTECT, related_name="charges")
    charge_g = models.FloatField()
    tolerance_g = models.FloatField(default=25)
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            positive("charge_g", "charge_positive"),
            positive("tolerance_g", "charge_tolerance_not_negative", zero=True),
        ]


class AirTrial(WithOrigin):
    """A point measured on a car: what its blower moves against which pressure; rows are only added."""

    fitment = models.ForeignKey(Fitment, on_delete=models.PROTECT, related_name="air_trials")
    airflow_m3_h = models.FloatField(help_text="through the coil")
    blower_static_pa = models.FloatField(help_text="pressure rise across the blower")
    motor_voltage_v = models.FloatField(help_text="at the motor's plug, at this step")
    air_c = models.FloatField(default=20, help_text="of the air at the blower")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            positive("airflow_m3_h", "air_trial_airflow_positive"),
            positive("blower_static_pa", "air_trial_static_positive"),
            positive("motor_voltage_v", "air_trial_voltage_positive"),
            between("air_c", -40, 70, "air_trial_air_believable"),
        ]


class PlateauStep(Versioned, WithOrigin):
    """What was read after one step of filling, in a trial that fills until subcooling, head and vents stand still."""

    fitment = models.ForeignKey(Fitment, on_delete=models.PROTECT, related_name="plateau_steps")
    trial = models.CharField(max_length=30, validators=[RegexValidator(CODE)], help_text="names the filling")
    charge_g = models.FloatField(help_text="in the plant after this step")
    engine_rpm = models.FloatField()
    ambient_c = models.FloatField()
    subcooling_k = models.FloatField()
    high_side_bar_g = models.FloatField()
    vent_c = models.FloatField()

    class Meta:
        ordering = ["trial", "charge_g"]
        constraints = [
            models.UniqueConstraint("fitment", Lower("trial"), "charge_g", name="plateau_step_once"),
            positive("charge_g", "plateau_step_charge_positive"),
            positive("engine_rpm", "plateau_step_engine_positive"),
            between("ambient_c", -40, 70, "plateau_step_ambient_believable"),
            between("subcooling_k", -20, 60, "plateau_step_subcooling_believable"),
            between("high_side_bar_g", 0, 60, "plateau_step_head_believable"),
            between("vent_c", -20, 70, "plateau_step_vent_believable"),
        ]


class FitmentNote(models.Model):
    """What somebody wants to remember of a fitment; notes are only added."""

    fitment = models.ForeignKey(Fitment, on_delete=models.PROTECT, related_name="notes")
    text = models.TextField(max_length=4000)
    study = models.JSONField(null=True, blank=True, help_text="question and answer of a study that was kept")
    written_by = models.CharField(max_length=150)
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]


class SizedFitment(models.Model):
    """The stored answer of the sizing, so that the fit table sorts and filters in SQL."""

    fitment = models.OneToOneField(Fitment, on_delete=models.CASCADE, related_name="sized")
    verdict = models.CharField(max_length=14, choices=VERDICTS)
    verdict_rank = models.PositiveSmallIntegerField(help_text="0 strong enough to 3 not sized")
    worst_duty_point = models.CharField(max_length=30, blank=True)
    margin_share = models.FloatField(null=True, blank=True, help_text="worst required duty point")
    limit = models.CharField(max_length=40, blank=True)
    basis = models.CharField(max_length=12, default="estimated")
    missing_count = models.PositiveSmallIntegerField(default=0)
    blocking_count = models.PositiveSmallIntegerField(default=0)
    record = models.JSONField(help_text="the whole sizing record the sheets are drawn from")
    schema = models.PositiveSmallIntegerField(help_text="of the record")
    method = models.PositiveSmallIntegerField(help_text="of the calculation")
    content_key = models.CharField(
        max_length=64, blank=True, help_text="of what was sized; empty: of nothing"
    )
    catalogue_stamp = models.PositiveIntegerField()
    sized_at = models.DateTimeField()
    holds_from = models.DateField(
        null=True, help_text="on this day something it was made from began or ended; empty: on none before"
    )
    holds_until = models.DateField(
        null=True, help_text="on this day the next one will; empty: on none that is known"
    )

    class Meta:
        ordering = ["fitment"]
        constraints = [one_of("verdict", VERDICTS, "sized_fitment_verdict_known")]
        indexes = [
            models.Index(fields=["verdict", "verdict_rank", "margin_share"], name="sized_by_answer"),
            # all that freshness asks, so that no row with its long record is read for it
            models.Index(
                fields=["catalogue_stamp", "sized_at", "holds_from", "holds_until", "schema", "method"],
                name="sized_by_stamp",
            ),
        ]


class CatalogueStamp(models.Model):
    """One row: counts up with each change that a sizing depends on."""

    value = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField(auto_now=True)
