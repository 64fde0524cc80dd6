"""A fitment is made for every car an offer names, and for no other."""

import pytest

from kits.exchange.columns import LINE, SHARED, TERMS, Sheet, sheet_of
from kits.exchange.layout import BY_NAME
from kits.exchange.merge import merge
from kits.exchange.reader import Reading

FITMENTS = sheet_of("Fitments", "kits.Fitment", LINE, "kit* variant* note", purpose="")
OFFERS = sheet_of("Offers", "kits.KitOffer", LINE, "kit* market* duty_set!", purpose="")
VARIANTS = sheet_of("Variants", "vehicles.Variant", LINE, "code* name!", purpose="")
SHEETS: dict[str, Sheet] = {sheet.name: sheet for sheet in (VARIANTS, OFFERS, FITMENTS)}


def cars():
    return {
        (code.casefold(),): {"code": code, "option:drive": drive, "option:side": side}
        for code, drive, side in (
            ("EL", "electric", "left"),
            ("PL", "petrol", "left"),
            ("PR", "petrol", "right"),
        )
    }


@pytest.mark.parametrize(
    ("terms", "meant"),
    [
        ({}, {"EL", "PL", "PR"}),
        ({"option:drive": "electric"}, {"EL"}),
        ({"option:drive": "not electric"}, {"PL", "PR"}),
        ({"option:drive": "petrol", "option:side": "right"}, {"PR"}),
        ({"option:side": "Left, right", "option:drive": ""}, {"EL", "PL", "PR"}),
        ({"option:drive": "diesel"}, set()),
    ],
)
def test_an_offer_makes_fitments_of_the_cars_its_terms_name(terms, meant):
    offer = {"kit": "K", "market": "EU", "duty_set": "D", **terms}
    stored = {"Variants": cars(), "Offers": {("k", "eu"): offer}, "Fitments": {}}
    merged = merge(SHEETS, stored, Reading(line="L", sheets=SHEETS))
    assert {row["variant"] for row in merged.rows["Fitments"].values()} == meant
    assert len(merged.offered) == len(meant)


def test_two_offers_name_more_cars_than_one():
    offers = {
        ("k", "eu"): {"kit": "K", "market": "EU", "option:drive": "electric"},
        ("k", "us"): {"kit": "K", "market": "US", "option:side": "right"},
    }
    stored = {"Variants": cars(), "Offers": offers, "Fitments": {}}
    merged = merge(SHEETS, stored, Reading(line="L", sheets=SHEETS))
    assert {row["variant"] for row in merged.rows["Fitments"].values()} == {"EL", "PR"}


def test_the_sheet_of_offers_has_terms():
    assert BY_NAME["Offers"].options == TERMS and BY_NAME["Kits"].owner == SHARED
