"""Ask for a paper."""

from dataclasses import KW_ONLY, dataclass
from datetime import datetime

from django.conf import settings
from django.urls import reverse
from django.utils.http import urlencode

from kits.documents.papers import PAPERS_BY_NAME
from kits.fitment.queries import state_of
from kits.people.shop.queries import is_second_person_always_asked
from kits.work.actions import made_or_asked
from kits.work.models import Work
from vehicles.records.access import Actor, require
from vehicles.records.asked import digest_of


@dataclass(frozen=True)
class Wanted:
    """Which paper: its name, the codes of the fitment, the size of the sheets, whose name it bears, for which market.

    market: its code; empty where the kit is offered in none.
    """

    what: str
    kit: str
    line: str
    variant: str
    _: KW_ONLY
    size: str
    by: str
    market: str = ""


def print_paper(*, actor: Actor, wanted: Wanted, now: datetime) -> Work | None:
    """The work that makes a paper; one that is done where the same paper was made just now.

    None: the kit is not offered for the car. Raises PermissionDenied.
    """
    require(actor, "print_paper")
    state = state_of(wanted.kit, wanted.line, wanted.variant)
    if state is None:
        return None
    day = now.date().isoformat()
    shop = {"second person": is_second_person_always_asked()}
    key = digest_of({**vars(wanted), **shop, "on": day, "state": state, "address": settings.BASE_URL})
    paper = PAPERS_BY_NAME[wanted.what]
    codes = (wanted.kit, wanted.line, wanted.variant)
    title = f"{paper.title} of {wanted.kit} in {wanted.variant}"
    asked = {"paper": wanted.size}
    if wanted.market:
        title, asked = f"{title}, market {wanted.market}", {**asked, "market": wanted.market}
    return made_or_asked(
        actor=actor, kind="paper", key=key, now=now, title=title, wanted={**vars(wanted), "on": day},
        page=f"{reverse(paper.route, args=codes)}?{urlencode(asked)}",
    )  # fmt: skip
