"""A fitment is made for every car an offer names, and for no other."""

import pytest

from kits.exchange.columns import SHARED, TERMS
from kits.exchange.merge import merge
from kits.exchange.reader import Reading
from kits.exchange.sheets.bridge import BY_NAME

SHEETS = {name: BY_NAME[name] for name in ("Variants", "Offers", "Fitments")}


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
