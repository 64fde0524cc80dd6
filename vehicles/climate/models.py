"""The states of climate and driving that a kit is sized for."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from vehicles.records.models import CODE, Versioned, WithOrigin, between, one_of, positive, share

DUTY_KINDS = [
    ("cruise", "cruise"),
    ("town", "town"),
    ("idle", "idle, 15 min"),
    ("pull-down", "pull-down"),
    ("winter", "winter"),
]
ENGINE_STATES = [
    ("idle", "hot idle"),
    ("cruise", "by road speed"),
    ("fixed", "fixed speed"),
]
BENCH_SUBJECTS = [("compressor", "compressor"), ("system", "system")]
AIR_MODES = [("recirculated", "recirculated"), ("fresh", "fresh"), ("mixed", "mixed")]


class DutyPoint(Versioned, WithOrigin):
    """One state of climate and driving."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=DUTY_KINDS)
    outside_c = models.FloatField()
    relative_humidity = models.FloatField(help_text="0 to 1")
    altitude_m = models.FloatField(default=0)
    beam_normal_w_m2 = models.FloatField(default=0)
    diffuse_horizontal_w_m2 = models.FloatField(default=0)
    sun_altitude_deg = models.FloatField(default=0)
    heading_deg = models.FloatField(
        null=True,
        blank=True,
        help_text="car's nose from the sun; empty: worst of eight",
    )
    road_speed_km_h = models.FloatField(default=0)
    engine_state = models.CharField(max_length=8, choices=ENGINE_STATES)
    engine_rpm = models.FloatField(null=True, blank=True)
    occupants = models.PositiveSmallIntegerField(default=1)
    air_mode = models.CharField(max_length=12, choices=AIR_MODES)
    fresh_share = models.FloatField(null=True, blank=True, help_text="of the coil's air, when mixed")
    blower_share = models.FloatField(default=1.0, help_text="blower speed step, 1 is full")
    target_c = models.FloatField()
    history = HistoricalRecords()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(Lower("code"), name="duty_point_code_once"),
            one_of("kind", DUTY_KINDS, "duty_point_kind_known"),
            one_of("engine_state", ENGINE_STATES, "duty_point_engine_state_known"),
            one_of("air_mode", AIR_MODES, "duty_point_air_mode_known"),
            share("relative_humidity", "duty_point_humidity_share"),
            share("fresh_share", "duty_point_fresh_share"),
            share("blower_share", "duty_point_blower_share"),
            positive("beam_normal_w_m2", "duty_point_beam_not_negative", zero=True),
            positive("diffuse_horizontal_w_m2", "duty_point_diffuse_not_negative", zero=True),
            positive("road_speed_km_h", "duty_point_speed_not_negative", zero=True),
            between("sun_altitude_deg", 0, 90, "duty_point_sun_above_horizon"),
            between("outside_c", -60, 70, "duty_point_outside_believable"),
            positive("engine_rpm", "duty_point_engine_positive"),
        ]

    def __str__(self) -> str:
        return self.name


class DutySet(Versioned):
    """Which duty points a kit is judged by, and with what reserve."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    reserve_estimated_share = models.FloatField(default=0.20)
    reserve_calibrated_share = models.FloatField(default=0.10)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(Lower("code"), name="duty_set_code_once"),
            share("reserve_estimated_share", "duty_set_reserve_estimated_share"),
            share("reserve_calibrated_share", "duty_set_reserve_calibrated_share"),
        ]

    def __str__(self) -> str:
        return self.name


class DutySetPoint(models.Model):
    """A duty point in a set: required, or for information."""

    duty_set = models.ForeignKey(DutySet, on_delete=models.CASCADE, related_name="points")
    duty_point = models.ForeignKey(DutyPoint, on_delete=models.PROTECT, related_name="+")
    required = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["duty_set", "duty_point"], name="duty_set_point_once")]


class BenchPoint(Versioned, WithOrigin):
    """A state in which a compressor or a whole system is tested on a bench: it has no cabin."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    subject = models.CharField(max_length=10, choices=BENCH_SUBJECTS)
    speed_rpm = models.FloatField(null=True, blank=True)
    evaporating_c = models.FloatField(null=True, blank=True)
    condensing_c = models.FloatField(null=True, blank=True)
    superheat_k = models.FloatField(null=True, blank=True)
    subcooling_k = models.FloatField(null=True, blank=True)
    evaporator_air_on_c = models.FloatField(null=True, blank=True)
    relative_humidity = models.FloatField(null=True, blank=True, help_text="of the evaporator's air, 0 to 1")
    condenser_air_on_c = models.FloatField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(Lower("code"), name="bench_point_code_once"),
            one_of("subject", BENCH_SUBJECTS, "bench_point_subject_known"),
            positive("speed_rpm", "bench_point_speed_positive"),
            positive("superheat_k", "bench_point_superheat_not_negative", zero=True),
            positive("subcooling_k", "bench_point_subcooling_not_negative", zero=True),
            share("relative_humidity", "bench_point_humidity_share"),
            models.CheckConstraint(
                condition=Q(evaporating_c__isnull=True)
                | Q(condensing_c__isnull=True)
                | Q(condensing_c__gt=F("evaporating_c")),
                name="bench_point_condenses_above_evaporating",
            ),
        ]

    def __str__(self) -> str:
        return self.name
