"""A kit: positions and entries, joints, hose runs, harness branches and circuits."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from kits.bom.catalogue import HEATS_ONLY
from kits.bom.roles import LEADS_TO, ROLES
from kits.parts.data_models import REFRIGERANTS
from kits.parts.refrigerant_models import OIL_FAMILIES
from vehicles.records.models import (
    CODE,
    OptionTerm,
    Versioned,
    WithOrigin,
    dates_in_order,
    in_order,
    one_of,
    positive,
)

KIT_GASES = [*REFRIGERANTS, (HEATS_ONLY, "none, heats only")]
FREEZE_MODES = [(m, m) for m in ("cycling", "suction-regulated", "speed-controlled")]
RULES = [
    ("exactly one", "exactly one"),
    ("at most one", "at most one"),
    ("any", "any number"),
]
CRIMP_PLACES = [
    ("works", "at works"),
    ("car", "both ends at the car"),
    ("car A", "end A at the car"),
    ("car B", "end B at the car"),
]
POSITION_ROLES = [(role, role) for role in ROLES]
ENDS = [(end, end) for end in LEADS_TO]
DIODE_BANDS = [("", "no diode"), ("from", "band at the from end"), ("to", "band at the to end")]


class Kit(Versioned, WithOrigin):
    """One kit with the settings of its refrigerant circuit; a kit that heats only has no refrigerant and no oil."""

    code = models.CharField(max_length=30, validators=[RegexValidator(CODE)])
    name = models.CharField(max_length=120)
    refrigerant = models.CharField(max_length=10, choices=KIT_GASES)
    oil = models.CharField(max_length=40, blank=True, help_text="empty where the kit heats only")
    oil_family = models.CharField(max_length=8, blank=True, choices=OIL_FAMILIES)
    oil_grade = models.PositiveSmallIntegerField(null=True, blank=True, help_text="ISO viscosity grade")
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

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(Lower("code"), name="kit_code_once"),
            one_of("refrigerant", KIT_GASES, "kit_refrigerant_known"),
            models.CheckConstraint(
                condition=Q(refrigerant=HEATS_ONLY, oil="") | (~Q(refrigerant=HEATS_ONLY) & ~Q(oil="")),
                name="kit_oil_with_refrigerant",
            ),
            one_of("oil_family", [("", ""), *OIL_FAMILIES], "kit_oil_family_known"),
            one_of("freeze_mode", FREEZE_MODES, "kit_freeze_mode_known"),
            positive("superheat_k", "kit_superheat_not_negative", zero=True),
            positive("subcooling_k", "kit_subcooling_not_negative", zero=True),
            positive("oil_ml", "kit_oil_positive"),
            positive("supply_voltage_v", "kit_voltage_positive"),
            positive("kit_current_a", "kit_current_positive"),
            in_order("freeze_cut_out_c", "freeze_cut_in_c", "kit_freeze_in_order"),
            in_order("fan_on_bar_g", "high_cut_out_bar_g", "kit_fan_under_high"),
            in_order("high_reset_bar_g", "high_cut_out_bar_g", "kit_reset_under_high"),
            in_order("low_cut_out_bar_g", "fan_on_bar_g", "kit_low_under_fan"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def heats_only(self) -> bool:
        """Whether the kit has no refrigerant, and so cools nothing."""
        return self.refrigerant == HEATS_ONLY


class KitOffer(models.Model):
    """A kit offered for a model line, or those cars of it that its terms name, in a market: the kit's universe."""

    kit = models.ForeignKey(Kit, on_delete=models.PROTECT, related_name="offers")
    line = models.ForeignKey("vehicles.ModelLine", on_delete=models.PROTECT, related_name="offers")
    market = models.ForeignKey("kits.Market", on_delete=models.PROTECT, related_name="offers")
    duty_set = models.ForeignKey("vehicles.DutySet", on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["kit", "line", "market"]
        constraints = [models.UniqueConstraint(fields=["kit", "line", "market"], name="kit_offer_once")]


class OfferTerm(OptionTerm):
    """An option the kit is offered for within the line."""

    offer = models.ForeignKey(KitOffer, on_delete=models.CASCADE, related_name="terms")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["offer", "option"], name="offer_term_once")]


