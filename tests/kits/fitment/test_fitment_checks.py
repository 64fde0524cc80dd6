"""A kit in one car beyond its parts: the offer, the law, the charge, the lengths."""

from dataclasses import replace
from datetime import date

import pytest
from CoolProp.CoolProp import PropsSI

from kits.bom.catalogue import Measured
from kits.bom.mending import Mend, new_row, row
from kits.fitment.fitment_checks import (
    Offer,
    Recorded,
    Rule,
    charge_findings,
    circuit_volume_ml,
    length_findings,
    markets_of,
    offer_findings,
    trial_findings,
)
from kits.sizing.gas.gases import climate_effects
from tests.kits.bom import sample
from vehicles.records.terms import terms_of

ON = date(2026, 6, 1)
FORBID = Rule(
    market="home",
    code="GWP",
    category="M1",
    refrigerant="",
    above_gwp=150.0,
    effect="forbids",
    text="May not be fitted.",
    start=date(2017, 1, 1),
    end=None,
    source="Directive 2006/40/EC",
)
ANY_CAR = terms_of([])
OFFER = Offer("home", ANY_CAR, "SET", (("hot", True), ("warm", False)), (FORBID,))


def told(*offers, category="M1", gas="R-134a", on=ON):
    return list(offer_findings(offers, sample.CAR, category, gas, on))


def codes(*offers, **more):
    return [f.code for f in told(*offers, **more)]


def test_the_law_forbids_a_gas_above_the_gwp_in_the_category_from_the_day_on():
    (finding,) = told(OFFER)
    assert (finding.code, finding.severity) == ("market-forbids", "blocks")
    assert "R-134a in a vehicle of category M1" in finding.sentence
    assert "Directive 2006/40/EC" in finding.sentence
    assert codes(OFFER, gas="R-1234yf") == []
    assert codes(OFFER, category="N1 class II") == []
    assert codes(OFFER, on=date(2016, 12, 31)) == []
    assert codes(OFFER, on=date(2017, 1, 1)) == ["market-forbids"]


def test_a_rule_about_gases_above_a_gwp_is_not_about_one_that_has_just_that():
    gwp = climate_effects("R-134a")[0].gwp
    assert codes(replace(OFFER, rules=(replace(FORBID, above_gwp=gwp),))) == []
    assert codes(replace(OFFER, rules=(replace(FORBID, above_gwp=gwp - 1),))) == ["market-forbids"]


def test_a_rule_that_has_ended_or_names_another_gas_says_nothing():
    assert codes(replace(OFFER, rules=(replace(FORBID, end=ON),))) == []
    assert codes(replace(OFFER, rules=(replace(FORBID, above_gwp=None, refrigerant="R-12"),))) == []
    assert codes(replace(OFFER, rules=(replace(FORBID, above_gwp=None, refrigerant="R-134a"),))) == [
        "market-forbids"
    ]


def test_without_a_category_the_rule_can_not_be_answered():
    assert codes(OFFER, category="") == ["market-category-missing"]
    assert codes(replace(OFFER, rules=(replace(FORBID, category=""),)), category="") == ["market-forbids"]


def test_what_only_informs_is_noted_where_it_speaks_of_the_gas():
    informs = replace(OFFER, rules=(replace(FORBID, effect="informs"),))
    assert [(f.code, f.severity) for f in told(informs)] == [("market-informs", "notes")]


def test_what_the_law_asks_is_noted_for_the_gases_and_categories_it_speaks_of():
    asks = replace(OFFER, rules=(replace(FORBID, effect="asks", above_gwp=None),))
    (finding,) = told(asks)
    assert (finding.code, finding.severity) == ("market-asks", "notes")
    assert finding.mend == Mend("Market rules", "text", ("home", "GWP"))
    assert codes(asks, category="N1 class II") == []
    assert codes(asks, on=date(2016, 12, 31)) == []


def test_a_rule_is_cited_with_code_text_dates_and_source_and_gives_way_to_local_law():
    rule = replace(FORBID, end=date(2030, 1, 1))
    for effect in ("forbids", "asks", "informs"):
        (finding,) = told(replace(OFFER, rules=(replace(rule, effect=effect),)))
        assert finding.sentence.startswith("Rule GWP of the market home")
        assert finding.sentence.endswith(
            "May not be fitted (in force from 2017-01-01 until 2030-01-01; Directive 2006/40/EC). Local law prevails."
        )
    (finding,) = told(replace(OFFER, rules=(replace(FORBID, start=None),)))
    assert "May not be fitted (Directive 2006/40/EC)." in finding.sentence


def test_an_offer_for_other_cars_is_none():
    other = replace(OFFER, terms=terms_of([("steering", "right", False)]))
    assert codes(other) == ["offer-missing"]
    assert told(other)[0].mend == row("Offers", "option:steering", "home")
    assert told()[0].mend == new_row("Offers", "market")


def test_a_duty_set_must_require_something():
    loose = replace(OFFER, rules=(), points=(("hot", False),))
    (finding,) = told(loose)
    assert (finding.code, finding.severity) == ("duty-none-required", "blocks")
    assert finding.mend == row("Duty set points", "required", "SET", "hot")
    assert told(replace(loose, points=()))[0].mend.is_new
    assert codes(loose, replace(loose, market="away")) == ["duty-none-required"]


