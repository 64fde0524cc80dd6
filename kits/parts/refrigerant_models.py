"""Technical data of what the refrigerant flows through, one row a part revision; rated points as rows."""

from django.db import models

from kits.parts.oils import FAMILIES
from kits.parts.revision_models import bench_point, of_revision
from vehicles.records.models import WithOrigin, in_order, one_of, positive, share

OIL_FAMILIES = list(FAMILIES.items())


class OilData(WithOrigin):
    """Oil for the refrigerant circuit."""

    revision = of_revision("oil_data")
    oil_family = models.CharField(max_length=8, choices=OIL_FAMILIES)
    oil_grade = models.PositiveSmallIntegerField(null=True, blank=True, help_text="ISO viscosity grade")

    class Meta:
        constraints = [one_of("oil_family", OIL_FAMILIES, "oil_family_known")]


class CompressorData(WithOrigin):
    """A compressor, by belt or electric."""

    revision = of_revision("compressor_data")
    displacement_cc = models.FloatField(null=True)
    speed_min_rpm = models.FloatField(null=True)
    speed_max_rpm = models.FloatField(null=True)
    electric = models.BooleanField(default=False)
    pulley_mm = models.FloatField(null=True, blank=True)
    clutch_current_a = models.FloatField(null=True, blank=True)
    supply_voltage_v = models.FloatField(null=True, blank=True)
    oil = models.CharField(max_length=40, blank=True, help_text="as the maker calls it")
    oil_family = models.CharField(max_length=8, blank=True, choices=OIL_FAMILIES)
    oil_grade = models.PositiveSmallIntegerField(null=True, blank=True, help_text="ISO viscosity grade")
    oil_prefill_ml = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            in_order("speed_min_rpm", "speed_max_rpm", "compressor_speeds_in_order"),
            one_of("oil_family", [("", ""), *OIL_FAMILIES], "compressor_oil_known"),
            positive("clutch_current_a", "compressor_clutch_not_negative", zero=True),
            positive("supply_voltage_v", "compressor_voltage_positive"),
            positive("oil_prefill_ml", "compressor_prefill_not_negative", zero=True),
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
    bench_point = bench_point()

    class Meta:
        ordering = ["speed_rpm", "pressure_ratio"]
        constraints = [
            positive("speed_rpm", "compressor_point_speed_positive"),
            positive("pressure_ratio", "compressor_point_ratio_positive"),
            models.UniqueConstraint(
                fields=["data", "speed_rpm", "pressure_ratio"],
                name="compressor_point_once",
            ),
            share("volumetric_effectiveness", "compressor_point_volumetric_share"),
            share("isentropic_effectiveness", "compressor_point_isentropic_share"),
        ]


class EvaporatorData(WithOrigin):
    """A cooling coil: resistance to air; its cooling is in the rated points."""

    revision = of_revision("evaporator_data")
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
    bench_point = bench_point()

    class Meta:
        ordering = ["airflow_m3_h"]
        constraints = [
            share("relative_humidity", "evaporator_point_humidity_share"),
            positive("sensible_w", "evaporator_point_sensible_positive"),
            in_order("sensible_w", "total_w", "evaporator_point_sensible_at_most_total"),
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

    revision = of_revision("condenser_data")
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
    bench_point = bench_point()

    class Meta:
        ordering = ["airflow_m3_h"]
        constraints = [
            in_order("air_in_c", "condensing_c", "condenser_point_condenses_above_air"),
            models.UniqueConstraint(
                fields=["data", "airflow_m3_h", "air_in_c", "condensing_c"],
                name="condenser_point_once",
            ),
            positive("airflow_m3_h", "condenser_point_airflow_positive"),
            positive("heat_w", "condenser_point_heat_positive"),
        ]


class FanData(WithOrigin):
    """A condenser fan."""

    revision = of_revision("fan_data")
    free_airflow_m3_h = models.FloatField(null=True)
    current_a = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            positive("free_airflow_m3_h", "fan_airflow_positive"),
            positive("current_a", "fan_current_positive"),
        ]


