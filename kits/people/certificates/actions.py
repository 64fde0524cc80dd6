"""Certificates of a person: the version that guards them is that of the person."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from kits.people.actions import person_with, taken, write
from kits.people.models import Certificate, Person
from vehicles.records.access import Actor, require
from vehicles.records.actions import new_act, once
from vehicles.records.asked import Sent
from vehicles.records.models import Act


def record_certificate(
    *,
    actor: Actor,
    person_id: int,
    kind: str,
    number: str,
    issued_by: str,
    valid_from: date,
    valid_until: date | None,
    reason: str,
    sent: Sent,
    expected_version: int,
) -> Person:
    """Add a certificate; older ones of the kind stay. Sent again it is added once.

    Raises PermissionDenied, Stale, ValidationError by field.
    """
    require(actor, "record_certificate")

    def make(act: Act) -> str:
        person = taken(person_id, expected_version)
        _write_certificate(
            Certificate(
                person=person, kind=kind, number=number, issued_by=issued_by, valid_from=valid_from,
                valid_until=valid_until,
            ),
            act,
        )  # fmt: skip
        return person.initials

    return person_with(once(actor, "record_certificate", sent, make, reason=reason))


def change_certificate(
    *,
    actor: Actor,
    certificate_id: int,
    kind: str,
    number: str,
    issued_by: str,
    valid_from: date,
    valid_until: date | None,
    reason: str,
    expected_version: int,
) -> Certificate:
    """Correct what was typed of a certificate; a renewed one is recorded anew.

    Raises PermissionDenied, Stale, ValidationError by field.
    """
    require(actor, "record_certificate")
    with transaction.atomic():
        held = _certificate(certificate_id, expected_version)
        held.kind, held.number, held.issued_by = kind, number, issued_by
        held.valid_from, held.valid_until = valid_from, valid_until
        _write_certificate(held, new_act(actor, "change_certificate", reason))
    return held


def withdraw_certificate(
    *, actor: Actor, certificate_id: int, on: date, reason: str, expected_version: int
) -> Certificate:
    """A certificate that counts no more, from a day on. Raises PermissionDenied, Stale, ValidationError."""
    require(actor, "record_certificate")
    with transaction.atomic():
        held = _certificate(certificate_id, expected_version)
        held.withdrawn_on = on
        _write_certificate(held, new_act(actor, "withdraw_certificate", reason))
    return held


def _certificate(certificate_id: int, expected_version: int) -> Certificate:
    """A certificate of a person who still is what was seen. Raises Stale, ValidationError."""
    held = Certificate.objects.get(pk=certificate_id)
    held.person = taken(held.person_id, expected_version)
    held.refresh_from_db(fields=["withdrawn_on"])
    if held.withdrawn_on:
        raise ValidationError(f"This certificate was withdrawn on {held.withdrawn_on}; record another one.")
    return held


def _write_certificate(held: Certificate, act: Act) -> None:
    held.full_clean()
    write(held.person, act)
    write(held, act)
