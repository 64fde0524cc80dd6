"""What signing in writes: tries that count, what happened, own passwords, second steps."""

import logging
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from operator import or_
from typing import Any, Final

from django.contrib.auth import authenticate
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import AbstractBaseUser, User
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from kits.people.actions import write
from kits.people.initials import free_initials
from kits.people.models import Person
from kits.people.queries import initials_given
from kits.people.signing.access import LONGEST_NAME, Whence, key_of
from kits.people.signing.limits import (
    CODES_FROM_STRANGE_PLACES,
    FORGOTTEN_AFTER,
    RECORDS_KEPT,
    TRIES_OF_A_NAME,
    TRIES_OF_AN_ADDRESS,
    wait_after,
)
from kits.people.signing.models import STRANGE_PLACES, SignInRecord, SignInTry
from kits.people.signing.queries import has_second_step, locks
from vehicles.records.access import Actor, require, user_of
from vehicles.records.actions import new_act
from vehicles.records.models import Act

LOG = logging.getLogger("kitwright.sign-in")
CODES_COUNT: Final = 10


@dataclass
class Locked(Exception):
    """Nothing is looked at until then. of_name: whether it is the name from there, or all names."""

    until: datetime
    of_name: bool


# Tries ------------------------------------------------------------------------------------------------


def check_password(*, name: str, password: str, at: Whence) -> User | None:
    """The person whose name and password these are, or None; whose second step is due is not through yet.

    Raises Locked when there were too many wrong ones. It takes as long for a name that nobody has.
    """
    counted = _count(name, at)
    user = authenticate(username=name, password=password)
    if not isinstance(user, User):
        _refuse("refused", name, at, counted)
        return None
    # whoever has only the password must not have his wrong codes forgotten by giving it again
    _forgive(name, at, is_through=not has_second_step(user))
    return user


def check_own_password(*, user: User, password: str, at: Whence) -> bool:
    """Whether somebody who is signed in knows his password; counted as at signing in. Raises Locked."""
    name = user.get_username()
    counted = _count(name, at)
    if not user.check_password(password):
        _refuse("refused", name, at, counted)
        return False
    _forgive(name, at, is_through=False)
    return True


def check_code(*, user: User, code: str, at: Whence) -> bool:
    """Whether it is the code of the second step, or a recovery code; each is good once.

    Raises Locked. Wrong codes count as wrong passwords do, and those of all places in which the person has never
    signed in count together as well: whoever has his password and many addresses can guess no more, and keeps nobody
    out of a browser of his own.
    """
    name = user.get_username()
    plain = "".join(code.split()).replace("-", "").lower()
    kind: Any = TOTPDevice if plain.isascii() and plain.isdigit() else StaticDevice
    counted = _count(name, at, is_code=True)
    with transaction.atomic():
        device = kind.objects.select_for_update().filter(user=user, confirmed=True).first()
        is_right = bool(device and device.verify_token(plain))
    if not is_right:
        _refuse("code refused", name, at, counted)
        return False
    _forgive(name, at, is_through=True, is_code=True)
    return True


def _limits(name: str, at: Whence, *, is_code: bool) -> dict[tuple[str, str], int]:
    """What a try counts for, name and place, and how many are free; in the order in which the rows are locked."""
    limits = {(key_of(name), at.place): TRIES_OF_A_NAME}
    if at.is_known:
        return limits
    strange = {(key_of(name), STRANGE_PLACES): CODES_FROM_STRANGE_PLACES} if is_code else {}
    return {**strange, **limits, ("", at.place): TRIES_OF_AN_ADDRESS}


def _tries(keys: Iterable[tuple[str, str]]) -> QuerySet[SignInTry]:
    """The rows of these names and places that there are."""
    return SignInTry.objects.filter(reduce(or_, (Q(name=name, place=place) for name, place in keys)))


