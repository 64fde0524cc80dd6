"""A kit: positions and entries, joints, hose runs, harness circuits and steps."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from kits.parts.data_models import REFRIGERANTS
from vehicles.records.models import (
    CODE,
    OptionTerm,
    Versioned,
    WithOrigin,
    one_of,
    positive,
)

FREEZE_MODES = [(m, m) for m in ("cycling", "suction-regulated", "speed-controlled")]
RULES = [
    ("exactly one", "exactly one"),
    ("at most one", "at most one"),
    ("any", "any number"),
]
STEP_KINDS = [
    (k, k)
    for k in (
        "as-found", "remove", "keep", "prepare", "fit", "route", "connect", "wire", "pressure test", "evacuate",
        "charge", "test", "refit", "hand over",
    )
]  # fmt: skip
CRIMP_PLACES = [("works", "at works"), ("car", "at the car")]
LIMITS_FROM = [("fixed", "fixed"), ("charge", "charge"), ("prediction", "prediction")]


def _dates_in_order(name: str) -> models.CheckConstraint:
    return models.CheckConstraint(
        condition=Q(in_force_until__isnull=True)
        | Q(in_force_from__isnull=True)
        | Q(in_force_until__gt=F("in_force_from")),
        name=name,
    )


class Kit(Versioned, WithOrigin):
    """One kit with the settings of its refrigerant circuit."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    refrigerant = models.CharField(max_length=10, choices=REFRIGERANTS)
    oil = models.CharField(max_length=40)
    oil_ml = models.FloatField(null=True, blank=True)
    superheat_k = models.FloatField(null=True, blank=True)
    subcooling_k = models.FloatField(null=True, blank=True)
    freeze_mode = models.CharField(max_length=20, choices=FREEZE_MODES, default="cycling")
    freeze_cut_out_c = models.FloatField(null=True, blank=True)
    freeze_cut_in_c = models.FloatField(null=True, blank=True)
    fan_on_bar_g = models.FloatField(null=True, blank=True)
    high_cut_out_bar_g = models.FloatField(null=True, blank=True)
    high_reset_bar_g = models.FloatField(null=True, blank=True)
    low_cut_out_bar_g = models.FloatField(null=True, blank=True)
    discharge_limit_c = models.FloatField(null=True, blank=True)
    supply_voltage_v = models.FloatField(null=True, blank=True)
    kit_current_a = models.FloatField(null=True, blank=True, help_text="everything on")
    history = HistoricalRecords()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(Lower("code"), name="kit_code_once"),
            one_of("refrigerant", REFRIGERANTS, "kit_refrigerant_known"),
            one_of("freeze_mode", FREEZE_MODES, "kit_freeze_mode_known"),
            positive("superheat_k", "kit_superheat_not_negative", zero=True),
            positive("subcooling_k", "kit_subcooling_not_negative", zero=True),
        ]

    def __str__(self) -> str:
        return self.name


class KitOffer(models.Model):
    """A kit offered for a model line in a market: the universe of the kit."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="offers")
    line = models.ForeignKey("vehicles.ModelLine", on_delete=models.PROTECT, related_name="offers")
    market = models.CharField(max_length=20)
    duty_set = models.ForeignKey("vehicles.DutySet", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["kit", "line", "market"]
        constraints = [models.UniqueConstraint(fields=["kit", "line", "market"], name="kit_offer_once")]


class Position(models.Model):
    """A numbered place in a kit's parts list (part reference of ISO 7573)."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="positions")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=40)
    bag = models.CharField(max_length=20, blank=True)
    role = models.CharField(max_length=20, blank=True, help_text="compressor, evaporator, suction hose …")
    rule = models.CharField(max_length=12, choices=RULES, default="exactly one")

    class Meta:
        ordering = ["kit", "number"]
        constraints = [
            models.UniqueConstraint(fields=["kit", "number"], name="position_number_once"),
            one_of("rule", RULES, "position_rule_known"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


class Entry(models.Model):
    """A part that may fill a position."""

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="entries")
    number = models.PositiveSmallIntegerField()
    part = models.ForeignKey("kits.Part", on_delete=models.PROTECT, related_name="entries")
    quantity = models.DecimalField(max_digits=10, decimal_places=3, default=1)
    in_force_from = models.DateField(null=True, blank=True)
    in_force_until = models.DateField(null=True, blank=True)
    alternate = models.BooleanField(default=False)

    class Meta:
        ordering = ["position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["position", "number"], name="entry_number_once"),
            positive("quantity", "entry_quantity_positive"),
            _dates_in_order("entry_dates_in_order"),
        ]


class EntryTerm(OptionTerm):
    """An option the entry applies to."""

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="terms")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["entry", "option"], name="entry_term_once")]


