"""The rules of a market, and the kits that are offered there."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch

from kits.bom.catalogue import in_force
from kits.bom.models import KitOffer, OfferTerm
from kits.fitment.models import Fitment, Market, MarketRule
from vehicles.catalogue.models import VariantOption
from vehicles.records.terms import terms_of

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


def markets_offered(kit: str, line: str, variant: str) -> dict[str, str] | None:
    """Code and name of the markets in which the kit is offered for the car; None where there is no such fitment."""
    fitment = Fitment.objects.filter(
        kit__code=kit, variant__line__code=line, variant__code=variant
    ).values_list("kit", "variant__line", "variant")
    found = fitment.first()
    if found is None:
        return None
    kit_id, line_id, variant_id = found
    held = VariantOption.objects.filter(variant=variant_id).select_related("feature", "option")
    options = {row.feature.code: row.option.code for row in held}
    terms = Prefetch("terms", OfferTerm.objects.select_related("option__feature"))
    offers = (
        KitOffer.objects.filter(kit=kit_id, line=line_id).select_related("market").prefetch_related(terms)
    )
    return {
        offer.market.code: offer.market.name
        for offer in offers.order_by("market")
        if terms_of((t.option.feature.code, t.option.code, t.excluded) for t in offer.terms.all()).applies(
            options
        )
    }


def _standing(rule: MarketRule, on: date) -> str:
    if in_force(rule.in_force_from, rule.in_force_until, on):
        return IN_FORCE
    return WAITING if rule.in_force_from and on < rule.in_force_from else ENDED
