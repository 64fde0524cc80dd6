"""Technical data of a part revision by kind, one row each; rated points as rows of their own."""

from typing import Any

from django.db import models

from vehicles.records.models import WithOrigin, positive, share

REFRIGERANTS = [("R-134a", "R-134a"), ("R-1234yf", "R-1234yf"), ("R-152a", "R-152a")]


def _of_revision(name: str) -> "models.OneToOneField[Any, Any]":
    return models.OneToOneField("kits.PartRevision", on_delete=models.CASCADE, related_name=name)


class CompressorData(WithOrigin):
    """A compressor, by belt or electric."""

    revision = _of_revision("compressor_data")
    displacement_cc = models.FloatField(null=True)
    speed_min_rpm = models.FloatField(null=True)
    speed_max_rpm = models.FloatField(null=True)
    electric = models.BooleanField(default=False)
    pulley_mm = models.FloatField(null=True, blank=True)
    clutch_current_a = models.FloatField(null=True, blank=True)
    supply_voltage_v = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            positive("displacement_cc", "compressor_displacement_positive"),
            positive("speed_min_rpm", "compressor_speed_min_not_negative", zero=True),
            positive("speed_max_rpm", "compressor_speed_max_positive"),
            positive("pulley_mm", "compressor_pulley_positive"),
        ]


class CompressorPoint(WithOrigin):
    """A rated point of a compressor."""

    data = models.ForeignKey(CompressorData, on_delete=models.CASCADE, related_name="rated_points")
    speed_rpm = models.FloatField()
    pressure_ratio = models.FloatField()
    volumetric_effectiveness = models.FloatField()
    isentropic_effectiveness = models.FloatField()

    class Meta:
        ordering = ["speed_rpm", "pressure_ratio"]
        constraints = [
            models.UniqueConstraint(
                fields=["data", "speed_rpm", "pressure_ratio"],
                name="compressor_point_once",
            ),
            share("volumetric_effectiveness", "compressor_point_volumetric_share"),
            share("isentropic_effectiveness", "compressor_point_isentropic_share"),
        ]


class EvaporatorData(WithOrigin):
    """A cooling coil: resistance to air; its cooling is in the rated points."""

    revision = _of_revision("evaporator_data")
    rated_airflow_m3_h = models.FloatField(null=True)
    wet_drop_pa = models.FloatField(null=True)
    drop_exponent = models.FloatField(default=1.8)

    class Meta:
        constraints = [
            positive("rated_airflow_m3_h", "evaporator_airflow_positive"),
            positive("wet_drop_pa", "evaporator_drop_not_negative", zero=True),
        ]


class EvaporatorPoint(WithOrigin):
    """A rated point of a cooling coil."""

    data = models.ForeignKey(EvaporatorData, on_delete=models.CASCADE, related_name="rated_points")
    airflow_m3_h = models.FloatField()
    air_in_c = models.FloatField()
    relative_humidity = models.FloatField()
    evaporating_c = models.FloatField()
    total_w = models.FloatField()
    sensible_w = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["airflow_m3_h"]
        constraints = [
            models.UniqueConstraint(
                fields=[
                    "data",
                    "airflow_m3_h",
                    "air_in_c",
                    "relative_humidity",
                    "evaporating_c",
                ],
                name="evaporator_point_once",
            ),
            positive("airflow_m3_h", "evaporator_point_airflow_positive"),
            positive("total_w", "evaporator_point_total_positive"),
        ]


class CondenserData(WithOrigin):
    """A condenser; its heat is in the rated points."""

    revision = _of_revision("condenser_data")
    face_area_m2 = models.FloatField(null=True)

    class Meta:
        constraints = [positive("face_area_m2", "condenser_face_positive")]


class CondenserPoint(WithOrigin):
    """A rated point of a condenser."""

    data = models.ForeignKey(CondenserData, on_delete=models.CASCADE, related_name="rated_points")
    airflow_m3_h = models.FloatField()
    air_in_c = models.FloatField()
    condensing_c = models.FloatField()
    heat_w = models.FloatField()

    class Meta:
        ordering = ["airflow_m3_h"]
        constraints = [
            models.UniqueConstraint(
                fields=["data", "airflow_m3_h", "air_in_c", "condensing_c"],
                name="condenser_point_once",
            ),
            positive("airflow_m3_h", "condenser_point_airflow_positive"),
            positive("heat_w", "condenser_point_heat_positive"),
        ]