class ValveData(WithOrigin):
    """An expansion valve."""

    revision = of_revision("valve_data")
    nominal_capacity_w = models.FloatField(null=True)
    max_operating_pressure_bar_g = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [positive("nominal_capacity_w", "valve_capacity_positive")]


class DrierData(WithOrigin):
    """A receiver-drier."""

    revision = of_revision("drier_data")
    upright = models.BooleanField(default=True)


class SwitchData(WithOrigin):
    """A pressure switch."""

    revision = of_revision("switch_data")
    low_cut_out_bar_g = models.FloatField(null=True, blank=True)
    fan_on_bar_g = models.FloatField(null=True, blank=True)
    high_cut_out_bar_g = models.FloatField(null=True, blank=True)
    high_reset_bar_g = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            in_order("low_cut_out_bar_g", "fan_on_bar_g", "switch_low_under_fan"),
            in_order("fan_on_bar_g", "high_cut_out_bar_g", "switch_fan_under_high"),
            in_order("high_reset_bar_g", "high_cut_out_bar_g", "switch_reset_under_high"),
        ]


class HoseData(WithOrigin):
    """Hose by the metre."""

    revision = of_revision("hose_data")
    size = models.CharField(max_length=6, help_text="#6, #8, #10, #12")
    bore_mm = models.FloatField(null=True)
    wall_family = models.CharField(max_length=20)
    bend_radius_mm = models.FloatField(null=True)
    barrier = models.BooleanField(default=True)
    rated_pressure_bar_g = models.FloatField(
        null=True, blank=True, help_text="what the maker lets it bear for good, not what bursts it"
    )

    class Meta:
        constraints = [
            positive("rated_pressure_bar_g", "hose_rated_pressure_positive"),
            positive("bore_mm", "hose_bore_positive"),
            positive("bend_radius_mm", "hose_bend_positive"),
        ]


class HoseEndData(WithOrigin):
    """A crimped hose end: what it adds to the hose's length, and what it is."""

    revision = of_revision("hose_end_data")
    size = models.CharField(max_length=6)
    adds_mm = models.FloatField(null=True)
    ferrule_family = models.CharField(max_length=20)
    angle_deg = models.FloatField(default=0)
    loss_factor = models.FloatField(
        null=True, blank=True, help_text="velocity heads of the hose's bore; empty: by the angle"
    )

    class Meta:
        constraints = [
            positive("adds_mm", "hose_end_adds_not_negative", zero=True),
            positive("loss_factor", "hose_end_loss_not_negative", zero=True),
        ]


class Crimp(WithOrigin):
    """How a hose end is crimped on hose of a wall family, and what the crimp must measure."""

    data = models.ForeignKey(HoseEndData, on_delete=models.CASCADE, related_name="crimps")
    wall_family = models.CharField(max_length=20, help_text="of the hose")
    ferrule = models.CharField(max_length=80)
    die = models.CharField(max_length=40)
    insertion_depth_mm = models.FloatField(help_text="hose in the ferrule, to its stop")
    crimp_low_mm = models.FloatField(help_text="diameter over the crimped ferrule, least")
    crimp_high_mm = models.FloatField(help_text="and most")

    class Meta:
        ordering = ["wall_family"]
        constraints = [
            models.UniqueConstraint(fields=["data", "wall_family"], name="crimp_once"),
            positive("insertion_depth_mm", "crimp_depth_positive"),
            positive("crimp_low_mm", "crimp_low_positive"),
            in_order("crimp_low_mm", "crimp_high_mm", "crimp_limits_in_order"),
        ]


class ORingData(WithOrigin):
    """An O-ring: the fitting it belongs to and its rubber."""

    revision = of_revision("o_ring_data")
    size = models.CharField(max_length=12, help_text="#6, #8, #10, #12, or pad #8")
    rubber = models.CharField(max_length=20, help_text="such as HNBR")
