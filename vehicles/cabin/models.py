"""The room to be cooled: surfaces, openings, seats, leakage."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from vehicles.records.models import (
    CODE,
    OptionTerm,
    Versioned,
    WithOrigin,
    one_of,
    positive,
    share,
)

SURFACE_KINDS = [("opaque", "opaque"), ("glass", "glass"), ("canvas", "canvas")]
BOUNDARIES = [
    ("outside", "outside air and sun"),
    ("bulkhead", "engine side of the bulkhead"),
    ("tunnel", "transmission tunnel"),
    ("floor", "floor over the exhaust"),
    ("engine_lid", "engine lid"),
    ("none", "no heat crosses"),
]
ACTIVITIES = [("driver", "driver"), ("passenger", "passenger")]


class Cabin(Versioned, WithOrigin):
    """One cabin of a model line; variants share it through the option terms of its surfaces."""

    line = models.ForeignKey("vehicles.ModelLine", on_delete=models.PROTECT, related_name="cabins")
    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    volume_m3 = models.FloatField(null=True, blank=True)
    intake_rise_k = models.FloatField(null=True, blank=True, help_text="intake air above outside air")
    flap_leak_share = models.FloatField(null=True, blank=True, help_text="fresh air past the closed flap")
    fresh_air_m3_h = models.FloatField(null=True, blank=True, help_text="with the flap open")
    duct_gain_w_k = models.FloatField(null=True, blank=True, help_text="U times A of the ducts")
    matrix_leak_w = models.FloatField(null=True, blank=True, help_text="heat of a shut but leaking heater")

    class Meta:
        ordering = ["line", "code"]
        constraints = [
            models.UniqueConstraint("line", Lower("code"), name="cabin_code_once"),
            positive("volume_m3", "cabin_volume_positive"),
            share("flap_leak_share", "cabin_flap_leak_share"),
            positive("fresh_air_m3_h", "cabin_fresh_air_not_negative", zero=True),
            positive("duct_gain_w_k", "cabin_duct_gain_not_negative", zero=True),
            positive("matrix_leak_w", "cabin_matrix_leak_not_negative", zero=True),
        ]

    def __str__(self) -> str:
        return self.name


class CabinLeakage(WithOrigin):
    """Air that leaks through the closed cabin at a road speed."""

    cabin = models.ForeignKey(Cabin, on_delete=models.CASCADE, related_name="leakage")
    road_speed_km_h = models.FloatField()
    leakage_m3_h = models.FloatField()

    class Meta:
        ordering = ["road_speed_km_h"]
        constraints = [
            models.UniqueConstraint(fields=["cabin", "road_speed_km_h"], name="leakage_once_a_speed"),
            positive("road_speed_km_h", "leakage_speed_not_negative", zero=True),
            positive("leakage_m3_h", "leakage_flow_not_negative", zero=True),
        ]


class Seat(WithOrigin):
    """A seat: where its occupant's face is and how hard he works."""

    cabin = models.ForeignKey(Cabin, on_delete=models.CASCADE, related_name="seats")
    code = models.CharField(max_length=30)
    activity = models.CharField(max_length=12, choices=ACTIVITIES)
    face_x_mm = models.FloatField(null=True, blank=True)
    face_y_mm = models.FloatField(null=True, blank=True)
    face_z_mm = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("cabin", Lower("code"), name="seat_code_once"),
            one_of("activity", ACTIVITIES, "seat_activity_known"),
        ]


class Surface(WithOrigin):
    """A part of the cabin's skin."""

    cabin = models.ForeignKey(Cabin, on_delete=models.CASCADE, related_name="surfaces")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=8, choices=SURFACE_KINDS)
    boundary = models.CharField(max_length=12, choices=BOUNDARIES, default="outside")
    area_m2 = models.FloatField(null=True, blank=True)
    tilt_deg = models.FloatField(null=True, blank=True, help_text="0 faces up, 90 upright, 180 faces down")
    facing_deg = models.FloatField(null=True, blank=True, help_text="0 forward, 90 right, 180 rear, 270 left")
    u_w_m2k = models.FloatField(null=True, blank=True)
    absorptance = models.FloatField(null=True, blank=True)
    transmittance = models.FloatField(null=True, blank=True)
    inward_share = models.FloatField(null=True, blank=True, help_text="of the absorbed sun that flows in")
    shade_factor = models.FloatField(default=1.0)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("cabin", Lower("code"), name="surface_code_once"),
            one_of("kind", SURFACE_KINDS, "surface_kind_known"),
            one_of("boundary", BOUNDARIES, "surface_boundary_known"),
            positive("area_m2", "surface_area_positive"),
            positive("u_w_m2k", "surface_u_positive"),
            share("absorptance", "surface_absorptance_share"),
            share("transmittance", "surface_transmittance_share"),
            share("inward_share", "surface_inward_share"),
            share("shade_factor", "surface_shade_share"),
            models.CheckConstraint(
                condition=Q(absorptance__isnull=True)
                | Q(transmittance__isnull=True)
                | Q(absorptance__lte=1.0 - F("transmittance")),
                name="surface_absorbs_and_passes_at_most_all",
            ),
        ]


class SurfaceLayer(WithOrigin):
    """A layer of a surface, counted from outside; replaces the U value."""

    surface = models.ForeignKey(Surface, on_delete=models.CASCADE, related_name="layers")
    layer_order = models.PositiveSmallIntegerField()
    material = models.CharField(max_length=80)
    thickness_mm = models.FloatField()
    conductivity_w_mk = models.FloatField()

    class Meta:
        ordering = ["layer_order"]
        constraints = [
            models.UniqueConstraint(fields=["surface", "layer_order"], name="layer_once"),
            positive("thickness_mm", "layer_thickness_positive"),
            positive("conductivity_w_mk", "layer_conductivity_positive"),
        ]


class SurfaceTerm(OptionTerm):
    """An option the surface exists with."""

    surface = models.ForeignKey(Surface, on_delete=models.CASCADE, related_name="terms")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["surface", "option"], name="surface_term_once")]


class Opening(WithOrigin):
    """A hole in the cabin that stays open: an open top, a missing rear."""

    cabin = models.ForeignKey(Cabin, on_delete=models.CASCADE, related_name="openings")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    area_m2 = models.FloatField()
    height_m = models.FloatField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("cabin", Lower("code"), name="opening_code_once"),
            positive("area_m2", "opening_area_positive"),
            positive("height_m", "opening_height_positive"),
        ]
