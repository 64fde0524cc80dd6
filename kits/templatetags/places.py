"""Where a finding or a gap is mended, and the words beside a chart."""

from django import template
from django.urls import reverse

from kits.documents.charts import load_and_capacity_text
from kits.documents.load_bars import duty_bars
from kits.sizing.record import SizingRecord
from vehicles.templatetags.quantities import anchor

register = template.Library()

ON_KIT_PAGE = {"position": "position", "joint": "joint", "step": "step"}
ON_VEHICLE_PAGE = ("powertrain", "cabin", "variant")
ON_SHEET = ("fitment", "charge")


@register.simple_tag
def place(where: str, kit: str, line: str, variant: str) -> str:
    """The address that mends a reference such as "length:LIQ", "part:AB-12", "position:10", "cabin:C1"."""
    head, _, code = where.partition(":")
    sheet = reverse("fitment-sheet", args=[kit, line, variant])
    if head == "length":
        return f"{sheet}#{anchor(code, 'length')}"
    if head in ON_SHEET:
        return f"{sheet}#{head}"
    if head == "part" and code:
        return reverse("part", args=[code])
    if head in ON_VEHICLE_PAGE:
        return f"{reverse('vehicle', args=[line, variant])}#{head}"
    return reverse("kit", args=[kit]) + kit_anchor(where)


def kit_anchor(where: str) -> str:
    """The place on the kit's page that a reference names, as "#position-10", or nothing."""
    head, _, code = where.partition(":")
    if head == "circuit":  # a circuit stands under its harness: "110/3"
        return f"#{anchor(code.partition('/')[0], 'position')}"
    return f"#{anchor(code, ON_KIT_PAGE[head])}" if head in ON_KIT_PAGE and code else ""


@register.filter
def on_kit_page(where: str) -> str:
    """The part of an address behind the kit's page, or the part's page for "part:NUMBER"."""
    head, _, code = where.partition(":")
    return reverse("part", args=[code]) if head == "part" and code else kit_anchor(where)


LIMITS = {
    "freeze": "the freeze control",
    "compressor": "the compressor",
    "coil air": "the air over the coil",
    "condenser": "the condenser",
}


@register.filter
def limit_words(limit: str) -> str:
    """What holds the capacity back, in words; a dash for nothing."""
    return LIMITS.get(limit, limit) or "–"


@register.simple_tag
def chart_words(record: SizingRecord) -> str:
    """What the load chart shows, in words; nothing when there is no load to draw."""
    bars = duty_bars(record)
    return load_and_capacity_text(bars) if bars else ""
