"""The states of climate and driving that a kit is sized for."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from vehicles.climate.duty_kinds import KINDS
from vehicles.records.models import CODE, Versioned, WithOrigin, between, one_of, positive, share

DUTY_KINDS = [(kind.code, kind.words) for kind in KINDS]
ENGINE_STATES = [
    ("idle", "hot idle"),
    ("cruise", "by road speed"),
    ("fixed", "fixed speed"),
]
BENCH_SUBJECTS = [("compressor", "compressor"), ("system", "system")]
AIR_MODES = [("recirculated", "recirculated"), ("fresh", "fresh"), ("mixed", "mixed")]


class Site(Versioned, WithOrigin):
    """A place whose sun is worked out by date and hour."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    latitude_deg = models.FloatField(help_text="north positive")
    longitude_deg = models.FloatField(help_text="east positive")
    utc_offset_h = models.FloatField(help_text="of standard time, east positive")
    altitude_m = models.FloatField(default=0)
    ground_reflectance = models.FloatField(default=0.2, help_text="light the ground throws back, 0 to 1")

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(Lower("code"), name="site_code_once"),
            between("latitude_deg", -90, 90, "site_latitude_on_earth"),
            between("longitude_deg", -180, 180, "site_longitude_on_earth"),
            between("altitude_m", -450, 5000, "site_altitude_believable"),
            between("utc_offset_h", -14, 14, "site_utc_offset_believable"),
            share("ground_reflectance", "site_ground_reflectance_share"),
        ]

    def __str__(self) -> str:
        return self.name


def day_in_month(name: str) -> models.CheckConstraint:
    """``day`` exists in ``month`` of any year, or one of them is empty."""
    test = (
        Q(day__isnull=True)
        | Q(month__isnull=True)
        | (Q(day__gte=1) & Q(day__lte=28))
        | (Q(day__lte=30) & Q(day__gte=1) & ~Q(month=2))
        | (Q(day=31) & Q(month__in=[1, 3, 5, 7, 8, 10, 12]))
    )
    return models.CheckConstraint(condition=test, name=name)


class DesignState(Versioned, WithOrigin):
    """A clear, hot day of a month at a site: its air, and how clear its sky is."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="design_states")
    month = models.PositiveSmallIntegerField()
    day = models.PositiveSmallIntegerField(default=21)
    dry_bulb_max_c = models.FloatField()
    daily_range_k = models.FloatField()
    humidity_kg_kg = models.FloatField()
    beam_tau = models.FloatField(help_text="optical depth of the beam")
    diffuse_tau = models.FloatField(help_text="optical depth of the diffuse light")

    class Meta:
        ordering = ["site", "month"]
        constraints = [
            models.UniqueConstraint(fields=["site", "month"], name="design_state_once_a_month"),
            between("month", 1, 12, "design_state_month_exists"),
            day_in_month("design_state_day_exists"),
            between("dry_bulb_max_c", -40, 60, "design_state_dry_bulb_believable"),
            between("daily_range_k", 0, 40, "design_state_range_believable"),
            between("humidity_kg_kg", 0, 0.04, "design_state_humidity_believable"),
            between("beam_tau", 0.05, 2, "design_state_beam_tau_believable"),
            between("diffuse_tau", 0.5, 4, "design_state_diffuse_tau_believable"),
        ]

    def __str__(self) -> str:
        return f"{self.site.name}, month {self.month}"


class DutyPoint(Versioned, WithOrigin):
    """One state of climate and driving. Its sun is given as it stands, or by a site with month and hour."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=DUTY_KINDS)
    outside_c = models.FloatField()
    relative_humidity = models.FloatField(help_text="0 to 1")
    altitude_m = models.FloatField(default=0)
    beam_normal_w_m2 = models.FloatField(default=0)
    diffuse_horizontal_w_m2 = models.FloatField(default=0)
    sun_altitude_deg = models.FloatField(default=0)
    site = models.ForeignKey(
        Site,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text="in place of a fixed sun",
    )
    month = models.PositiveSmallIntegerField(null=True, blank=True, help_text="at the site, 1 to 12")
    day = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="at the site; empty: that of its design state"
    )
    hour_h = models.FloatField(null=True, blank=True, help_text="at the site, standard time")
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
            between("month", 1, 12, "duty_point_month_exists"),
            day_in_month("duty_point_day_exists"),
            between("hour_h", 0, 24, "duty_point_hour_exists"),
            models.CheckConstraint(
                condition=(Q(site__isnull=False) & Q(month__isnull=False) & Q(hour_h__isnull=False))
                | (
                    Q(site__isnull=True)
                    & Q(month__isnull=True)
                    & Q(day__isnull=True)
                    & Q(hour_h__isnull=True)
                ),
                name="duty_point_site_with_month_and_hour",
            ),
            models.CheckConstraint(
                condition=Q(site__isnull=True)
                | (Q(beam_normal_w_m2=0) & Q(diffuse_horizontal_w_m2=0) & Q(sun_altitude_deg=0)),
                name="duty_point_one_sun",
            ),
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
