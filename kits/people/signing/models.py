"""Wrong passwords that still count, and what happened at signing in."""

from django.conf import settings
from django.db import models

from vehicles.records.models import one_of

BROWSER_PLACE = "browser "
STRANGE_PLACES = ""
EVENTS = [
    ("signed in", "signed in"),
    ("refused", "wrong password"),
    ("code refused", "wrong code"),
    ("locked", "too many tries, locked"),
    ("lifted", "lock lifted"),
    ("signed out", "signed out"),
    ("idle", "signed out, idle"),
    ("too old", "signed out, signed in for too long"),
    ("everywhere", "signed out everywhere"),
    ("password", "password changed"),
    ("second step on", "second step turned on"),
    ("second step off", "second step turned off"),
    ("second step reset", "second step taken away"),
]


class SignInTry(models.Model):
    """Wrong passwords of one name from one place, or of all names from it (no name), and until when to wait.

    A place is an address (of IPv6 its /64), or a browser in which this very name signed in before. Without a place they
    are wrong codes of the second step from all places that are no such browser.
    """

    name = models.CharField(max_length=150, blank=True, help_text="in one spelling; empty: all names")
    place = models.CharField(max_length=64)
    failed_count = models.PositiveIntegerField()
    first_at = models.DateTimeField()
    last_at = models.DateTimeField(db_index=True)
    locked_until = models.DateTimeField(null=True, blank=True, db_index=True)

    class Meta:
        ordering = ["-locked_until", "name", "place"]
        constraints = [models.UniqueConstraint(fields=["name", "place"], name="sign_in_try_once")]

    def __str__(self) -> str:
        if self.is_of_strange_places:
            return f"{self.name} with a code from any new place"
        place = "a browser of his" if self.is_of_browser else self.place
        return f"{self.name or 'every name'} from {place}"

    @property
    def is_of_strange_places(self) -> bool:
        """Whether these are wrong codes from everywhere but a browser that is known for the name."""
        return self.place == STRANGE_PLACES

    @property
    def is_of_browser(self) -> bool:
        """Whether the place is a browser that is known for the name."""
        return self.place.startswith(BROWSER_PLACE)


class SignInRecord(models.Model):
    """One thing that happened: who, when, whence. Kept for 90 days. Never a password."""

    at = models.DateTimeField(db_index=True)
    event = models.CharField(max_length=20, choices=EVENTS)
    name = models.CharField(max_length=150, help_text="as it was typed")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        related_name="sign_in_records",
        help_text="the account of that name; empty: there is none",
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        related_name="+",
        help_text="who did it where that was another; empty: himself, or the console",
    )
    address = models.CharField(max_length=45, help_text="as the trusted proxy reports it; empty: the console")

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["user", "-at"], name="sign_in_record_of_user")]
        constraints = [one_of("event", EVENTS, "sign_in_event_known")]

    def __str__(self) -> str:
        return f"{self.get_event_display()}: {self.name}"
