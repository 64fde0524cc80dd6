"""Who works here, what a person may do on a day, and what was done to his entry."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX, check_password
from django.contrib.auth.models import User
from django.db.models import F, Q, QuerySet

from kits.people.cover import WITHDRAWN, Cover, Span, cover, span_of, standing
from kits.people.models import CERTIFICATE_KINDS, Certificate, Firm, PeopleChange, Person, RoleChange, Shop
from vehicles.records.access import MANAGER, ROLES

LINK_LASTS = timedelta(days=3)
CERTIFICATE_WORDS = {
    "kind": "kind", "number": "number", "issued_by": "issued by", "valid_from": "first day", "valid_until": "last day",
}  # fmt: skip
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
    changes = PeopleChange.objects.filter(fields__has_key="initials").values_list("fields", flat=True)
    had = (initials for fields in changes for initials in fields["initials"] if initials)
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


def told_fields(row: Person | Certificate | Shop) -> dict[str, Any]:
    """What history tells of a row, by field."""
    if isinstance(row, Shop):
        return {"second_person": row.second_person}
    if isinstance(row, Certificate):
        return {name: getattr(row, name) for name in CERTIFICATE_WORDS} | {"withdrawn_on": row.withdrawn_on}
    names = ("name", "initials", "left_on", "link_made_at", "signed_out_at")
    return {name: getattr(row, name) for name in names} | {"firm": row.firm.name if row.firm else ""}


def history_of(person: Person) -> list[Told]:
    """What was done to a person's entry, his roles and certificates, the newest first; two queries."""
    return sorted([*_of_entry(person), *_of_roles(person)], key=lambda told: told.at, reverse=True)


def _of_entry(person: Person) -> Iterator[Told]:
    """What was done to his entry and to his certificates. A field that no change tells of stands as it is now."""
    states: dict[int | None, dict[str, Any]] = {}
    for change in person.changes.select_related("act__person", "certificate"):
        now = told_fields(change.certificate or person)
        before = states.get(change.certificate_id, now) | {
            name: old for name, (old, _) in change.fields.items()
        }
        after = before | {name: new for name, (_, new) in change.fields.items()}
        states[change.certificate_id] = after
        if change.certificate:
            words = "recorded" if change.is_new else _certificate_words(before, after)
            what = f"certificate {after['kind']} {after['number']} {words}" if words else ""
        else:
            what = "entered here" if change.is_new else "; ".join(_entry_words(before, after))
        if what:
            by = change.act.person.get_username() if change.act.person else "the console"
            yield Told(change.act.arrived, by, what, change.act.reason)


def _entry_words(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    changed = {name for name, value in after.items() if value != before[name]}
    words = [
        f"{name}: {before[name] or nothing} → {after[name] or nothing}"
        for name, nothing in (("name", "none"), ("initials", "none"), ("firm", "our own"))
        if name in changed
    ]
    last_day = after["left_on"]
    if "left_on" in changed:
        words.append(f"left, last day {last_day}; account closed" if last_day else "came back; account open")
    if "link_made_at" in changed and after["link_made_at"]:
        words.append("link to choose a password made")
    elif "link_made_at" in changed and not last_day:
        words.append("password chosen by the link")
    if "signed_out_at" in changed and not last_day:
        words.append("signed out everywhere")
    return words


def _of_roles(person: Person) -> Iterator[Told]:
    rows: Iterable[RoleChange] = person.role_changes.select_related("made_by")
    for row in rows:
        by = row.made_by.get_username() if row.made_by else "the console"
        yield Told(row.made_at, by, f"role {row.role} {'given' if row.is_given else 'taken'}", row.reason)


def _certificate_words(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    if before["withdrawn_on"] != after["withdrawn_on"]:
        return f"{WITHDRAWN} as of {after['withdrawn_on']}"
    changed = [
        f"{words} {before[name] or 'none'} → {after[name] or 'none'}"
        for name, words in CERTIFICATE_WORDS.items()
        if before[name] != after[name]
    ]
    return f"corrected: {', '.join(changed)}" if changed else ""
