"""The oil's ledger: prefill + added − drained beside what the circuit needs."""

import pytest

from kits.fitment.plateau.oil import oil_answer


@pytest.mark.parametrize(
    ("ledger", "oil_ml", "mark", "words"),
    [
        ((120, 70, 0, 190), 190, "done", "leave it"),
        ((120, 60, 0, 190), 180, "done", "leave it"),
        ((120, 0, 0, 190), 120, "warns", "add 70 ml"),
        ((120, 150, 30, 190), 240, "warns", "drain 50 ml"),
        ((120, 70, 0, None), 190, "unsized", "does not say how much"),
    ],
)
def test_what_is_in_the_circuit_is_told_with_what_to_do(ledger, oil_ml, mark, words):
    found = oil_answer(*ledger)
    assert (found.oil_ml, found.mark) == (oil_ml, mark)
    assert words in found.sentence


def test_more_cannot_be_drained_than_is_there():
    with pytest.raises(ValueError, match="no more is drained than is there"):
        oil_answer(120, 0, 121, 190)
