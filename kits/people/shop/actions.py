"""Change how the workshop works."""

from django.db import transaction

from kits.people.actions import lock_people, write
from kits.people.models import Shop
from vehicles.records.access import Actor, require
from vehicles.records.actions import new_act, take_version


def change_shop(*, actor: Actor, second_person: str, reason: str, expected_version: int) -> Shop:
    """Change the settings. Raises PermissionDenied, Stale, ValidationError."""
    require(actor, "change_shop")
    with transaction.atomic():
        shop = take_version(lock_people(), expected_version)
        shop.second_person = second_person
        shop.full_clean()
        write(shop, new_act(actor, "change_shop", reason))
    return shop
