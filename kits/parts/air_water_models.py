"""Technical data of what air and water flow through, and of insulation."""

from django.db import models

from kits.parts.covered import COVERED
from kits.parts.revision_models import of_revision
from vehicles.records.models import WithOrigin, in_order, one_of, positive, share

COVERS = [(thing, thing) for thing in COVERED]


class BlowerData(WithOrigin):
    """A cabin blower; its curve is in the points."""

    revision = of_revision("blower_data")
    rated_voltage_v = models.FloatField(null=True)
    power_w = models.FloatField(null=True, help_text="electrical, at rated voltage and full step")
    current_a = models.FloatField(null=True, blank=True)
    step_by_resistor = models.BooleanField(
        default=True, help_text="resistors in the air stream; no: an electronic controller"
    )

    class Meta:
        constraints = [
            positive("rated_voltage_v", "blower_voltage_positive"),
            positive("power_w", "blower_power_positive"),
            positive("current_a", "blower_current_positive"),
        ]


class BlowerPoint(WithOrigin):
    """A point of a blower's curve at its rated voltage."""

    data = models.ForeignKey(BlowerData, on_delete=models.CASCADE, related_name="curve_points")
    airflow_m3_h = models.FloatField()
    static_pa = models.FloatField()

    class Meta:
        ordering = ["airflow_m3_h"]
        constraints = [
            models.UniqueConstraint(fields=["data", "airflow_m3_h"], name="blower_point_once"),
            positive("airflow_m3_h", "blower_point_airflow_not_negative", zero=True),
            positive("static_pa", "blower_point_static_not_negative", zero=True),
        ]


class BlowerStep(WithOrigin):
    """A step of a blower's switch: the share of the plug's voltage that reaches the motor."""

    data = models.ForeignKey(BlowerData, on_delete=models.CASCADE, related_name="steps")
    step = models.PositiveSmallIntegerField(help_text="1 is the lowest")
    voltage_share = models.FloatField()
    current_a = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["step"]
        constraints = [
            models.UniqueConstraint(fields=["data", "step"], name="blower_step_once"),
            positive("step", "blower_step_positive"),
            share("voltage_share", "blower_step_voltage_share"),
            positive("voltage_share", "blower_step_voltage_positive"),
            positive("current_a", "blower_step_current_positive"),
        ]


class FilterData(WithOrigin):
    """A filter in the cabin air."""

    revision = of_revision("filter_data")
    rated_airflow_m3_h = models.FloatField(null=True)
    clean_drop_pa = models.FloatField(null=True)
    clogged_drop_pa = models.FloatField(null=True, blank=True, help_text="when it is due to be changed")

    class Meta:
        constraints = [
            positive("rated_airflow_m3_h", "filter_airflow_positive"),
            positive("clean_drop_pa", "filter_drop_not_negative", zero=True),
            in_order("clean_drop_pa", "clogged_drop_pa", "filter_clogged_at_least_clean"),
        ]


class DuctData(WithOrigin):
    """A duct by its run in the car."""

    revision = of_revision("duct_data")
    diameter_mm = models.FloatField(null=True)
    length_m = models.FloatField(null=True)
    roughness_mm = models.FloatField(default=0.9)
    minor_loss_factor = models.FloatField(default=1.0)
    compression_share = models.FloatField(default=0.04)

    class Meta:
        constraints = [
            positive("diameter_mm", "duct_diameter_positive"),
            positive("length_m", "duct_length_positive"),
            positive("roughness_mm", "duct_roughness_not_negative", zero=True),
            positive("minor_loss_factor", "duct_loss_not_negative", zero=True),
            share("compression_share", "duct_compression_share"),
        ]


class VentData(WithOrigin):
    """An outlet to the cabin."""

    revision = of_revision("vent_data")
    free_area_cm2 = models.FloatField(null=True)
    loss_factor = models.FloatField(default=1.5)

    class Meta:
        constraints = [
            positive("free_area_cm2", "vent_area_positive"),
            positive("loss_factor", "vent_loss_not_negative", zero=True),
        ]


class MatrixData(WithOrigin):
    """A heater matrix; its heat is in the rated points."""

    revision = of_revision("matrix_data")
    rated_airflow_m3_h = models.FloatField(null=True)
    air_drop_pa = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            positive("rated_airflow_m3_h", "matrix_airflow_positive"),
            positive("air_drop_pa", "matrix_drop_not_negative", zero=True),
        ]


class MatrixPoint(WithOrigin):
    """A rated point of a heater matrix."""

    data = models.ForeignKey(MatrixData, on_delete=models.CASCADE, related_name="rated_points")
    airflow_m3_h = models.FloatField()
    coolant_flow_l_min = models.FloatField()
    air_in_c = models.FloatField()
    water_in_c = models.FloatField()
    heat_w = models.FloatField()

    class Meta:
        ordering = ["airflow_m3_h", "coolant_flow_l_min"]
        constraints = [
            models.UniqueConstraint(
                fields=["data", "airflow_m3_h", "coolant_flow_l_min", "air_in_c", "water_in_c"],
                name="matrix_point_once",
            ),
            positive("airflow_m3_h", "matrix_point_airflow_positive"),
            positive("coolant_flow_l_min", "matrix_point_coolant_positive"),
            positive("heat_w", "matrix_point_heat_positive"),
            in_order("air_in_c", "water_in_c", "matrix_point_water_above_air"),
        ]


class WaterValveData(WithOrigin):
    """A valve in the heater's water."""

    revision = of_revision("water_valve_data")
    bore_mm = models.FloatField(null=True)
    leak_l_min = models.FloatField(null=True, blank=True, help_text="past the shut valve")
    supply_voltage_v = models.FloatField(null=True, blank=True, help_text="empty: by cable")

    class Meta:
        constraints = [
            positive("bore_mm", "water_valve_bore_positive"),
            positive("leak_l_min", "water_valve_leak_not_negative", zero=True),
            positive("supply_voltage_v", "water_valve_voltage_positive"),
        ]


class InsulationData(WithOrigin):
    """Insulation by sheet or tube."""

    revision = of_revision("insulation_data")
    thickness_mm = models.FloatField(null=True)
    conductivity_w_mk = models.FloatField(null=True)
    limit_c = models.FloatField(null=True, blank=True, help_text="hottest it bears for long")
    covers = models.CharField(
        max_length=16,
        blank=True,
        choices=COVERS,
        help_text="what it goes round; empty where nobody has said so",
    )

    class Meta:
        constraints = [
            one_of("covers", [("", ""), *COVERS], "insulation_covers_known"),
            positive("thickness_mm", "insulation_thickness_positive"),
            positive("conductivity_w_mk", "insulation_conductivity_positive"),
        ]
