"""Who works here, what a person may do on a day, and what was done to his entry."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX, check_password
from django.contrib.auth.models import User
from django.db.models import F, Q, QuerySet

from kits.people.cover import WITHDRAWN, Cover, Span, cover, span_of, standing
from kits.people.models import CERTIFICATE_KINDS, Certificate, Firm, Person, RoleChange
from vehicles.records.access import MANAGER, ROLES

LINK_LASTS = timedelta(days=3)
DEMONSTRATION_PASSWORD = "slate-coast-kettle"  # noqa: S105 - printed on purpose


def people() -> QuerySet[Person]:
    """Everybody, those who are here first, with account, firm, roles and certificates."""
    rows = Person.objects.select_related("user", "firm").prefetch_related("user__groups", "certificates")
    return rows.order_by(F("left_on").desc(nulls_first=True), "initials")


def person_of(initials: str) -> Person | None:
    """One person, or None."""
    return people().filter(initials=initials).first()


def demonstration_accounts() -> list[str]:
    """The demonstration's accounts that can still sign in with its known password.

    Only names that exist are tried: each takes as long as signing in.
    """
    rows = User.objects.filter(username__in=ROLES, is_active=True).values_list("username", "password")
    return [name for name, kept in rows.order_by("pk") if check_password(DEMONSTRATION_PASSWORD, kept)]


def roles_held(person: Person) -> list[str]:
    """The roles of a person in their order."""
    held = {group.name for group in person.user.groups.all()}
    return [role for role in ROLES if role in held]


def firms() -> QuerySet[Firm]:
    """Partner firms that have people."""
    return Firm.objects.filter(people__isnull=False).distinct()


def initials_given() -> set[str]:
    """All initials that anybody has or ever had, in capitals."""
    held = Person.objects.values_list("initials", flat=True)
    had = Person.history.values_list("initials", flat=True)
    return {initials.upper() for initials in (*held, *had)}


def managers_who_can_sign_in() -> QuerySet[User]:
    """Accounts that are open, have a password and are managers."""
    able = User.objects.filter(is_active=True, groups__name=MANAGER)
    return able.exclude(password="").exclude(password__startswith=UNUSABLE_PASSWORD_PREFIX)


def is_last_manager(user: User) -> bool:
    """Whether nobody but this account could look after everything else. Ask under the lock of people."""
    able = managers_who_can_sign_in()
    return able.filter(pk=user.pk).exists() and not able.exclude(pk=user.pk).exists()


def link_ends_at(person: Person) -> datetime | None:
    """Until when the link that is open can be used; None: there is none."""
    return person.link_made_at + LINK_LASTS if person.link_made_at else None


def certificates_in_force(person: Person, kind: str, on: date) -> QuerySet[Certificate]:
    """The certificates of a kind that count on a day, first and last day included."""
    return Certificate.objects.filter(
        Q(valid_from__isnull=True) | Q(valid_from__lte=on),
        Q(valid_until__isnull=True) | Q(valid_until__gte=on),
        Q(withdrawn_on__isnull=True) | Q(withdrawn_on__gt=on),
        person=person, kind=kind,
    )  # fmt: skip


def days_of(held: Certificate) -> Span:
    """The days on which a certificate counts."""
    return span_of(held.valid_from, held.valid_until, held.withdrawn_on)


def covers(certificates: Iterable[Certificate], on: date) -> list[tuple[str, Cover]]:
    """How it stands with each kind of which somebody has a certificate, withdrawn ones aside."""
    by_kind: dict[str, list[Span]] = {}
    for held in certificates:
        if held.withdrawn_on is None:
            by_kind.setdefault(held.kind, []).append(days_of(held))
    return [(kind, cover(by_kind[kind], on)) for kind, _ in CERTIFICATE_KINDS if kind in by_kind]


def told_certificates(person: Person, on: date) -> list[tuple[Certificate, str]]:
    """Each certificate of a person with how it stands."""
    return [
        (held, standing(days_of(held), on, is_withdrawn=held.withdrawn_on is not None))
        for held in person.certificates.all()
    ]


@dataclass(frozen=True)
class Ending:
    """People who are here and have a certificate to see to."""

    people: frozenset[int]
    ended_count: int
    soon_count: int


def ending(on: date) -> Ending:
    """Kinds of work that somebody may do no more, or not much longer, by his certificates; one query."""
    held_by: dict[int, list[Certificate]] = {}
    for held in Certificate.objects.filter(person__left_on__isnull=True).order_by("pk"):
        held_by.setdefault(held.person_id, []).append(held)
    found = [
        (person, stand)
        for person, certificates in held_by.items()
        for _, stand in covers(certificates, on)
        if stand.is_ending
    ]
    ended_count = sum(stand.state == "ended" for _, stand in found)
    return Ending(frozenset(person for person, _ in found), ended_count, len(found) - ended_count)


@dataclass(frozen=True)
class Told:
    """One thing that was done to a person's entry."""

    at: datetime
    by: str
    what: str
    reason: str


