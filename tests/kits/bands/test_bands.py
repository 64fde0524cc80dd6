"""Bands of accepted values: which hold for a number, and when it lies outside."""

import json
from dataclasses import replace

import pytest

from tests.kits.bands.band_facts import body_words
from tests.kits.bands.bands import (
    FILE,
    REASONS_FILE,
    Band,
    Fact,
    bands,
    holding,
    is_outside,
    reasons,
    sentence,
)

COUPE = Band("volume_m3", "cabin", 2.2, 2.6, "m³", "MEM", "", {"body": "coupé"})
WHITE = Band("absorptance", "white", 0.25, 0.35, "", "MEM", "", {})
BLACK = replace(WHITE, what="black", low=0.90, high=0.95)


@pytest.mark.parametrize(("value", "outside"), [(2.2, False), (2.6, False), (2.19, True), (2.61, True)])
def test_both_ends_belong_to_a_band(value, outside):
    assert is_outside(Fact("volume_m3", value, words={"body": "coupé"}), [COUPE]) is outside


def test_a_band_holds_only_where_all_its_words_agree():
    van = Fact("volume_m3", 7.0, words={"body": "van"})
    assert holding(van, [COUPE]) == ()
    assert not is_outside(van, [COUPE]), "what no band holds for is not judged"
    assert not is_outside(Fact("charge_g", 9999, words={"body": "coupé"}), [COUPE])


@pytest.mark.parametrize(("value", "outside"), [(0.30, False), (0.92, False), (0.60, True)])
def test_inside_one_of_several_bands_is_enough(value, outside):
    assert is_outside(Fact("absorptance", value), [WHITE, BLACK]) is outside


def test_what_lies_outside_is_said_in_one_sentence():
    fact = Fact("absorptance", 0.6, "roof", "cruise-35")
    assert sentence("K/L/V", fact, [WHITE, BLACK]) == (
        "K/L/V: absorptance (roof, cruise-35) is 0.6; white 0.25 to 0.35 or 0.9 to 0.95"
    )


def test_each_band_of_the_file_has_its_mark_and_ends_above_its_beginning():
    assert len(bands()) > 100
    assert {band.mark for band in bands()} == {"CP", "MEM", "CALC"}
    assert all(band.low < band.high for band in bands())
    assert "none is a check value" in json.loads(FILE.read_text(encoding="utf-8"))["source"]


def test_a_band_that_ends_below_its_beginning_is_refused(monkeypatch, tmp_path):
    file = tmp_path / "bands.json"
    row = {
        "quantity": "x_m",
        "what": "x",
        "low": 2,
        "high": 1,
        "unit": "m",
        "mark": "CP",
        "note": "",
        "where": {},
    }
    file.write_text(json.dumps({"source": "", "bands": [row]}), encoding="utf-8")
    monkeypatch.setattr("tests.kits.bands.bands.FILE", file)
    with pytest.raises(ValueError, match="ends below its beginning"):
        bands.__wrapped__()


def test_each_reason_is_written_out():
    assert json.loads(REASONS_FILE.read_text(encoding="utf-8")).keys() == {"bodies", "outside"}
    for reason in reasons():
        assert reason.fitments
        assert len(reason.reason.split()) >= 6, reason


def test_a_cars_body_follows_from_one_of_its_options():
    rows = [
        {"line": "L", "feature": "body", "option": "coupe", "body": "coupé", "layout": "front engine"},
        {"line": "L", "feature": "body", "option": "tourer", "body": "tourer", "layout": "front engine"},
    ]
    assert body_words(rows, "L", {"body": "tourer"}) == {"body": "tourer", "layout": "front engine"}
    assert body_words(rows, "L", {"body": "saloon"}) == {}
    assert body_words(rows, "other", {"body": "tourer"}) == {}
