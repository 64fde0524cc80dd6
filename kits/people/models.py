"""Who works here: what an account lacks of a person, his firm, and the papers that let him do dangerous work."""

from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.core.validators import RegexValidator
from django.db import models
from django.db.models.functions import Lower, Upper

from vehicles.records.access import ROLES
from vehicles.records.models import Act, Versioned, in_order, one_of

REFRIGERANT, HIGH_VOLTAGE = "refrigerant", "high voltage"
CERTIFICATE_KINDS = [(kind, kind) for kind in (REFRIGERANT, HIGH_VOLTAGE)]
INITIALS = r"^[^\W\d_]{2,5}$"
ROLE_CHOICES = [(role, role) for role in ROLES]
WHERE_IT_CAN_BE_HAD, ALWAYS = "where it can be had", "always"
SECOND_PERSON_CHOICES = [(choice, choice) for choice in (WHERE_IT_CAN_BE_HAD, ALWAYS)]


class Firm(models.Model):
    """A partner whose people fit kits."""

    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="firm_name_once")]

    def __str__(self) -> str:
        return self.name


class Person(Versioned):
    """What stands beside an account: its name, password and roles are the account's own."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="person")
    name = models.CharField(max_length=80, blank=True, help_text="as papers print it; empty: the account's")
    initials = models.CharField(
        max_length=5, validators=[RegexValidator(INITIALS, "Initials are two to five letters.")],
        help_text="what frozen records say instead of the name; never given to another person",
    )  # fmt: skip
    firm = models.ForeignKey(
        Firm,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="people",
        help_text="empty: our own",
    )
    left_on = models.DateField(null=True, blank=True, help_text="his last day; his account is closed")
    signed_out_at = models.DateTimeField(
        null=True, blank=True, help_text="what was signed in before this moment is signed out, everywhere"
    )
    link_made_at = models.DateTimeField(
        null=True, blank=True, help_text="of the link by which he chooses a password; empty: none is open"
    )

    class Meta:
        ordering = ["initials"]
        constraints = [models.UniqueConstraint(Upper("initials"), name="person_initials_once")]

    def __str__(self) -> str:
        return self.name or self.user.get_username()


class RoleChange(models.Model):
    """A role that somebody was given, or that was taken from him: rows are only added.

    What he may do now is said by his account's groups alone, of which no history is kept; this says how it came about.
    """

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="role_changes")
    role = models.CharField(max_length=12, choices=ROLE_CHOICES)
    is_given = models.BooleanField(help_text="no: it was taken")
    reason = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+",
        help_text="empty: the console",
    )  # fmt: skip

    class Meta:
        ordering = ["pk"]
        constraints = [one_of("role", ROLE_CHOICES, "role_change_role_known")]

    def __str__(self) -> str:
        return f"{self.role} {'given to' if self.is_given else 'taken from'} {self.person}"


class Certificate(models.Model):
    """A person's licence for dangerous work. It counts from its first day to its last one, unless it was withdrawn.

    One that was renewed is another row; the version that guards a change is that of the person.
    """

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="certificates")
    kind = models.CharField(max_length=12, choices=CERTIFICATE_KINDS)
    number = models.CharField(max_length=40)
    issued_by = models.CharField(max_length=80, blank=True)
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True, help_text="the last day; empty: without end")
    withdrawn_on = models.DateField(null=True, blank=True, help_text="from this day on it does not count")

    class Meta:
        ordering = ["person", "kind", "-valid_from", "-pk"]
        constraints = [
            # one that is renewed may keep its number
            models.UniqueConstraint(
                "person", "kind", Lower("number"), "valid_from", condition=models.Q(withdrawn_on__isnull=True),
                name="certificate_once", violation_error_message="This certificate is there already.",
            ),
            one_of("kind", CERTIFICATE_KINDS, "certificate_kind_known"),
            in_order("valid_from", "valid_until", "certificate_dates_in_order"),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"


class Shop(Versioned):
    """How our workshop works: one row, which is also the lock under which anything about people is changed."""

    second_person = models.CharField(
        max_length=20, choices=SECOND_PERSON_CHOICES, default=WHERE_IT_CAN_BE_HAD,
        help_text="who signs a hold point about gas beside the one who did it",
    )  # fmt: skip

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="shop_once"),
            one_of("second_person", SECOND_PERSON_CHOICES, "shop_second_person_known"),
        ]

    def __str__(self) -> str:
        return "the shop’s settings"


class PeopleChange(models.Model):
    """What an act changed of a person, of one of his certificates, or of the shop's settings: rows are only added."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(
        Person,
        on_delete=models.PROTECT,
        null=True,
        related_name="changes",
        help_text="empty: of the shop's settings",
    )
    certificate = models.ForeignKey(Certificate, on_delete=models.PROTECT, null=True, related_name="changes")
    is_new = models.BooleanField(help_text="whether it was entered by this act")
    fields = models.JSONField(encoder=DjangoJSONEncoder, help_text="old and new value of each field")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"change of {self.certificate or self.person or 'the shop’s settings'}"
