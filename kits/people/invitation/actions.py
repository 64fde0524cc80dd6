"""Choose a password by a link. Who has the link may: there is nobody signed in to ask for a right."""

from datetime import datetime

from django.contrib.auth.hashers import make_password
from django.db import transaction

from kits.people.actions import write
from kits.people.invitation.queries import invited
from kits.people.models import Person
from kits.people.signing.actions import forget_tries, note
from vehicles.records.actions import new_act


def choose_password(*, token: str, password: str, now: datetime, address: str) -> Person | None:
    """Set the password, close the link and lift the locks of the name.

    address: from where, for the records. None when the link was used or has ended in the meantime.
    """
    hashed = make_password(password)  # takes long: before others have to wait
    with transaction.atomic():
        person = invited(token, now, lock=True)
        if person is None:
            return None
        person.user.password = hashed
        person.user.save(update_fields=["password"])
        person.link_made_at = None
        person.version += 1
        write(person, new_act(person.user, "choose_password"))
        forget_tries(person.user.get_username())
        note("password", name=person.user.get_username(), address=address)
    return person
