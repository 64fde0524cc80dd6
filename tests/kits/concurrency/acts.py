"""What people do at the same time, as acts that wait to be called."""

from datetime import date
from functools import partial

from django.utils import timezone

from kits.editing.actions import edit_rows, record
from kits.editing.changes import RowEdit
from kits.fitment.actions import size_all
from kits.fitment.models import CatalogueStamp, Fitment
from tests.keys import a_key
from tests.kits.exchange.rows import LINE
from vehicles.records.asked import UNSENT, Sent

ON = date(2026, 11, 25)
KIT = ("x1",)


def stamp() -> int:
    """The catalogue's stamp as it is now."""
    return CatalogueStamp.objects.get().value


def written(actor, *edits, reason="at once", line=LINE):
    """Write rows on screen."""
    return partial(edit_rows, actor=actor, line=line, edits=edits, reason=reason)


def renamed(actor, name, seen="x1", sheet="Kits", key=KIT):
    """Give a row another name, from the name that was seen."""
    return written(actor, RowEdit("change", sheet, key, {"name": name}, {"name": seen}), reason=name)


def a_market(code, name):
    """A new market."""
    return RowEdit("add", "Markets", values={"code": code, "name": name})


def a_position(number):
    """A new position of the kit."""
    return RowEdit(
        "add",
        "Positions",
        values={"kit": "x1", "number": number, "name": "spare", "zone": "boot", "rule": "any"},
    )


def an_entry(position):
    """A part for a position."""
    return RowEdit(
        "add",
        "Entries",
        values={"kit": "x1", "position": position, "number": 1, "part_number": "x1", "quantity": 1},
    )


def fitment(variant="x1") -> Fitment:
    """The kit in one of its cars, as it is now."""
    return Fitment.objects.select_related("kit", "variant__line").get(kit__code="x1", variant__code=variant)


def measured(actor, length_mm, sent=""):
    """Record a length of a fitment. sent: what its form is known by."""
    return recorded(actor, "Lengths", sent, route="x1", length_mm=length_mm, cars_count=1)


def recorded(actor, sheet, sent="", **values):
    """Record something of a fitment."""
    values = {"kit": "x1", "variant": "x1", "origin_kind": "measured", "origin_source": "a car", **values}
    return partial(
        record, actor=actor, fitment=("x1", LINE, "x1"), edits=[RowEdit("add", sheet, values=values)],
        reason="survey", sent=Sent(a_key(sent)) if sent else UNSENT, on=ON,
    )  # fmt: skip


def sized_anew(actor):
    """Size every fitment."""
    return partial(size_all, actor=actor, on=ON, now=timezone.now())


def one_of_each(told, kinds):
    """The told things in the order of these kinds, of which each was told once."""
    assert sorted(type(t).__name__ for t in told) == sorted(kind.__name__ for kind in kinds), told
    return [next(t for t in told if isinstance(t, kind)) for kind in kinds]
