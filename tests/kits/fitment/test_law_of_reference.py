"""A market's rule with a published limit and date, held against the gases the directive allows and forbids."""

from datetime import date, timedelta

from kits.fitment.fitment_checks import Offer, Rule, offer_findings
from tests.kits.bom import sample
from tests.reference import case
from vehicles.records.terms import terms_of


def test_the_gases_of_the_directive_are_allowed_or_forbidden_from_its_day_on():
    # Directive 2006/40/EC Art. 2, 3, 6
    known = case("facts.json", "reg-mac-retrofit")
    i, o = known["inputs"], known["outputs"]
    day = date.fromisoformat(o["retrofit_ban_any_vehicle_from"])
    for category in i["category"]:
        rule = Rule(
            market="home",
            code="GWP",
            category=category,
            refrigerant="",
            above_gwp=o["gwp_limit"],
            effect="forbids",
            text="No.",
            start=day,
            end=None,
            source=known["source"],
        )
        offer = Offer("home", terms_of([]), "SET", (("hot", True),), (rule,))

        def is_allowed(gas, on=day, offer=offer, category=category):
            return not list(offer_findings([offer], sample.CAR, category, gas, on))

        told = {gas: o[f"{gas}_allowed"] for gas in i["refrigerants"] if f"{gas}_allowed" in o}
        assert len(told) == 3
        assert {gas: is_allowed(gas) for gas in told} == told
        assert not is_allowed("R-12")
        assert is_allowed("R-134a", on=day - timedelta(days=1))
