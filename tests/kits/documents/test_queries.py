"""What documents are drawn from is what the fitment's page shows."""

from datetime import date

import pytest

from kits.documents.queries import document_source
from kits.fitment.queries import fitment_sheet
from tests.kits.documents.fitment import make_fitment, store_answer
from tests.kits.documents.sample import SIZED_AT, record

ON = date(2026, 3, 2)
KEY = ("DASH/1", "S4", "S4-LC")


def test_kit_and_answer_are_those_of_the_page(db):
    store_answer(make_fitment())
    source, page = document_source(*KEY, ON), fitment_sheet(*KEY, ON)
    assert source.kit == page.kit
    assert source.record == record() == page.record
    assert (source.sized_at, source.is_stale) == (SIZED_AT, False)


def test_a_fitment_without_an_answer_has_none(db):
    make_fitment()
    assert document_source(*KEY, ON)[1:] == (None, None, False)


def test_what_is_not_offered_is_refused_in_a_sentence(db):
    with pytest.raises(LookupError, match="Kit NONE has no fitment in variant S4-LC of model line S4"):
        document_source("NONE", "S4", "S4-LC", ON)
