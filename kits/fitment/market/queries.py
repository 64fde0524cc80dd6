"""The rules of a market, and the kits that are offered there."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kits.bom.catalogue import in_force
from kits.bom.models import KitOffer
from kits.fitment.models import Market, MarketRule

WAITING, IN_FORCE, ENDED = "not yet in force", "in force", "no longer in force"


@dataclass(frozen=True)
class MarketPage:
    """A market with its rules, each with how it stands today, and the offers there."""

    market: Market
    rules: Sequence[tuple[MarketRule, str]]
    offers: Sequence[KitOffer]
    others: Sequence[Market]


def market_page(code: str, on: date) -> MarketPage | None:
    """The market by its code, in a fixed number of queries; None when there is no such market."""
    markets = list(Market.objects.order_by("code"))
    market = next((m for m in markets if m.code.casefold() == code.casefold()), None)
    if market is None:
        return None
    offers = KitOffer.objects.filter(market=market).select_related("kit", "line", "duty_set")
    return MarketPage(
        market,
        [(rule, _standing(rule, on)) for rule in market.rules.order_by("code")],
        list(offers.order_by("kit__code", "line__code")),
        [other for other in markets if other != market],
    )


def _standing(rule: MarketRule, on: date) -> str:
    if in_force(rule.in_force_from, rule.in_force_until, on):
        return IN_FORCE
    return WAITING if rule.in_force_from and on < rule.in_force_from else ENDED
