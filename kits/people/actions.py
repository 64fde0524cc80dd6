"""People: who has an account, what he may do, and which certificates he holds.

Whatever depends on who else there is (a free name, free initials, the last manager) happens under one lock, the shop's
one row, taken first; then the person's own row.
"""

from collections.abc import Collection
from datetime import date, datetime

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group, User
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from kits.people.initials import are_initials, capitals, free_initials
from kits.people.models import REFRIGERANT, Certificate, Firm, PeopleChange, Person, RoleChange, Shop
from kits.people.names import LONGEST_ACCOUNT, can_be_read, hidden_signs, is_taken, told_alike
from kits.people.queries import DEMONSTRATION_PASSWORD, initials_given, is_last_manager, told_fields
from kits.people.signing.limits import LONGEST_PASSWORD
from vehicles.records.access import INSTALLER, MANAGER, OWNER, PRODUCTION, ROLES, Actor, require, user_of
from vehicles.records.actions import new_act, once, take_version
from vehicles.records.asked import Sent
from vehicles.records.models import Act

# People that never were.
DEMONSTRATION_NAMES = {
    MANAGER: "Marta Holm", PRODUCTION: "Pavel Roth", INSTALLER: "Ines Kolb", OWNER: "Otto Wend",
}  # fmt: skip
NO_ACCOUNT_NAME = "A name to sign in with is made of letters, digits and the signs @ . + - _ only."
LAST_MANAGER = (
    "{} is the last manager who can sign in: without one nobody could change anything here. Make somebody else a "
    "manager first; whoever is invited counts once he has chosen his password."
)
UNREADABLE_ACCOUNT = (
    "A name to sign in with has at least one letter or digit, and no sign that can’t be seen."
)
NO_INITIALS = "Initials are two to five letters; in capitals these are “{}”."
NO_ROLE_LEFT = "Tick at least one role. Whoever works here no more leaves instead."
PARTNERS_INSTALL = "People of a partner firm are installers and nothing else."
HAS_LEFT = "{} has left. Let him come back first."
IS_HERE = "{} has not left."


def lock_people() -> Shop:
    """The shop's one row, locked: the first lock of every transaction about people."""
    shop, _ = Shop.objects.select_for_update().get_or_create(pk=1)
    return shop


@transaction.atomic
def make_roles() -> None:
    """Make the groups that stand for the roles; those that exist stay as they are."""
    for role in ROLES:
        Group.objects.get_or_create(name=role)


def make_user(*, actor: Actor, name: str, password: str, role: str, called: str = "") -> User:
    """Make an account with a password and one role, and the person behind it. called: his name, as papers print it.

    Raises PermissionDenied, or ValidationError when the name is taken or the role does not exist.
    """
    require(actor, "make_user")
    _known([role])
    if len(password) > LONGEST_PASSWORD:
        raise ValidationError(f"A password has at most {LONGEST_PASSWORD:,} characters.")
    hashed = make_password(password)  # takes long: before others have to wait
    with transaction.atomic():
        lock_people()
        account = _free_account(name)
        user = User.objects.create(username=account, password=hashed)
        person = Person(user=user, name=called, initials=free_initials(called or account, initials_given()))
        write(person, new_act(actor, "make_user", "account made with its password"))
        _set_roles(person, {role}, actor, "", timezone.now())
    return user


@transaction.atomic
def make_demonstration_users(*, actor: Actor) -> list[User]:
    """Make one account per role, named like the role, with a known password.

    Never in production: everybody knows the password. Accounts that exist stay as they are.
    Returns the accounts that were made now.
    """
    if settings.PRODUCTION:
        raise PermissionDenied("Accounts with a known password are not made in production.")
    taken = set(User.objects.filter(username__in=ROLES).values_list("username", flat=True))
    made = [
        make_user(
            actor=actor, name=role, password=DEMONSTRATION_PASSWORD, role=role, called=DEMONSTRATION_NAMES[role]
        )
        for role in ROLES
        if role not in taken
    ]  # fmt: skip
    for user in made:
        if user.username == INSTALLER:
            write(
                Certificate(
                    person=user.person, kind=REFRIGERANT, number="DEMO-0001", issued_by="nobody: a demonstration",
                    valid_from=date(2025, 6, 1), valid_until=date(2027, 5, 31),
                ),
                new_act(actor, "make_demonstration_users", "invented for the demonstration"),
            )  # fmt: skip
    return made


