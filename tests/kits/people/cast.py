"""People of tests: entries beside accounts, with what hangs on them."""

from datetime import UTC, date, datetime

from django.contrib.auth.models import User
from django.utils import timezone

from kits.people.actions import invite_person, write
from kits.people.invitation.queries import token_of
from kits.people.models import Certificate, Person
from vehicles.records.access import CONSOLE
from vehicles.records.actions import new_act
from vehicles.records.asked import Sent

TODAY = date(2026, 11, 30)
NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)


def certificate(person: Person, **values) -> Certificate:
    """A certificate of a person."""
    given = {"kind": "refrigerant", "number": "R-1", "valid_from": date(2025, 1, 1), "valid_until": None}
    row = Certificate(person=person, **given | values)
    write(row, new_act(CONSOLE, "record_certificate"))
    return row


def invited(account="anna", **values) -> Person:
    """Somebody who was invited and has chosen no password yet."""
    given = {
        "name": "Anna Berg",
        "initials": "",
        "roles": ["installer"],
        "firm": "",
        "reason": "",
        "now": NOW,
    }
    return invite_person(actor=CONSOLE, account=account, sent=Sent(), **given | values)


def entered(user: User) -> dict[str, object]:
    """Gives an account a certificate, and somebody else an open link: values of the parameters of addresses."""
    row = certificate(user.person)
    return {
        "initials": user.person.initials, "certificate": row.pk, "token": token_of(invited(now=timezone.now())),
    }  # fmt: skip