def history_of(person: Person) -> list[Told]:
    """What was done to a person's entry, his roles and certificates, the newest first; four queries."""
    names = dict(Firm.objects.values_list("pk", "name"))
    found = [*_of_entry(person, names), *_of_roles(person), *_of_certificates(person)]
    return sorted(found, key=lambda told: told.at, reverse=True)


def _pairs(rows: Iterable[Any]) -> Iterator[tuple[Any, Any]]:
    """Each state of a row with the one before it, None for the first."""
    before = None
    for row in rows:
        yield before, row
        before = row


def _by(row: Any) -> str:
    return row.history_user.get_username() if row.history_user else "the console"


def _of_entry(person: Person, firm_names: dict[int, str]) -> Iterator[Told]:
    rows = person.history.select_related("history_user").order_by("history_date", "history_id")
    for before, row in _pairs(rows):
        what = _entry_words(before, row, firm_names) if before else ["entered here"]
        if what:
            yield Told(row.history_date, _by(row), "; ".join(what), row.history_change_reason or "")


def _entry_words(before: Any, row: Any, firm_names: dict[int, str]) -> list[str]:
    words = []
    if before.name != row.name:
        words.append(f"name: {before.name or 'none'} → {row.name or 'none'}")
    if before.initials != row.initials:
        words.append(f"initials: {before.initials} → {row.initials}")
    if before.firm_id != row.firm_id:
        old, new = (firm_names.get(pk, "our own") for pk in (before.firm_id, row.firm_id))
        words.append(f"firm: {old} → {new}")
    if before.left_on != row.left_on:
        words.append(
            f"left, last day {row.left_on}; account closed" if row.left_on else "came back; account open"
        )
    if before.link_made_at != row.link_made_at:
        if row.link_made_at:
            words.append("link to choose a password made")
        elif not row.left_on:
            words.append("password chosen by the link")
    if before.signed_out_at != row.signed_out_at and not row.left_on:
        words.append("signed out everywhere")
    return words


def _of_roles(person: Person) -> Iterator[Told]:
    rows: Iterable[RoleChange] = person.role_changes.select_related("made_by")
    for row in rows:
        by = row.made_by.get_username() if row.made_by else "the console"
        yield Told(row.made_at, by, f"role {row.role} {'given' if row.is_given else 'taken'}", row.reason)


def _of_certificates(person: Person) -> Iterator[Told]:
    rows = Certificate.history.filter(person_id=person.pk).select_related("history_user")
    for before, row in _pairs(rows.order_by("id", "history_date", "history_id")):
        is_first = before is None or before.id != row.id
        what = "recorded" if is_first else _certificate_words(before, row)
        if what:
            name = f"certificate {row.kind} {row.number}"
            yield Told(row.history_date, _by(row), f"{name} {what}", row.history_change_reason or "")


def _certificate_words(before: Any, row: Any) -> str:
    if before.withdrawn_on != row.withdrawn_on:
        return f"{WITHDRAWN} as of {row.withdrawn_on}"
    names = {
        "kind": "kind", "number": "number", "issued_by": "issued by", "valid_from": "first day",
        "valid_until": "last day",
    }  # fmt: skip
    changed = [
        f"{words} {getattr(before, name) or 'none'} → {getattr(row, name) or 'none'}"
        for name, words in names.items()
        if getattr(before, name) != getattr(row, name)
    ]
    return f"corrected: {', '.join(changed)}" if changed else ""