def invite_person(
    *,
    actor: Actor,
    account: str,
    name: str,
    initials: str,
    roles: Collection[str],
    firm: str,
    reason: str,
    sent: Sent,
    now: datetime,
) -> Person:
    """Make an account without a password, and open a link by which its person chooses one.

    initials: empty for the first free ones; firm: its name, empty for our own people. Sent again it is the same person.
    Raises PermissionDenied, Stale, or ValidationError by field.
    """
    require(actor, "invite_person")
    _known(roles)

    def make(act: Act) -> str:
        lock_people()
        user = User(username=_free_account(account))
        user.set_unusable_password()
        person = Person(
            user=user, name=name, initials=_free_initials(initials, name or account), firm=_firm(firm),
            link_made_at=now,
        )  # fmt: skip
        _refuse_roles_of_partner(person, roles, "roles")
        user.save()
        person.user = user
        write(person, act)
        _set_roles(person, roles, actor, reason, now)
        return person.initials

    return person_with(once(actor, "invite_person", sent, make, reason=reason))


def change_person(
    *, actor: Actor, person_id: int, name: str, firm: str, reason: str, expected_version: int
) -> Person:
    """Change name and firm; initials stay, since records bear them. Raises PermissionDenied, Stale, ValidationError."""
    require(actor, "change_person")
    with transaction.atomic():
        lock_people()
        person = taken(person_id, expected_version)
        person.name, person.firm = name, _firm(firm)
        _refuse_roles_of_partner(person, _held(person), "firm")
        write(person, new_act(actor, "change_person", reason))
    return person


def give_roles(
    *,
    actor: Actor,
    person_id: int,
    roles: Collection[str],
    reason: str,
    expected_version: int,
    now: datetime,
) -> Person:
    """Give a person these roles and take all others. Raises PermissionDenied, Stale, ValidationError."""
    require(actor, "give_roles")
    _known(roles)
    with transaction.atomic():
        lock_people()
        person = taken(person_id, expected_version)
        if person.left_on:
            raise ValidationError(HAS_LEFT.format(person))
        _refuse_roles_of_partner(person, roles, "roles")
        _set_roles(person, roles, actor, reason, now)
        write(person, new_act(actor, "give_roles", reason))
    return person


def person_leaves(
    *,
    actor: Actor,
    person_id: int,
    last_day: date,
    reason: str,
    expected_version: int,
    now: datetime,
    today: date,
) -> Person:
    """Close a person's account at once: no role, signed out everywhere, no link open. His records stay.

    Raises PermissionDenied, Stale, ValidationError for a day to come or before his account was made.
    """
    require(actor, "person_leaves")
    with transaction.atomic():
        lock_people()
        person = taken(person_id, expected_version)
        if person.left_on:
            raise ValidationError(f"{person} has left already, on {person.left_on}.")
        made_on = timezone.localdate(person.user.date_joined)
        if last_day > today:
            raise ValidationError(
                {
                    "last_day": "That day is still to come. His account is closed at once: come back on that day."
                }
            )
        if last_day < made_on:
            raise ValidationError(
                {"last_day": f"His account was made on {made_on}; he can’t have left before."}
            )
        _set_roles(person, (), actor, reason, now)
        person.left_on, person.signed_out_at, person.link_made_at = last_day, now, None
        person.user.is_active = False
        person.user.save(update_fields=["is_active"])
        write(person, new_act(actor, "person_leaves", reason))
    return person


def person_comes_back(
    *,
    actor: Actor,
    person_id: int,
    roles: Collection[str],
    reason: str,
    sent: Sent,
    expected_version: int,
    now: datetime,
) -> Person:
    """Open the account of somebody who left, with these roles and a link to choose a password; the old one is gone.

    Certificates are as they were. Sent again it is done once. Raises PermissionDenied, Stale, ValidationError.
    """
    require(actor, "person_comes_back")
    _known(roles)

    def make(act: Act) -> str:
        lock_people()
        person = taken(person_id, expected_version)
        if not person.left_on:
            raise ValidationError(IS_HERE.format(person))
        _refuse_roles_of_partner(person, roles, "roles")
        person.left_on, person.link_made_at = None, now
        person.user.is_active = True
        person.user.set_unusable_password()
        person.user.save(update_fields=["is_active", "password"])
        _set_roles(person, roles, actor, reason, now)
        write(person, act)
        return person.initials

    return person_with(once(actor, "person_comes_back", sent, make, reason=reason))