def _count(name: str, at: Whence, *, is_code: bool = False) -> Locked | None:
    """Count a try before it is looked at, so that many at once are no more than one after the other.

    Returns the lock that holds if the try is wrong. A try during a lock raises it: it is neither looked at nor
    counted, makes the lock no longer, and no row for another name.
    """
    now = timezone.now()
    limits = _limits(name, at, is_code=is_code)
    _refuse_held(_tries(limits), name, at, now)
    begun = {"failed_count": 0, "first_at": now, "last_at": now}
    with transaction.atomic():
        tries = SignInTry.objects.select_for_update()
        rows = [tries.get_or_create(name=key, place=place, defaults=begun)[0] for key, place in limits]
        is_held = any(_holds(row, now) for row in rows)  # by another try at the same moment
        if not is_held:
            for row in rows:
                if row.last_at < now - FORGOTTEN_AFTER:
                    row.failed_count = 0
                row.first_at = row.first_at if row.failed_count else now
                row.failed_count += 1
                row.last_at = now
                wait = wait_after(row.failed_count, limits[row.name, row.place])
                row.locked_until = now + wait if wait else None
                row.save()
    if is_held:
        _refuse_held(rows, name, at, now)
    return _longest(rows, now)


def _holds(row: SignInTry, now: datetime) -> bool:
    return row.locked_until is not None and row.locked_until > now


def _longest(rows: Iterable[SignInTry], now: datetime) -> Locked | None:
    """The lock among them that holds longest."""
    found = [
        Locked(row.locked_until, bool(row.name)) for row in rows if row.locked_until and _holds(row, now)
    ]
    return max(found, key=lambda lock: lock.until, default=None)


def _refuse_held(rows: Iterable[SignInTry], name: str, at: Whence, now: datetime) -> None:
    """Raise the lock that holds: in the log alone, a row for each try would let a stranger fill the database."""
    held = _longest(rows, now)
    if held:
        _log("locked", name, at.address)
        raise held


def _refuse(event: str, name: str, at: Whence, counted: Locked | None) -> None:
    """Write down that a try was wrong; raise the lock that begins with it."""
    note(event, name=name, address=at.address)
    if counted:
        note("locked", name=name, address=at.address)
        raise counted


def _forgive(name: str, at: Whence, *, is_through: bool, is_code: bool = False) -> None:
    """The try was right: it does not count, and once somebody is through, none of his name from there does.

    Those were slips of his, so that they count for the address no longer either; those of other names go on counting.
    """
    with transaction.atomic():
        tries = _tries(_limits(name, at, is_code=is_code)).select_for_update()
        forgiven = 1
        for row in tries.order_by("-name", "place"):  # in the order in which they are counted
            if row.name and row.place and is_through:
                forgiven = max(1, row.failed_count)
            row.failed_count = max(0, row.failed_count - (forgiven if row.place else 1))
            row.locked_until = None
            row.save()


def lift_lock(*, actor: Actor, lock: SignInTry, address: str = "") -> None:
    """Let a name be tried again from a place at once, and forget what was wrong there."""
    require(actor, "lift_lock")
    SignInTry.objects.filter(pk=lock.pk).update(failed_count=0, locked_until=None)
    note("lifted", name=lock.name or lock.place, address=address, by=user_of(actor))


def lift_locks(*, actor: Actor, name: str = "") -> int:
    """Lift every lock of a name, or with no name all that hold; how many there were.

    What was wrong before and makes no lock at the moment is forgotten as well.
    """
    require(actor, "lift_lock")
    found = [lock for lock in locks(timezone.now()) if not name or lock.name == key_of(name)]
    for lock in found:
        lift_lock(actor=actor, lock=lock)
    forget_tries(name)
    return len(found)


def forget_tries(name: str) -> None:
    """Forget what was wrong of a name everywhere, or with no name of all; its locks are lifted by that."""
    tries = SignInTry.objects.filter(name=key_of(name)) if name else SignInTry.objects.all()
    tries.update(failed_count=0, locked_until=None)


# What happened ----------------------------------------------------------------------------------------


def note(event: str, *, name: str, address: str, by: AbstractBaseUser | None = None) -> None:
    """Write down what happened, for the page and for the log; the name as it was typed."""
    user = User.objects.filter(username=name).first()
    SignInRecord.objects.create(
        at=timezone.now(), event=event, name=name[:LONGEST_NAME], user=user, by=by, address=address
    )  # type: ignore[misc]
    _log(event, name, address, user, by)


