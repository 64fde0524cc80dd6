"""Who may end a work."""

from kits.work.models import Work
from vehicles.records.access import MANAGER, Actor, may, roles_of, user_of


def may_cancel(actor: Actor, work: Work) -> bool:
    """Who asked for it, and a manager."""
    return may(actor, "cancel_work") and (work.by == user_of(actor) or MANAGER in roles_of(actor))
