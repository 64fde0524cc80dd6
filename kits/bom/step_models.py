"""The steps of an installation: what they fit, what they do with the car's own things, what they read."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from kits.bom.catalogue import PREDICTED
from kits.bom.models import Circuit, Joint, Kit, Position
from kits.bom.step_cautions import caution_choices
from kits.bom.step_patterns import NUMBER, WRITES, pattern_choices
from vehicles.records.models import CODE, OptionTerm, dates_in_order, in_order, one_of, positive

STEP_KINDS = [
    (k, k)
    for k in (
        "as-found", "remove", "keep", "prepare", "fit", "route", "connect", "wire", "pressure test", "evacuate",
        "charge", "test", "refit", "hand over",
    )
]  # fmt: skip
FATES = [(f, f) for f in ("removed", "refitted", "kept", "scrapped", "cut", "drilled")]
LIMITS_FROM = [(source, source) for source in ("fixed", "charge", "prediction", "written")]
WRITTEN_DOWN = [(kind, kind) for kind in WRITES]
QUANTITIES = [("", "none"), *((quantity, quantity) for quantity in PREDICTED)]


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
    # both lists are data files that grow, so the database holds no list of its own
    pattern = models.CharField(
        max_length=30, blank=True, choices=pattern_choices, help_text="what the step is for safety's sake"
    )
    standard_caution = models.CharField(
        max_length=30, blank=True, choices=caution_choices, help_text="printed before the step's own"
    )
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
            dates_in_order("step_dates_in_order"),
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


class StepOriginal(models.Model):
    """What a step does with a thing the car came with, so that all that was removed is accounted for."""

    step = models.ForeignKey(KitStep, on_delete=models.CASCADE, related_name="originals")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    fate = models.CharField(max_length=10, choices=FATES)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["step", "number"], name="step_original_number_once"),
            one_of("fate", FATES, "step_original_fate_known"),
        ]


class ReadingSpec(models.Model):
    """A reading the step asks for, with its limits in the unit of its quantity; or words, a tick, a date, a time."""

    step = models.ForeignKey(KitStep, on_delete=models.CASCADE, related_name="readings")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    writes = models.CharField(max_length=6, choices=WRITTEN_DOWN, default=NUMBER)
    unit = models.CharField(max_length=12, blank=True)
    low = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True)
    high = models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True)
    limit_from = models.CharField(max_length=10, choices=LIMITS_FROM, default="fixed")
    predicted = models.CharField(max_length=12, blank=True, choices=QUANTITIES[1:])
    answers = models.CharField(
        max_length=30, blank=True, help_text="code of the blank of the step's pattern that it is"
    )

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["step", "number"], name="reading_number_once"),
            one_of("limit_from", LIMITS_FROM, "reading_limit_from_known"),
            one_of("writes", WRITTEN_DOWN, "reading_writes_known"),
            models.CheckConstraint(
                condition=Q(writes=NUMBER) & ~Q(unit="") | ~Q(writes=NUMBER) & Q(unit=""),
                name="reading_number_has_unit",
            ),
            models.CheckConstraint(
                condition=Q(writes=NUMBER) | Q(low__isnull=True, high__isnull=True),
                name="reading_limits_of_number",
            ),
            one_of("predicted", QUANTITIES, "reading_predicted_known"),
            in_order("low", "high", "reading_limits_in_order"),
        ]
