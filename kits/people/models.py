"""Who works here: what an account lacks of a person, his firm, and the papers that let him do dangerous work."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models.functions import Lower, Upper
from simple_history.models import HistoricalRecords

from vehicles.records.models import Versioned, dates_in_order, one_of

REFRIGERANT, HIGH_VOLTAGE = "refrigerant", "high voltage"
CERTIFICATE_KINDS = [(kind, kind) for kind in (REFRIGERANT, HIGH_VOLTAGE)]
INITIALS = r"^[^\W\d_]{2,5}$"


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
    history = HistoricalRecords()

    class Meta:
        ordering = ["initials"]
        constraints = [models.UniqueConstraint(Upper("initials"), name="person_initials_once")]

    def __str__(self) -> str:
        return self.name or self.user.get_username()


class Certificate(models.Model):
    """A person's licence for dangerous work. It counts on the days from the first to the last one."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="certificates")
    kind = models.CharField(max_length=12, choices=CERTIFICATE_KINDS)
    number = models.CharField(max_length=40)
    issued_by = models.CharField(max_length=80, blank=True)
    valid_from = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True, help_text="the last day; empty: without end")
    history = HistoricalRecords()

    class Meta:
        ordering = ["person", "kind", "-valid_until"]
        constraints = [
            models.UniqueConstraint(
                "person", "kind", Lower("number"), name="certificate_once",
                violation_error_message="This certificate is there already.",
            ),
            one_of("kind", CERTIFICATE_KINDS, "certificate_kind_known"),
            dates_in_order("certificate_dates_in_order", "valid_from", "valid_until"),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"