def _log(
    event: str, name: str, address: str, user: User | None = None, by: AbstractBaseUser | None = None
) -> None:
    LOG.info(
        {
            "event": event,
            "name": name[:LONGEST_NAME],
            "user": user.pk if user else None,
            "address": address,
            **({"by": by.pk} if by else {}),
        }
    )


def tidy_sign_ins(now: datetime) -> int:
    """Forget what happened long ago and tries that count no more; how many records went."""
    SignInTry.objects.filter(last_at__lt=now - FORGOTTEN_AFTER).exclude(locked_until__gt=now).delete()
    return SignInRecord.objects.filter(at__lt=now - RECORDS_KEPT).delete()[0]


# One's own account ------------------------------------------------------------------------------------


def change_password(*, user: User, password: str, address: str) -> None:
    """Give oneself another password; every session but the one that is told of it ends."""
    user.password = make_password(password)  # takes long: before others have to wait
    with transaction.atomic():
        user.save(update_fields=["password"])
        note("password", name=user.get_username(), address=address)


@transaction.atomic
def sign_out_everywhere(*, user: User, address: str) -> None:
    """End every session of one's own, the one that asks as well."""
    _sign_out(user, new_act(user, "sign_out_everywhere"))
    note("everywhere", name=user.get_username(), address=address)


def _sign_out(user: User, act: Act) -> None:
    """End every session of a person; call inside a transaction."""
    User.objects.select_for_update().get(pk=user.pk)  # of two at once one makes the person
    person = Person.objects.select_for_update().filter(user=user).first()
    if person is None:
        person = Person(user=user, initials=free_initials(user.get_username(), initials_given()))
        write(person, act)
    person.signed_out_at = timezone.now()
    write(person, act)


# The second step --------------------------------------------------------------------------------------


@transaction.atomic
def begin_second_step(*, actor: User) -> None:
    """Make a secret for the person's telephone; it is asked for only once a code has shown that it arrived."""
    require(actor, "use_second_step")
    if has_second_step(actor):
        raise PermissionDenied("The second step is on already; turn it off first.")
    TOTPDevice.objects.filter(user=actor, confirmed=False).delete()
    TOTPDevice.objects.create(user=actor, name="telephone", confirmed=False)


@transaction.atomic
def confirm_second_step(*, actor: User, code: str, address: str) -> list[str]:
    """Turn it on with a code of the telephone; the ten recovery codes, or none when the code is wrong.

    Wrong ones do not count: who is asked has just been shown the secret itself.
    """
    require(actor, "use_second_step")
    device = TOTPDevice.objects.select_for_update().filter(user=actor, confirmed=False).first()
    if device is None:
        return []
    if not device.verify_token("".join(code.split())):
        return []
    device.confirmed = True
    device.save(update_fields=["confirmed"])
    StaticDevice.objects.filter(user=actor).delete()
    held = StaticDevice.objects.create(user=actor, name="recovery codes")
    codes = [StaticToken.random_token() for _ in range(CODES_COUNT)]
    StaticToken.objects.bulk_create(StaticToken(device=held, token=one) for one in codes)
    note("second step on", name=actor.get_username(), address=address)
    return codes


@transaction.atomic
def turn_off_second_step(*, user: User, address: str) -> None:
    """Sign in with the password alone from now on."""
    _without_second_step(user)
    note("second step off", name=user.get_username(), address=address)


@transaction.atomic
def reset_second_step(*, actor: Actor, user: User, address: str = "") -> None:
    """Take away the second step of somebody who has lost his telephone, and end his sessions; he can set it up anew."""
    require(actor, "reset_second_step")
    if actor == user:
        raise PermissionDenied("Turn off your own second step on the page of your account.")
    _without_second_step(user)
    _sign_out(user, new_act(actor, "reset_second_step"))
    note("second step reset", name=user.get_username(), address=address, by=user_of(actor))


def step_taken(user: User) -> str:
    """What is said to whoever took a second step away."""
    return (
        f"{user} is signed out everywhere, and signs in with the password alone from now on. If anybody else may know "
        f"that password, make a new link on the page of {user} and have another one chosen at once."
    )


def _without_second_step(user: User) -> None:
    TOTPDevice.objects.filter(user=user).delete()
    StaticDevice.objects.filter(user=user).delete()
