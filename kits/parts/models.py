"""Parts, their revisions, structure and ports."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from vehicles.records.models import CODE, Versioned, WithOrigin, dates_in_order, one_of, positive

PART_KINDS = [
    (k, k)
    for k in (
        "assembly", "compressor", "evaporator", "condenser", "condenser fan", "blower", "filter", "duct", "vent",
        "heater matrix", "water valve", "expansion valve", "receiver-drier", "pressure switch", "hose", "hose end",
        "pulley", "bracket", "generator", "harness", "connector", "insulation", "controller", "software", "O-ring",
        "fastener", "clip", "belt", "oil", "consumable", "trim", "label",
    )
]  # fmt: skip
UNITS = [(u, u) for u in ("pc", "m", "ml", "g", "set")]
SUPPLY = [("make", "made here"), ("buy", "bought in")]
MATURITIES = [
    ("prototype", "prototype"),
    ("trial", "on trial"),
    ("released", "released"),
    ("withdrawn", "withdrawn"),
]
PORT_ROLES = [
    (r, r)
    for r in (
        "suction",
        "discharge",
        "liquid",
        "water in",
        "water out",
        "air",
        "drain",
        "electrical",
        "service high",
        "service low",
    )
]
PORT_FORMS = [
    (f, f)
    for f in (
        "O-ring thread",
        "pad",
        "hose tail",
        "beaded",
        "duct spigot",
        "connector",
        "service port",
    )
]
GENDERS = [("male", "male"), ("female", "female"), ("none", "none")]


class Part(Versioned):
    """A thing with a part number."""

    number = models.CharField(max_length=40, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=160)
    kind = models.CharField(max_length=20, choices=PART_KINDS)
    unit = models.CharField(max_length=4, choices=UNITS, default="pc")
    supply = models.CharField(max_length=4, choices=SUPPLY, default="buy")
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(Lower("number"), name="part_number_once"),
            one_of("kind", PART_KINDS, "part_kind_known"),
            one_of("unit", UNITS, "part_unit_known"),
            one_of("supply", SUPPLY, "part_supply_known"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


class PartRevision(Versioned, WithOrigin):
    """A revision of a part: maturity, mass, content and the dates we use it (half-open)."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="revisions")
    revision = models.CharField(max_length=8)
    maturity = models.CharField(max_length=10, choices=MATURITIES, default="prototype")
    mass_g = models.FloatField(null=True, blank=True)
    inner_volume_ml = models.FloatField(null=True, blank=True)
    in_force_from = models.DateField(null=True, blank=True)
    in_force_until = models.DateField(null=True, blank=True)
    un_number = models.CharField(
        max_length=8, blank=True, validators=[RegexValidator(r"^UN ?\d{4}$", "A UN number is UN and four digits.")],
        help_text="where shipped goods need it",
    )  # fmt: skip
    goods_class = models.CharField(max_length=10, blank=True, help_text="class of dangerous goods")

    class Meta:
        ordering = ["part", "revision"]
        constraints = [
            models.UniqueConstraint("part", Lower("revision"), name="part_revision_once"),
            one_of("maturity", MATURITIES, "part_revision_maturity_known"),
            positive("mass_g", "part_revision_mass_not_negative", zero=True),
            positive("inner_volume_ml", "part_revision_volume_not_negative", zero=True),
            dates_in_order("part_revision_dates_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.part.number} {self.revision}"


class StructureEdge(models.Model):
    """What an assembly's revision is made of."""

    parent = models.ForeignKey(PartRevision, on_delete=models.CASCADE, related_name="structure")
    number = models.PositiveSmallIntegerField()
    child = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="used_in")
    quantity = models.DecimalField(max_digits=10, decimal_places=3)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["parent", "number"], name="structure_number_once"),
            positive("quantity", "structure_quantity_positive"),
        ]


class Port(models.Model):
    """A place where something connects to a part."""

    revision = models.ForeignKey(PartRevision, on_delete=models.CASCADE, related_name="ports")
    code = models.CharField(max_length=20)
    role = models.CharField(max_length=12, choices=PORT_ROLES)
    form = models.CharField(max_length=14, choices=PORT_FORMS)
    size = models.CharField(max_length=12, help_text="#6, #8, #10, #12, or a diameter in mm")
    gender = models.CharField(max_length=6, choices=GENDERS)
    material = models.CharField(max_length=12, blank=True)
    angle_deg = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint("revision", Lower("code"), name="port_code_once"),
            one_of("role", PORT_ROLES, "port_role_known"),
            one_of("form", PORT_FORMS, "port_form_known"),
            one_of("gender", GENDERS, "port_gender_known"),
        ]


class Supersession(models.Model):
    """A part that takes the place of another from a date."""

    old = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="superseded_by")
    new = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="supersedes")
    in_force_from = models.DateField(null=True, blank=True)
    both_ways = models.BooleanField(default=False, help_text="the old part still replaces the new one")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["old", "new"]
        constraints = [
            models.UniqueConstraint(fields=["old", "new"], name="supersession_once"),
            models.CheckConstraint(condition=~Q(old=F("new")), name="supersession_by_another_part"),
        ]


class Supplier(Versioned):
    """Somebody we buy from."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [models.UniqueConstraint(Lower("code"), name="supplier_code_once")]

    def __str__(self) -> str:
        return self.name


class SupplierPart(models.Model):
    """A part as a supplier sells it."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="supplier_parts")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="supplier_parts")
    supplier_number = models.CharField(max_length=60, blank=True)
    lead_time_d = models.PositiveSmallIntegerField(null=True, blank=True)
    pack_quantity = models.DecimalField(max_digits=10, decimal_places=3, default=1)
    preferred = models.BooleanField(default=False)

    class Meta:
        ordering = ["part", "supplier"]
        constraints = [
            models.UniqueConstraint(fields=["supplier", "part"], name="supplier_part_once"),
            models.UniqueConstraint(
                fields=["part"], condition=Q(preferred=True), name="supplier_part_one_preferred"
            ),
            positive("pack_quantity", "supplier_part_pack_positive"),
        ]


class PartPrice(models.Model):
    """A price from a date and a quantity on, per unit of the part, in the installation's currency."""

    supplier_part = models.ForeignKey(SupplierPart, on_delete=models.CASCADE, related_name="prices")
    in_force_from = models.DateField()
    from_quantity = models.DecimalField(max_digits=10, decimal_places=3, default=1)
    price = models.DecimalField(max_digits=12, decimal_places=4)

    class Meta:
        ordering = ["supplier_part", "in_force_from", "from_quantity"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier_part", "in_force_from", "from_quantity"], name="part_price_once"
            ),
            positive("from_quantity", "part_price_quantity_positive"),
            positive("price", "part_price_not_negative", zero=True),
        ]