class Route(WithOrigin):
    """A named path through the cars of a line."""

    line = models.ForeignKey("vehicles.ModelLine", on_delete=models.CASCADE, related_name="routes")
    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    heat_note = models.CharField(max_length=200, blank=True)
    rock_mm = models.FloatField(default=0, help_text="engine rock to add to slack")

    class Meta:
        ordering = ["line", "code"]
        constraints = [
            models.UniqueConstraint("line", Lower("code"), name="route_code_once"),
            positive("rock_mm", "route_rock_not_negative", zero=True),
        ]

    def __str__(self) -> str:
        return self.name


class HoseRun(models.Model):
    """A hose that fills a position, made to the length of its route."""

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="hose_runs")
    number = models.PositiveSmallIntegerField()
    route = models.ForeignKey(Route, on_delete=models.PROTECT, related_name="hose_runs")
    hose = models.ForeignKey("kits.Part", on_delete=models.PROTECT, related_name="+")
    end_a = models.ForeignKey("kits.Part", on_delete=models.PROTECT, related_name="+")
    end_b = models.ForeignKey("kits.Part", on_delete=models.PROTECT, related_name="+")
    clocking_deg = models.FloatField(
        default=0, help_text="end B against end A, looking into end A, clockwise"
    )
    slack_share = models.FloatField(default=0.025)
    slack_min_mm = models.FloatField(default=25)
    sleeve = models.CharField(max_length=80, blank=True)
    service_port = models.CharField(max_length=20, blank=True)
    crimp_place = models.CharField(max_length=6, choices=CRIMP_PLACES, default="works")
    tag = models.CharField(max_length=40)

    class Meta:
        ordering = ["position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["position", "number"], name="hose_run_number_once"),
            one_of("crimp_place", CRIMP_PLACES, "hose_run_crimp_known"),
            positive("slack_share", "hose_run_slack_not_negative", zero=True),
            positive("slack_min_mm", "hose_run_slack_min_not_negative", zero=True),
            models.CheckConstraint(
                condition=Q(clocking_deg__gte=0, clocking_deg__lt=360),
                name="hose_run_clocking_in_circle",
            ),
        ]


class HoseRunTerm(OptionTerm):
    """An option the hose run applies to."""

    hose_run = models.ForeignKey(HoseRun, on_delete=models.CASCADE, related_name="terms")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["hose_run", "option"], name="hose_run_term_once")]


