"""Model lines, features with their options, and the buildable variants."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from vehicles.records.models import CODE, Versioned, dates_in_order, one_of, positive

CODE_RULE = RegexValidator(
    CODE,
    "A code starts with a letter or digit and holds letters, digits, space and . / _ + # - only.",
)


CATEGORIES = [(c, c) for c in ("M1", "N1 class I", "N1 class II", "N1 class III", "M2")]
"""vehicle categories of Directive 2007/46/EC and Regulation (EU) 2018/858, as market rules name them"""


class ModelLine(Versioned):
    """A family of cars of one make that share a body."""

    code = models.CharField(max_length=30, validators=[CODE_RULE])
    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=80, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [models.UniqueConstraint(Lower("code"), name="model_line_code_once")]

    def __str__(self) -> str:
        return self.name


class Feature(models.Model):
    """Something cars differ by, such as the steering side."""

    code = models.CharField(max_length=30, validators=[CODE_RULE])
    name = models.CharField(max_length=80)
    sort = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["sort", "code"]
        constraints = [models.UniqueConstraint(Lower("code"), name="feature_code_once")]

    def __str__(self) -> str:
        return self.name


class Option(models.Model):
    """One value of a feature, such as left."""

    feature = models.ForeignKey(Feature, on_delete=models.PROTECT, related_name="options")
    code = models.CharField(max_length=30, validators=[CODE_RULE])
    name = models.CharField(max_length=80)
    sort = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["feature", "sort", "code"]
        constraints = [models.UniqueConstraint("feature", Lower("code"), name="option_code_once")]

    def __str__(self) -> str:
        return self.name


class LineFeature(models.Model):
    """A feature the cars of a line differ by; each variant has one option of it."""

    line = models.ForeignKey(ModelLine, on_delete=models.CASCADE, related_name="line_features")
    feature = models.ForeignKey(Feature, on_delete=models.PROTECT, related_name="+")
    sort = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["line", "sort", "feature"]
        constraints = [models.UniqueConstraint(fields=["line", "feature"], name="line_feature_once")]


class LineOption(models.Model):
    """An option that exists in a model line."""

    line = models.ForeignKey(ModelLine, on_delete=models.CASCADE, related_name="line_options")
    option = models.ForeignKey(Option, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["line", "option"], name="line_option_once")]


class ExcludedCombination(models.Model):
    """Options that never occurred together in the line."""

    line = models.ForeignKey(ModelLine, on_delete=models.CASCADE, related_name="excluded")
    code = models.CharField(max_length=30)
    reason = models.CharField(max_length=200)

    class Meta:
        constraints = [models.UniqueConstraint("line", Lower("code"), name="excluded_code_once")]


class ExcludedTerm(models.Model):
    """One option of an excluded combination."""

    combination = models.ForeignKey(ExcludedCombination, on_delete=models.CASCADE, related_name="terms")
    option = models.ForeignKey(Option, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["combination", "option"], name="excluded_term_once")]


class Variant(Versioned):
    """One buildable car within a line."""

    line = models.ForeignKey(ModelLine, on_delete=models.PROTECT, related_name="variants")
    code = models.CharField(max_length=40, validators=[CODE_RULE])
    name = models.CharField(max_length=160)
    built_from = models.DateField(null=True, blank=True)
    built_until = models.DateField(null=True, blank=True)
    vehicle_category = models.CharField(max_length=20, blank=True, choices=CATEGORIES)
    reference_mass_kg = models.FloatField(null=True, blank=True)
    cabin = models.ForeignKey("vehicles.Cabin", on_delete=models.PROTECT, related_name="variants")
    powertrain = models.ForeignKey("vehicles.Powertrain", on_delete=models.PROTECT, related_name="variants")
    to_be_surveyed = models.BooleanField(
        default=False, help_text="its values were taken over from another car and are not measured yet"
    )

    class Meta:
        ordering = ["line", "code"]
        constraints = [
            models.UniqueConstraint("line", Lower("code"), name="variant_code_once"),
            one_of("vehicle_category", [("", ""), *CATEGORIES], "variant_category_known"),
            dates_in_order("variant_built_in_order", "built_from", "built_until"),
            positive("reference_mass_kg", "variant_mass_positive"),
        ]

    def __str__(self) -> str:
        return self.name


class VariantOption(models.Model):
    """The variant's option of one feature."""

    variant = models.ForeignKey(Variant, on_delete=models.CASCADE, related_name="variant_options")
    feature = models.ForeignKey(Feature, on_delete=models.PROTECT, related_name="+")
    option = models.ForeignKey(Option, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["variant", "feature"], name="variant_one_option_a_feature")
        ]


class ChassisRange(models.Model):
    """Chassis numbers of a variant: prefix and first to last running number, both included."""

    variant = models.ForeignKey(Variant, on_delete=models.CASCADE, related_name="chassis_ranges")
    prefix = models.CharField(max_length=20)
    first = models.PositiveIntegerField()
    last = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["variant", "prefix", "first"], name="chassis_range_once"),
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="chassis_range_in_order"),
        ]
