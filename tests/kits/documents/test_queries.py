"""What documents are drawn from is what the fitment's page shows."""

from datetime import date

import pytest

from kits.documents.queries import document_source
from kits.documents.source import CarFacts
from kits.fitment.queries import fitment_sheet
from kits.people.models import Shop
from tests.kits.documents.fitment import make_fitment, offer, store_answer
from tests.kits.documents.sample import SIZED_AT, record
from vehicles.physics.arrays import Refusal

ON = date(2026, 3, 2)
KEY = ("DASH/1", "S4", "S4-LC")


def test_kit_and_answer_are_those_of_the_page(db):
    store_answer(make_fitment())
    source, page = document_source(*KEY, ON), fitment_sheet(*KEY, ON)
    assert source.kit == page.kit, "what is offered in no market has no rule of one"
    assert source.record == record() == page.record
    assert (source.sized_at, source.is_stale) == (SIZED_AT, False)


def test_a_fitment_without_an_answer_has_none(db):
    make_fitment()
    source = document_source(*KEY, ON)
    assert (source.record, source.sized_at, source.is_stale) == (None, None, False)


def test_what_is_not_offered_is_refused_in_a_sentence(db):
    with pytest.raises(LookupError, match="Kit NONE has no fitment in variant S4-LC of model line S4"):
        document_source("NONE", "S4", "S4-LC", ON)


def test_a_paper_has_the_rules_of_its_market_and_of_no_other(db):
    offer(make_fitment(), "home", "ban")
    assert {f.market for f in fitment_sheet(*KEY, ON).kit.findings if f.market} == {"home", "ban"}
    for market, blocks in (("home", False), ("BAN", True)):
        source = document_source(*KEY, ON, market)
        assert source.market == market.lower()
        assert {f.market for f in source.kit.findings if f.market} == {market.lower()}
        assert any(f.market for f in source.kit.blocking) is blocks
    assert source.kit.markets == {"ban": "Market ban", "home": "Market home"}


def test_several_markets_have_to_be_stated_and_one_need_not(db):
    fitment = make_fitment()
    assert document_source(*KEY, ON).market == ""
    offer(fitment, "home")
    assert document_source(*KEY, ON).market == "home"
    offer(fitment, "away")
    with pytest.raises(Refusal, match=r"choose away \(Market away\) or home"):
        document_source(*KEY, ON)


def test_what_the_papers_know_of_the_car(db):
    variant = make_fitment().variant
    assert document_source(*KEY, ON).car == CarFacts(True, None, None)
    variant.built_until = date(1969, 10, 1)
    variant.save()
    variant.powertrain.drive, variant.powertrain.high_voltage_v = "electric", 345.0
    variant.powertrain.save()
    assert document_source(*KEY, ON).car == CarFacts(False, 345.0, date(1969, 10, 1))


def test_the_papers_know_whether_a_second_person_is_always_asked_for(db):
    make_fitment()
    assert not document_source(*KEY, ON).needs_second_person
    Shop.objects.create(pk=1, second_person="always")
    assert document_source(*KEY, ON).needs_second_person
