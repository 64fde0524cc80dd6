"""People and their roles."""

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction

from kits.people.initials import free_initials
from kits.people.models import Person
from vehicles.records.access import ROLES, Actor, require

DEMONSTRATION_PASSWORD = "slate-coast-kettle"  # noqa: S105 - printed on purpose


@transaction.atomic
def make_roles() -> None:
    """Make the groups that stand for the roles; those that exist stay as they are."""
    for role in ROLES:
        Group.objects.get_or_create(name=role)


@transaction.atomic
def make_user(*, actor: Actor, name: str, password: str, role: str) -> User:
    """Make an account with one role, and the person behind it.

    Raises PermissionDenied, or ValidationError when the name is taken or the role does not exist.
    """
    require(actor, "make_user")
    if role not in ROLES:
        raise ValidationError(f"There is no role “{role}”. Roles are: {', '.join(ROLES)}.")
    if User.objects.filter(username__iexact=name).exists():
        raise ValidationError(f"There is already an account called “{name}”.")
    make_roles()
    user = User.objects.create_user(username=name, password=password)
    user.groups.add(Group.objects.get(name=role))
    taken = {initials.upper() for initials in Person.objects.values_list("initials", flat=True)}
    Person.objects.create(user=user, initials=free_initials(name, taken))
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
    return [
        make_user(actor=actor, name=role, password=DEMONSTRATION_PASSWORD, role=role)
        for role in ROLES
        if role not in taken
    ]
