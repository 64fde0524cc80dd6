"""The offers of kits in markets, with their duty sets and the rules of their markets."""

from django.db.models import Prefetch

from kits.bom.models import KitOffer, OfferTerm
from kits.fitment.fitment_checks import Offer, Rule
from kits.fitment.models import MarketRule
from vehicles.climate.models import DutySetPoint
from vehicles.records.terms import terms_of


def offers_held() -> dict[tuple[int, int], list[tuple[KitOffer, Offer]]]:
    """All offers by kit and line, in the order of their markets."""
    points = Prefetch(
        "duty_set__points",
        DutySetPoint.objects.select_related("duty_point__site")
        .prefetch_related("duty_point__site__design_states")
        .order_by("duty_point__code"),
    )
    terms = Prefetch("terms", OfferTerm.objects.select_related("option__feature"))
    rows = KitOffer.objects.select_related("duty_set", "market").prefetch_related(
        points, terms, "market__rules"
    )
    offers: dict[tuple[int, int], list[tuple[KitOffer, Offer]]] = {}
    for row in rows.order_by("market"):
        offers.setdefault((row.kit_id, row.line_id), []).append((row, _offer(row)))
    return offers


def _offer(row: KitOffer) -> Offer:
    terms = terms_of((t.option.feature.code, t.option.code, t.excluded) for t in row.terms.all())
    return Offer(
        row.market.code,
        terms,
        row.duty_set.code,
        tuple((p.duty_point.code, p.required) for p in row.duty_set.points.all()),
        tuple(_rule(row.market.code, rule) for rule in row.market.rules.all()),
        row.market.name,
    )


def _rule(market: str, row: MarketRule) -> Rule:
    return Rule(
        market=market,
        code=row.code,
        category=row.vehicle_category,
        refrigerant=row.refrigerant,
        above_gwp=row.above_gwp,
        effect=row.effect,
        text=row.text,
        start=row.in_force_from,
        end=row.in_force_until,
        source=row.source,
    )