class FanData(WithOrigin):
    """A condenser fan."""

    revision = _of_revision("fan_data")
    free_airflow_m3_h = models.FloatField(null=True)
    current_a = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [positive("free_airflow_m3_h", "fan_airflow_positive")]


class BlowerData(WithOrigin):
    """A cabin blower; its curve is in the points."""

    revision = _of_revision("blower_data")
    rated_voltage_v = models.FloatField(null=True)
    power_w = models.FloatField(null=True, help_text="electrical, at rated voltage and full step")
    current_a = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            positive("rated_voltage_v", "blower_voltage_positive"),
            positive("power_w", "blower_power_positive"),
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


class DuctData(WithOrigin):
    """A duct by its run in the car."""

    revision = _of_revision("duct_data")
    diameter_mm = models.FloatField(null=True)
    length_m = models.FloatField(null=True)
    roughness_mm = models.FloatField(default=0.9)
    minor_loss_factor = models.FloatField(default=1.0)
    compression_share = models.FloatField(default=0.04)

    class Meta:
        constraints = [
            positive("diameter_mm", "duct_diameter_positive"),
            positive("length_m", "duct_length_positive"),
        ]


class VentData(WithOrigin):
    """An outlet to the cabin."""

    revision = _of_revision("vent_data")
    free_area_cm2 = models.FloatField(null=True)
    loss_factor = models.FloatField(default=1.5)

    class Meta:
        constraints = [positive("free_area_cm2", "vent_area_positive")]


class ValveData(WithOrigin):
    """An expansion valve."""

    revision = _of_revision("valve_data")
    nominal_capacity_w = models.FloatField(null=True)
    max_operating_pressure_bar_g = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [positive("nominal_capacity_w", "valve_capacity_positive")]


class DrierData(WithOrigin):
    """A receiver-drier."""

    revision = _of_revision("drier_data")
    upright = models.BooleanField(default=True)


class SwitchData(WithOrigin):
    """A pressure switch."""

    revision = _of_revision("switch_data")
    low_cut_out_bar_g = models.FloatField(null=True, blank=True)
    fan_on_bar_g = models.FloatField(null=True, blank=True)
    high_cut_out_bar_g = models.FloatField(null=True, blank=True)
    high_reset_bar_g = models.FloatField(null=True, blank=True)


class HoseData(WithOrigin):
    """Hose by the metre."""

    revision = _of_revision("hose_data")
    size = models.CharField(max_length=6, help_text="#6, #8, #10, #12")
    bore_mm = models.FloatField(null=True)
    wall_family = models.CharField(max_length=20)
    bend_radius_mm = models.FloatField(null=True)
    barrier = models.BooleanField(default=True)

    class Meta:
        constraints = [
            positive("bore_mm", "hose_bore_positive"),
            positive("bend_radius_mm", "hose_bend_positive"),
        ]


class HoseEndData(WithOrigin):
    """A crimped hose end: what it adds to the hose's length, and what it is."""

    revision = _of_revision("hose_end_data")
    size = models.CharField(max_length=6)
    adds_mm = models.FloatField(null=True)
    ferrule_family = models.CharField(max_length=20)
    angle_deg = models.FloatField(default=0)
    loss_factor = models.FloatField(default=0.5)

    class Meta:
        constraints = [positive("adds_mm", "hose_end_adds_not_negative", zero=True)]


TECHNICAL_DATA = {
    "compressor": "compressor_data",
    "evaporator": "evaporator_data",
    "condenser": "condenser_data",
    "condenser fan": "fan_data",
    "blower": "blower_data",
    "duct": "duct_data",
    "vent": "vent_data",
    "expansion valve": "valve_data",
    "receiver-drier": "drier_data",
    "pressure switch": "switch_data",
    "hose": "hose_data",
    "hose end": "hose_end_data",
}