def make_link(
    *, actor: Actor, person_id: int, reason: str, sent: Sent, expected_version: int, now: datetime
) -> Person:
    """Open a link by which a person chooses a new password; one that was open before is closed.

    His password goes on until then. Sent again it is done once. Raises PermissionDenied, Stale, ValidationError.
    """
    require(actor, "make_link")

    def make(act: Act) -> str:
        person = taken(person_id, expected_version)
        if person.left_on or not person.user.is_active:
            raise ValidationError(HAS_LEFT.format(person))
        person.link_made_at = now
        write(person, act)
        return person.initials

    return person_with(once(actor, "make_link", sent, make, reason=reason))


def _known(roles: Collection[str]) -> None:
    unknown = [role for role in roles if role not in ROLES]
    if unknown:
        raise ValidationError(f"There is no role “{unknown[0]}”. Roles are: {', '.join(ROLES)}.")
    if not roles:
        raise ValidationError({"roles": NO_ROLE_LEFT})


def _free_account(typed: str) -> str:
    """The account's name as it is kept. Raises ValidationError; call under the lock."""
    name = User.normalize_username(typed.strip())
    try:
        UnicodeUsernameValidator()(name)
    except ValidationError:
        raise ValidationError({"account": NO_ACCOUNT_NAME}) from None
    if hidden_signs(name) or not can_be_read(name):
        raise ValidationError({"account": UNREADABLE_ACCOUNT})
    if len(name) > LONGEST_ACCOUNT:
        raise ValidationError({"account": f"A name to sign in with has at most {LONGEST_ACCOUNT} signs."})
    if is_taken(name, User.objects.values_list("username", flat=True)):
        raise ValidationError({"account": f"There is already an account called “{name}”."})
    return name


def _free_initials(typed: str, name: str) -> str:
    """Those that were typed, or the first free ones. Raises ValidationError; call under the lock."""
    given = initials_given()
    wanted = capitals(typed)
    if wanted and not are_initials(wanted):
        raise ValidationError({"initials": NO_INITIALS.format(wanted)})
    if wanted in given:
        raise ValidationError(
            {
                "initials": f"{wanted} are or were somebody else’s initials. {free_initials(name, given)} are free."
            }
        )
    return wanted or free_initials(name, given)


def _firm(name: str) -> Firm | None:
    """The firm of that name, made where there is none; None: our own. Call under the lock."""
    if not name:
        return None
    found = next((firm for firm in Firm.objects.all() if told_alike(firm.name) == told_alike(name)), None)
    return found or Firm.objects.create(name=name)


def _refuse_roles_of_partner(person: Person, roles: Collection[str], field: str) -> None:
    if person.firm and set(roles) - {INSTALLER}:
        raise ValidationError({field: PARTNERS_INSTALL})


def taken(person_id: int, expected_version: int) -> Person:
    """The person, locked, if he still is what was seen. Raises Stale; call inside a transaction."""
    rows = Person.objects.select_for_update(of=("self",)).select_related("user", "firm")
    return take_version(rows.get(pk=person_id), expected_version)


def person_with(initials: str) -> Person:
    """The person as he is now."""
    return Person.objects.select_related("user", "firm").get(initials=initials)


def _held(person: Person) -> set[str]:
    return {group.name for group in person.user.groups.all() if group.name in ROLES}


def _set_roles(person: Person, roles: Collection[str], actor: Actor, reason: str, now: datetime) -> None:
    """Call under the lock. Raises ValidationError where the last manager would be one no more."""
    held = _held(person)
    given, taken = set(roles) - held, held - set(roles)
    if MANAGER in taken and is_last_manager(person.user):
        raise ValidationError(LAST_MANAGER.format(person))
    make_roles()
    groups = {group.name: group for group in Group.objects.filter(name__in=ROLES)}
    person.user.groups.add(*(groups[role] for role in given))
    person.user.groups.remove(*(groups[role] for role in taken))
    changes = [(role, False) for role in ROLES if role in taken] + [
        (role, True) for role in ROLES if role in given
    ]
    for role, is_given in changes:
        RoleChange.objects.create(
            person=person, role=role, is_given=is_given, reason=reason, made_at=now, made_by=user_of(actor)
        )  # type: ignore[misc]


def write(row: Person | Certificate | Shop, act: Act) -> None:
    """Save a row, and what the act changed of it; call inside a transaction."""
    held = type(row)._default_manager.filter(pk=row.pk).first()
    before = told_fields(held) if held else {}
    row.save()
    fields = {
        name: [before.get(name), value]
        for name, value in told_fields(row).items()
        if before.get(name) != value
    }
    if not fields:
        return
    certificate = row if isinstance(row, Certificate) else None
    person = certificate.person if certificate else row if isinstance(row, Person) else None
    PeopleChange.objects.create(
        act=act, person=person, certificate=certificate, is_new=held is None, fields=fields
    )