def with_volumes(volume_ml):
    """The sample's parts, each wetted one with this inner volume, and its hoses with a bore of 10 mm."""
    found = {}
    for part in sample.PARTS:
        revisions = tuple(
            replace(
                r,
                inner_volume_ml=volume_ml,
                data={**r.data, "bore_mm": 10.0} if part.kind == "hose" else r.data,
            )
            for r in part.revisions
        )
        found[part.number] = replace(part, revisions=revisions)
    return found


def charged(grams, volume_ml=200.0):
    parts = with_volumes(volume_ml)
    kit = sample.resolved(parts=tuple(parts.values()), charge=Measured(grams, sample.TAPED, "", 25))
    return kit, parts


def test_the_volume_is_that_of_parts_and_hoses():
    kit, parts = charged(620)
    hoses_ml = sum(78.5398 * hose.cut_mm / 1000 for hose in kit.hoses)  # pi/4 of 10 mm, squared
    # compressor, condenser, drier, and within the unit evaporator and valve
    assert circuit_volume_ml(kit, parts) == pytest.approx(5 * 200 + hoses_ml, rel=1e-4)


def test_a_charge_lies_between_vapour_alone_and_four_fifths_of_liquid():
    # densities at 50 °C by CoolProp itself
    vapour, liquid = (PropsSI("D", "T", 323.15, "Q", q, "R134a") for q in (1, 0))
    kit, parts = charged(620)
    volume_l = circuit_volume_ml(kit, parts) / 1000
    for grams, is_told in (
        (vapour * volume_l * 0.99, True),
        (vapour * volume_l * 1.01, False),
        (0.8 * liquid * volume_l * 0.99, False),
        (0.8 * liquid * volume_l * 1.01, True),
    ):
        found = [f.code for f in charge_findings(*charged(grams))]
        assert found == ["charge-volume"] * is_told, grams


def test_a_volume_that_is_not_known_is_not_judged():
    kit, parts = charged(99_999, None)
    assert circuit_volume_ml(kit, parts) is None
    assert list(charge_findings(kit, parts)) == []


def lengths(*recorded):
    kit = sample.resolved()
    hose = next(h for h in kit.hoses if h.routed_mm is not None)
    rows = [Recorded(hose.route, hose.routed_mm + more, spread, 3, kind) for more, spread, kind in recorded]
    return [f.code for f in length_findings(kit, rows)], hose


def test_a_scatter_must_stay_within_the_slack():
    _, hose = lengths()
    assert lengths((0, hose.slack_mm, "measured"))[0] == []
    assert lengths((0, hose.slack_mm + 1, "measured"))[0] == ["length-spread"]


def test_measured_lengths_must_agree_within_their_spread():
    assert lengths((0, None, "measured"), (20, 20.0, "measured"))[0] == []
    assert lengths((0, None, "measured"), (-21, 20.0, "measured"))[0] == ["length-outside"]
    assert lengths((0, None, "measured"), (-21, 20.0, "estimate"))[0] == []
    assert lengths((0, None, "measured"), (-500, None, "measured"))[0] == []


def test_a_mark_of_calibration_without_a_trial_is_told_and_one_with_a_trial_is_not():
    (finding,) = trial_findings(sample.CAR, True, 0)
    assert (finding.code, finding.severity) == ("calibrated-no-trial", "warns")
    assert finding.mend == new_row("Air trials", "airflow_m3_h")
    assert list(trial_findings(sample.CAR, True, 1)) == []
    assert list(trial_findings(sample.CAR, False, 0)) == []


def test_the_rules_of_refrigerants_have_nothing_to_say_of_a_kit_without_one():
    asks = replace(FORBID, code="LICENCE", above_gwp=None, effect="asks")
    offer = Offer("home", ANY_CAR, "SET", (("cold", True),), (FORBID, asks))
    assert codes(offer, gas="") == []
    assert codes(offer) == ["market-forbids", "market-asks"]


def test_what_a_market_says_bears_its_code_and_what_holds_everywhere_bears_none():
    rules = tuple(replace(FORBID, code=effect, effect=effect) for effect in ("forbids", "asks", "informs"))
    away = replace(OFFER, market="away", rules=tuple(replace(rule, market="away") for rule in rules))
    found = told(OFFER, away)
    assert [(f.code, f.market) for f in found] == [
        ("market-forbids", "home"),
        ("market-forbids", "away"),
        ("market-asks", "away"),
        ("market-informs", "away"),
    ]
    (not_recorded,) = told(OFFER, category="")
    assert (not_recorded.code, not_recorded.market) == ("market-category-missing", "home")
    (loose,) = told(replace(OFFER, rules=(), points=()))
    assert loose.market == ""


def test_the_markets_of_a_car_are_those_whose_offers_mean_it():
    right = terms_of([("steering", "right", False)])
    offers = (replace(OFFER, market_name="Home"), replace(OFFER, market="away", terms=right))
    assert sample.CAR.options["steering"] != "right"
    assert markets_of(offers, sample.CAR) == {"home": "Home"}
    assert markets_of(offers[1:], sample.CAR) == {}
    assert markets_of((OFFER,), sample.CAR) == {"home": "home"}
