"""Technical data of drive, brackets and electrics."""

from django.db import models

from kits.parts.revision_models import of_revision
from vehicles.powertrain.models import GENERATORS, GROOVES
from vehicles.records.models import WithOrigin, in_order, one_of, positive

CLIP_KINDS = [(k, k) for k in ("worm drive", "ear", "spring", "P-clip")]


class PulleyData(WithOrigin):
    """A pulley that the kit brings."""

    revision = of_revision("pulley_data")
    diameter_mm = models.FloatField(null=True, help_text="effective")
    groove = models.CharField(max_length=12, choices=GROOVES)
    groove_count = models.PositiveSmallIntegerField(default=1)
    plane_mm = models.FloatField(null=True, blank=True, help_text="groove from the mounting face")

    class Meta:
        constraints = [
            positive("diameter_mm", "pulley_data_diameter_positive"),
            positive("groove_count", "pulley_data_grooves_positive"),
            one_of("groove", GROOVES, "pulley_data_groove_known"),
        ]


class BracketData(WithOrigin):
    """A bracket and the bolts that hold it."""

    revision = of_revision("bracket_data")
    bolt_size = models.CharField(max_length=12, help_text="such as M8 × 25")
    bolt_count = models.PositiveSmallIntegerField(null=True, blank=True)
    torque_low_nm = models.FloatField(null=True, blank=True)
    torque_high_nm = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            positive("torque_low_nm", "bracket_torque_positive"),
            in_order("torque_low_nm", "torque_high_nm", "bracket_torques_in_order"),
        ]


class GeneratorData(WithOrigin):
    """A generator that the kit brings; its curve is in the points."""

    revision = of_revision("generator_data")
    generator_kind = models.CharField(max_length=12, choices=GENERATORS)
    rated_voltage_v = models.FloatField(null=True)
    rated_current_a = models.FloatField(null=True)
    pulley_mm = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            one_of("generator_kind", GENERATORS, "generator_data_kind_known"),
            positive("rated_voltage_v", "generator_data_voltage_positive"),
            positive("rated_current_a", "generator_data_current_positive"),
            positive("pulley_mm", "generator_data_pulley_positive"),
        ]


class GeneratorPoint(WithOrigin):
    """Current a generator gives at a speed of its own, hot."""

    data = models.ForeignKey(GeneratorData, on_delete=models.CASCADE, related_name="curve_points")
    generator_rpm = models.FloatField()
    current_a = models.FloatField()

    class Meta:
        ordering = ["generator_rpm"]
        constraints = [
            models.UniqueConstraint(fields=["data", "generator_rpm"], name="generator_point_once"),
            positive("generator_rpm", "generator_point_speed_not_negative", zero=True),
            positive("current_a", "generator_point_current_not_negative", zero=True),
        ]


class HarnessData(WithOrigin):
    """A harness as made; its conductors are the circuits of the position it fills."""

    revision = of_revision("harness_data")
    system_voltage_v = models.FloatField(null=True)
    positive_earth = models.BooleanField(default=False)

    class Meta:
        constraints = [positive("system_voltage_v", "harness_voltage_positive")]


class ConnectorData(WithOrigin):
    """A connector's housing."""

    revision = of_revision("connector_data")
    cavity_count = models.PositiveSmallIntegerField(null=True)
    sealed = models.BooleanField(default=True)
    rated_current_a = models.FloatField(null=True, blank=True, help_text="each cavity")
    section_low_mm2 = models.FloatField(null=True, blank=True)
    section_high_mm2 = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            positive("cavity_count", "connector_cavities_positive"),
            positive("rated_current_a", "connector_current_positive"),
            positive("section_low_mm2", "connector_section_positive"),
            in_order("section_low_mm2", "section_high_mm2", "connector_sections_in_order"),
        ]


class ControllerData(WithOrigin):
    """A controller and the software it is delivered with."""

    revision = of_revision("controller_data")
    supply_voltage_v = models.FloatField(null=True)
    software = models.ForeignKey(
        "kits.Part", null=True, blank=True, on_delete=models.PROTECT, related_name="controllers"
    )

    class Meta:
        constraints = [positive("supply_voltage_v", "controller_voltage_positive")]


class ClipData(WithOrigin):
    """A clip: one that closes a water hose on its stub, or a P-clip that holds a hose on its way."""

    revision = of_revision("clip_data")
    clip_kind = models.CharField(max_length=12, choices=CLIP_KINDS)
    size = models.CharField(max_length=12, help_text="the hose it goes round: 16, or #8")

    class Meta:
        constraints = [one_of("clip_kind", CLIP_KINDS, "clip_kind_known")]


class BeltData(WithOrigin):
    """A belt: the groove it runs in, and its length on its line."""

    revision = of_revision("belt_data")
    groove = models.CharField(max_length=12, choices=GROOVES)
    length_mm = models.FloatField(null=True)

    class Meta:
        constraints = [
            one_of("groove", GROOVES, "belt_groove_known"),
            positive("length_mm", "belt_length_positive"),
        ]