class Joint(models.Model):
    """Two ports that meet. A hose run's ends are its ports "A" and "B"."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="joints")
    code = models.CharField(max_length=20)
    position_a = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="+")
    port_a = models.CharField(max_length=20)
    position_b = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="+")
    port_b = models.CharField(max_length=20)

    class Meta:
        ordering = ["kit", "code"]
        constraints = [
            models.UniqueConstraint("kit", Lower("code"), name="joint_code_once"),
            models.UniqueConstraint(fields=["position_a", "port_a"], name="joint_port_a_once"),
            models.UniqueConstraint(fields=["position_b", "port_b"], name="joint_port_b_once"),
        ]


class Circuit(models.Model):
    """One conductor of a harness, from and to; its position is the harness."""

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="circuits")
    number = models.PositiveSmallIntegerField()
    from_connector = models.CharField(max_length=30)
    from_cavity = models.CharField(max_length=10)
    to_connector = models.CharField(max_length=30)
    to_cavity = models.CharField(max_length=10)
    colour = models.CharField(max_length=30)
    section_mm2 = models.FloatField()
    length_mm = models.FloatField(null=True, blank=True)
    terminal = models.CharField(max_length=40, blank=True)
    seal = models.CharField(max_length=40, blank=True)
    fuse_a = models.FloatField(null=True, blank=True)
    current_a = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["position", "number"], name="circuit_number_once"),
            positive("section_mm2", "circuit_section_positive"),
            positive("fuse_a", "circuit_fuse_positive"),
        ]


class KitStep(models.Model):
    """A step of the installation; its text names parts by placeholders only."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="steps")
    key = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    step_order = models.PositiveSmallIntegerField()
    zone = models.CharField(max_length=40)
    kind = models.CharField(max_length=14, choices=STEP_KINDS)
    text = models.TextField()
    minutes_min = models.FloatField(null=True, blank=True)
    tool = models.CharField(max_length=120, blank=True)
    caution = models.CharField(max_length=300, blank=True)
    hold_point = models.BooleanField(default=False)
    photo = models.BooleanField(default=False)
    in_force_from = models.DateField(null=True, blank=True)
    in_force_until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["kit", "step_order", "key"]
        constraints = [
            models.UniqueConstraint("kit", Lower("key"), name="step_key_once"),
            one_of("kind", STEP_KINDS, "step_kind_known"),
            positive("minutes_min", "step_minutes_not_negative", zero=True),
            _dates_in_order("step_dates_in_order"),
        ]


class StepTerm(OptionTerm):
    """An option the step applies to."""

    step = models.ForeignKey(KitStep, on_delete=models.CASCADE, related_name="terms")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["step", "option"], name="step_term_once")]


class StepFits(models.Model):
    """What a step fits or connects: exactly one of a position, a joint, a circuit."""

    step = models.ForeignKey(KitStep, on_delete=models.CASCADE, related_name="fits")
    position = models.ForeignKey(
        Position,
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="fitted_by",
    )
    joint = models.ForeignKey(Joint, null=True, blank=True, on_delete=models.CASCADE, related_name="made_by")
    circuit = models.ForeignKey(
        Circuit,
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="wired_by",
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(position__isnull=False, joint__isnull=True, circuit__isnull=True)
                | Q(position__isnull=True, joint__isnull=False, circuit__isnull=True)
                | Q(position__isnull=True, joint__isnull=True, circuit__isnull=False),
                name="step_fits_exactly_one_thing",
            ),
            models.UniqueConstraint(
                fields=["step", "position"],
                condition=Q(position__isnull=False),
                name="step_fits_position_once",
            ),
            models.UniqueConstraint(
                fields=["step", "joint"],
                condition=Q(joint__isnull=False),
                name="step_fits_joint_once",
            ),
            models.UniqueConstraint(
                fields=["step", "circuit"],
                condition=Q(circuit__isnull=False),
                name="step_fits_circuit_once",
            ),
        ]


class ReadingSpec(models.Model):
    """A reading the step asks for, with its limits in the unit of its quantity."""

    step = models.ForeignKey(KitStep, on_delete=models.CASCADE, related_name="readings")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    unit = models.CharField(max_length=12)
    low = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True)
    high = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True)
    limit_from = models.CharField(max_length=10, choices=LIMITS_FROM, default="fixed")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["step", "number"], name="reading_number_once"),
            one_of("limit_from", LIMITS_FROM, "reading_limit_from_known"),
            models.CheckConstraint(
                condition=Q(low__isnull=True) | Q(high__isnull=True) | Q(high__gte=F("low")),
                name="reading_limits_in_order",
            ),
        ]
