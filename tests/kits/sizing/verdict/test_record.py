"""What comes back of an answer that was stored, and which stored answers are read at all."""

import json
from dataclasses import replace

import pytest

from kits.sizing.verdict.record import SCHEMA, SizingRecord
from vehicles.physics.arrays import Refusal
from vehicles.physics.canonical import stored_of, text_of, value_from


def test_every_answer_of_the_demonstration_comes_back_from_its_store(world):
    for key, record in {**world.records, **world.unmeasured}.items():
        back = value_from(SizingRecord, json.loads(json.dumps(stored_of(record))))
        assert text_of(back) == text_of(record), key
        # words are kept to the letter, numbers to six digits
        assert back.assumed == record.assumed
        assert [duty.criteria for duty in back.duties] == [duty.criteria for duty in record.duties]
        loads = [duty.load_w for duty in record.duties]
        assert [duty.load_w for duty in back.duties] == [w and float(f"{w:.6g}") for w in loads]
    for held in world.heaters.values():
        assert text_of(value_from(SizingRecord, stored_of(held.record))) == text_of(held.record)


def test_an_answer_in_the_shape_of_another_program_is_refused_with_the_place(world):
    stored = stored_of(next(iter(world.records.values())))
    assert stored["schema"] == str(SCHEMA)
    with pytest.raises(Refusal, match="a SizingRecord has no “costs”"):
        value_from(SizingRecord, stored | {"costs": []})
    with pytest.raises(Refusal, match=r"SizingRecord\.margin_share: 0\.5 is not a number of six digits"):
        value_from(SizingRecord, stored | {"margin_share": 0.5})
    del stored["duties"]
    with pytest.raises(Refusal, match="“duties” is missing"):
        value_from(SizingRecord, stored)


def test_numbers_that_are_none_cannot_be_stored(world):
    record = replace(next(iter(world.records.values())), margin_share=float("nan"))
    with pytest.raises(Refusal, match=r"SizingRecord\.margin_share: nan"):
        stored_of(record)
