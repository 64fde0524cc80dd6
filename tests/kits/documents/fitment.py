"""A fitment in the database, as small as one can be, with or without a stored answer."""

from kits.bom.models import Kit, KitOffer
from kits.fitment.models import CatalogueStamp, ChargeRecord, Fitment, Market, MarketRule, SizedFitment
from tests.kits.documents.sample import SIZED_AT, record
from vehicles.cabin.models import Cabin
from vehicles.catalogue.models import ModelLine, Variant
from vehicles.climate.models import DutySet
from vehicles.physics.canonical import stored_of
from vehicles.powertrain.models import Powertrain


def make_fitment(kit_code: str = "DASH/1") -> Fitment:
    """A kit without positions in one variant, with a charge."""
    line = ModelLine.objects.create(code="S4", name="Solenne S4")
    variant = Variant.objects.create(
        line=line,
        code="S4-LC",
        name="Solenne S4 left coupé",
        cabin=Cabin.objects.create(line=line, code="C1", name="Coupé"),
        powertrain=Powertrain.objects.create(line=line, code="P1", name="1.9 l"),
    )
    kit = Kit.objects.create(code=kit_code, name="Dash kit", refrigerant="R-134a", oil="PAG 46", oil_ml=120)
    fitment = Fitment.objects.create(kit=kit, variant=variant)
    ChargeRecord.objects.create(fitment=fitment, charge_g=850, tolerance_g=25, origin_kind="weighed")
    return fitment


def store_answer(fitment: Fitment, *, stamp: int = 7) -> SizedFitment:
    """The sample answer, stored as of a stamp; the catalogue stands at 7."""
    CatalogueStamp.objects.update_or_create(pk=1, defaults={"value": 7})
    answer = record()
    return SizedFitment.objects.create(
        fitment=fitment,
        verdict=answer.verdict,
        verdict_rank=2,
        record=stored_of(answer),
        schema=answer.schema,
        method=answer.method,
        catalogue_stamp=stamp,
        sized_at=SIZED_AT,
    )


def offer(fitment: Fitment, *codes: str) -> None:
    """Offer its kit in markets, each of which has a rule about the gas; what the market "ban" says forbids it."""
    duty_set, _ = DutySet.objects.get_or_create(code="summer", defaults={"name": "Summer"})
    for code in codes:
        market = Market.objects.create(code=code, name=f"Market {code}")
        effect = "forbids" if code == "ban" else "asks"
        MarketRule.objects.create(
            market=market,
            code=f"RULE-{code}",
            effect=effect,
            refrigerant="R-134a",
            text=f"Law of {code}.",
            source="Book",
        )
        KitOffer.objects.create(kit=fitment.kit, line=fitment.variant.line, market=market, duty_set=duty_set)
