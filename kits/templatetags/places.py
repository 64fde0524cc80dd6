"""Where a finding or a gap is mended, and the words beside a chart."""

from typing import Any, Final

from django import template
from django.urls import reverse

from kits.bom.mending import Mend, new_row, row
from kits.bom.resolved import Finding
from kits.documents.charts import load_and_capacity_text
from kits.documents.load_bars import duty_bars
from kits.editing.slugs import slug_of
from kits.exchange.columns import LINE, Sheet
from kits.exchange.sheets.bridge import BY_NAME
from kits.sizing.verdict.record import LIMIT_WORDS, SizingRecord
from kits.templatetags.editing import add_url, change_url
from vehicles.templatetags.quantities import anchor

register = template.Library()

ON_KIT_PAGE = {
    name: name for name in ("position", "joint", "step", "entry", "hose", "circuit", "reading", "route")
}
ROWS: Final = {
    "position": ("Positions", "rule"),
    "entry": ("Entries", "part_number"),
    "hose": ("Hose runs", "hose"),
    "joint": ("Joints", "port_b"),
    "step": ("Steps", "text"),
    "reading": ("Readings", "high"),
    "circuit": ("Circuits", "section_mm2"),
    "kit": ("Kits", "refrigerant"),
    "fitment": ("Fitments", "condenser_place"),
    "variant": ("Variants", "name"),
    "cabin": ("Cabins", "volume_m3"),
    "powertrain": ("Powertrains", "hot_idle_rpm"),
    "site": ("Sites", "latitude_deg"),
    "design": ("Design states", "dry_bulb_max_c"),
    "duty": ("Duty points", "site"),
}
"""The row a reference names when a finding does not say which field mends it."""
ON_VEHICLE_PAGE = ("powertrain", "cabin", "variant")
ON_SHEET = ("fitment", "charge")
ON_NO_PAGE = ("site", "design", "duty")


@register.simple_tag
def place(where: str, kit: str, line: str, variant: str) -> str:
    """The address that mends a reference such as "length:LIQ", "part:AB-12", "position:10", "cabin:C1"."""
    head, _, code = where.partition(":")
    if head == "length" or head in ON_SHEET:
        sheet = reverse("fitment-sheet", args=[kit, line, variant])
        return f"{sheet}#{anchor(code, 'length') if head == 'length' else head}"
    if head == "part" and code:
        return reverse("part", args=[code])
    if head in ON_VEHICLE_PAGE:
        return f"{reverse('vehicle', args=[line, variant])}#{head}"
    return reverse("kit", args=[kit]) + kit_anchor(where)


@register.simple_tag(takes_context=True)
def changing(context: Any, where: str, kit: str, line: str, variant: str) -> str:
    """The address that changes an input: its page, or the form of a row that no page shows.

    Nothing where there is only a form and the person may not edit.
    """
    if where.partition(":")[0] not in ON_NO_PAGE:
        return place(where, kit, line, variant)
    rights, mend = context.get("rights"), _mend_of(where, variant)
    if rights is None or not rights["edit_rows"] or mend is None:
        return ""
    return _form(context, mend, {"kit": kit, "variant": variant}, line, "")


def kit_anchor(where: str) -> str:
    """The place on the kit's page that a reference names, as "#position-10", or nothing."""
    head, _, code = where.partition(":")
    return f"#{anchor(code, ON_KIT_PAGE[head])}" if head in ON_KIT_PAGE and code else ""


@register.filter
def on_kit_page(where: str) -> str:
    """The part of an address behind the kit's page, or the part's page for "part:NUMBER"."""
    head, _, code = where.partition(":")
    return reverse("part", args=[code]) if head == "part" and code else kit_anchor(where)


@register.simple_tag(takes_context=True)
def mending(context: Any, finding: Finding, kit: str, line: str, variant: str = "", at: str = "") -> str:
    """For one who may edit the field that mends a finding, for the others the place it is about.

    Without a variant the page is the kit's own. ``at``: the place on this page to come back to.
    """
    rights = context.get("rights")
    mend = finding.mend or _mend_of(finding.where, variant)
    if rights is not None and rights["edit_rows"] and mend is not None:
        if finding.where.partition(":")[0] == "pattern":  # a step comes with its blanks
            return reverse("asked-steps", args=[kit])
        return _form(context, mend, {"kit": kit, "variant": variant}, line, at)
    return place(finding.where, kit, line, variant) if variant else on_kit_page(finding.where)


def _mend_of(where: str, variant: str) -> Mend | None:
    head, _, code = where.partition(":")
    if head == "length":
        return new_row("Lengths", "length_mm", route=code)
    if head == "charge":
        return new_row("Charges", "charge_g")
    if head not in ROWS:
        return None
    sheet, field = ROWS[head]
    if head in ("fitment", "variant"):
        return row(sheet, field, variant)
    if not code:
        return row(sheet, field)
    # a joint's or a step's code may hold a slash itself; the number of a reading stands behind the last one
    parts = code.rsplit("/", 1) if head in ("entry", "hose", "circuit", "reading", "design") else [code]
    numbers = head in ("position", "entry", "hose", "circuit")
    return row(
        sheet, field, *(int(p) if numbers or (p.isdigit() and p is not parts[0]) else p for p in parts)
    )


def _form(context: Any, mend: Mend, known: dict[str, str], line: str, at: str) -> str:
    """The form of the row at its field; the kit and the car of the page are filled in."""
    sheet = BY_NAME[mend.sheet]
    slug, of_line = slug_of(sheet.name), line if _needs_line(sheet) else ""
    if mend.is_new:
        given = {name: value for name, value in known.items() if value and name in sheet.by_field}
        url = add_url(context, slug, of_line, at, **{**given, **dict(mend.given)})
    else:
        key = (known["kit"], *mend.key) if sheet.key[:1] == ("kit",) else mend.key
        key = (known["kit"],) if sheet.name == "Kits" else key
        url = change_url(context, slug, of_line, *key, at=at)
    return f"{url}#id_row-{mend.field}"


def _needs_line(sheet: Sheet) -> bool:
    """Whether a row belongs to a model line, or points at one that does, itself or by its parent (a route)."""
    return sheet.owner == LINE or any(_needs_line(BY_NAME[r.sheet]) for r in sheet.references)


@register.filter
def limit_words(limit: str) -> str:
    """What holds the capacity back, in words; a dash for nothing."""
    return LIMIT_WORDS.get(limit, limit) or "–"


@register.simple_tag
def chart_words(record: SizingRecord) -> str:
    """What the load chart shows, in words; nothing when there is no load to draw."""
    bars = duty_bars(record)
    return load_and_capacity_text(bars) if bars else ""
