"""Who may look at a work, and who may end it."""

from django.conf import settings

from kits.work.models import Work
from kits.work.queries import kind_of
from vehicles.records.access import MANAGER, Actor, may, roles_of, user_of


def may_see(actor: Actor, work: Work) -> bool:
    """Who asked for it, whoever may ask for such a work, and everybody where its answer is everybody's."""
    if work.by == user_of(actor):
        return True
    if work.kind not in settings.WORK_KINDS:
        return MANAGER in roles_of(actor)
    kind = kind_of(work.kind)
    return kind.is_everybodys or may(actor, kind.right)


def may_cancel(actor: Actor, work: Work) -> bool:
    """Who asked for it, and a manager."""
    return may(actor, "cancel_work") and (work.by == user_of(actor) or MANAGER in roles_of(actor))
