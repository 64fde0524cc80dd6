"""What the documents of one fitment are drawn from: the same as its page."""

from collections.abc import Collection
from datetime import date

from django.utils import timezone

from kits.documents.source import CarFacts, DocumentSource
from kits.fitment.market.choice import chosen_market
from kits.fitment.queries import Sheet, fitment_sheet
from kits.people.shop.queries import is_second_person_always_asked
from kits.topics.every import topic_of
from kits.topics.figure import Topic
from vehicles.catalogue.models import Variant


def document_source(
    kit: str, line: str, variant: str, on: date, market: str = "", topics: Collection[str] = ()
) -> DocumentSource:
    """The kit resolved for the car on a date and a market, and the stored answer of its sizing.

    Parameters: codes of kit, model line and variant; on (in force); market (its code; empty: the only one there is);
    topics (codes of the calculations to be worked out of the answer).
    Raises LookupError with a sentence when the kit is not offered for the car, Refusal when the market has to be
    stated, or is none of those in which the kit is offered.
    """
    sheet = fitment_sheet(kit, line, variant, on)
    if sheet is None:
        raise LookupError(f"Kit {kit} has no fitment in variant {variant} of model line {line}.")
    chosen = chosen_market(sheet.kit.markets, market)
    return DocumentSource(
        kit=sheet.kit.in_market(chosen),
        record=sheet.record,
        sized_at=timezone.localtime(sheet.sized.sized_at) if sheet.sized else None,
        is_stale=sheet.is_stale,
        market=chosen,
        car=_car(sheet.fitment.variant),
        topics=_topics(sheet, topics),
        needs_second_person=is_second_person_always_asked(),
    )


def _topics(sheet: Sheet, codes: Collection[str]) -> tuple[Topic, ...]:
    context = sheet.context
    found = (topic_of(context, code) for code in codes) if context else ()
    return tuple(topic for topic in found if topic is not None)


def _car(variant: Variant) -> CarFacts:
    power = variant.powertrain
    return CarFacts(power.drive == "combustion", power.high_voltage_v, variant.built_until)
