"""Numbers as people read them: the unit and the decimals come from the one table of quantities."""

import re
from collections.abc import Iterable
from typing import Any

from django import template

from vehicles.physics import quantities
from vehicles.records.terms import terms_of

register = template.Library()

NOT_RECORDED = "not recorded"


def _is_number(value: object) -> bool:
    return value is not None and value != "" and not isinstance(value, str)


@register.filter
def shown(value: Any, name: str) -> str:
    """The value with its unit, by the unit's key or a field's name: {{ area|shown:"m2" }}."""
    return quantities.format_value(name, value) if _is_number(value) else NOT_RECORDED


@register.filter
def bare(value: Any, name: str) -> str:
    """The value as `shown` has it, without its unit, for a column whose head has it; a dash for nothing."""
    if not _is_number(value):
        return "–"
    quantity = quantities.quantity_of(name)
    return quantities.format_number(value, quantity.decimals) if quantity else f"{float(value):.4g}"


@register.filter
def kw(value_w: float | None) -> str:
    """A power to 0.1 kW."""
    return quantities.kw(value_w) if _is_number(value_w) and value_w is not None else NOT_RECORDED


@register.filter
def kw_bare(value_w: float | None) -> str:
    """A power to 0.1 kW without its unit, for a column; a dash for nothing."""
    return kw(value_w).removesuffix(" kW") if _is_number(value_w) else "–"


@register.filter
def whole(value: float | None) -> str:
    """A number to whole units, for a column; a dash for nothing."""
    return quantities.format_number(value, 0) if value is not None and _is_number(value) else "–"


@register.filter
def celsius(value_c: float | None) -> str:
    """A temperature to 1 °C."""
    return quantities.celsius(value_c) if _is_number(value_c) and value_c is not None else NOT_RECORDED


@register.filter
def percent(share: float | None) -> str:
    """A share in percent: 0.23 is 23 %."""
    return f"{quantities.format_number(share * 100, 0)} %" if share is not None else NOT_RECORDED


@register.filter
def percent_bare(share: float | None) -> str:
    """A share in percent without its unit, for a column; a dash for nothing."""
    return quantities.format_number(share * 100, 0) if share is not None else "–"


@register.filter
def unit_of(name: str) -> str:
    """The unit of a name, or nothing."""
    quantity = quantities.quantity_of(name)
    return quantity.unit if quantity else ""


@register.filter
def technical(value: Any, name: str) -> str:
    """A stored technical value: number with unit, yes or no, or text."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) and value else shown(value, name)


@register.filter
def margin(share: float | None) -> str:
    """A margin in percent with its sign: +23 %; nothing for None."""
    if share is None or not _is_number(share):
        return ""
    return quantities.signed_percent(share)


@register.filter
def signed_margin(share: float | None) -> str:
    """A margin in percent with its sign, for a table: a dash for None."""
    return margin(share) or "–"


@register.filter
def amount(value: Any) -> str:
    """A quantity of parts without needless zeros: 2, 0.35."""
    return f"{value.normalize():f}" if value is not None and hasattr(value, "normalize") else f"{value:g}"


@register.filter
def terms(rows: Iterable[Any]) -> str:
    """Option terms in words: "steering left; drive not electric", or "any"."""
    return terms_of((row.option.feature.code, row.option.code, row.excluded) for row in rows).text()


@register.filter
def anchor(code: object, kind: str) -> str:
    """The id of a place on a page: "LIQ 1" as a length is "length-LIQ-1"."""
    return f"{kind}-" + re.sub(r"[^A-Za-z0-9]+", "-", str(code)).strip("-")