class Position(models.Model):
    """A numbered place in a kit's parts list (part reference of ISO 7573)."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="positions")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=40)
    bag = models.CharField(max_length=20, blank=True)
    role = models.CharField(max_length=20, blank=True, choices=POSITION_ROLES)
    rule = models.CharField(max_length=12, choices=RULES, default="exactly one")
    hold_spacing_mm = models.FloatField(
        null=True, blank=True, help_text="of hose clips: the hoses are held at least every so many mm"
    )

    class Meta:
        ordering = ["kit", "number"]
        constraints = [
            positive("hold_spacing_mm", "position_hold_spacing_positive"),
            models.UniqueConstraint(fields=["kit", "number"], name="position_number_once"),
            one_of("rule", RULES, "position_rule_known"),
            one_of("role", [("", ""), *POSITION_ROLES], "position_role_known"),
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
            dates_in_order("entry_dates_in_order"),
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
    tightest_bend_mm = models.FloatField(
        null=True, blank=True, help_text="inner radius of the tightest bend on the way"
    )

    class Meta:
        ordering = ["line", "code"]
        constraints = [
            models.UniqueConstraint("line", Lower("code"), name="route_code_once"),
            positive("rock_mm", "route_rock_not_negative", zero=True),
            positive("tightest_bend_mm", "route_bend_positive"),
        ]

    def __str__(self) -> str:
        return self.name


class HoseRun(WithOrigin):
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
    clip_position = models.ForeignKey(
        Position, null=True, blank=True, on_delete=models.SET_NULL, related_name="+",
        help_text="where the clip stands that closes a water hose",
    )  # fmt: skip

    class Meta:
        ordering = ["kit", "code"]
        constraints = [
            models.UniqueConstraint("kit", Lower("code"), name="joint_code_once"),
            models.UniqueConstraint(fields=["position_a", "port_a"], name="joint_port_a_once"),
            models.UniqueConstraint(fields=["position_b", "port_b"], name="joint_port_b_once"),
        ]


class HarnessBranch(models.Model):
    """A branch of a harness on its route through the car."""

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="branches")
    number = models.PositiveSmallIntegerField()
    route = models.ForeignKey(Route, on_delete=models.PROTECT, related_name="branches")
    covering = models.CharField(max_length=80, blank=True, help_text="braid, split tube, tape")

    class Meta:
        ordering = ["position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["position", "number"], name="harness_branch_number_once")
        ]


class Circuit(WithOrigin):
    """One conductor of a harness; its position is the harness. "From" is the side that feeds it."""

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
    diode_band = models.CharField(max_length=4, blank=True, choices=DIODE_BANDS[1:])
    leads_to = models.CharField(
        max_length=12,
        blank=True,
        choices=ENDS,
        help_text="what is at its end; empty where nobody has said so",
    )
    high_voltage = models.BooleanField(
        default=False, help_text="whether it carries the traction battery's voltage"
    )
    branch = models.ForeignKey(
        HarnessBranch, null=True, blank=True, on_delete=models.SET_NULL, related_name="circuits"
    )

    class Meta:
        ordering = ["position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["position", "number"], name="circuit_number_once"),
            positive("section_mm2", "circuit_section_positive"),
            positive("length_mm", "circuit_length_positive"),
            positive("fuse_a", "circuit_fuse_positive"),
            positive("current_a", "circuit_current_not_negative", zero=True),
            one_of("diode_band", DIODE_BANDS, "circuit_diode_band_known"),
            one_of("leads_to", [("", ""), *ENDS], "circuit_leads_to_known"),
        ]


class CircuitTerm(OptionTerm):
    """An option the circuit applies to."""

    circuit = models.ForeignKey(Circuit, on_delete=models.CASCADE, related_name="terms")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["circuit", "option"], name="circuit_term_once")]
