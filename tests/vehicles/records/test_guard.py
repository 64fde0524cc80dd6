"""A fault is told with a reference and logged, and only the culprit of a batch has none of its answer."""

import logging

import pytest

from vehicles.physics.arrays import answer
from vehicles.records.guard import Fault, each_guarded, goes_through, guarded


def divided(numbers):
    return [12 / number for number in numbers]


def of(number):
    return f"Twelve by {number}"


def test_what_goes_well_is_what_it_is(guarding):
    assert guarded("Twelve by 4", lambda: 12 / 4) == 3


def test_an_unforeseen_fault_is_told_with_the_reference_of_its_line_in_the_log(guarding, caplog, monkeypatch):
    monkeypatch.setattr(logging.getLogger("kitwright"), "propagate", True)
    found = guarded("Twelve by 0", lambda: 12 / 0)
    assert isinstance(found, Fault)
    assert found.sentence == f"Twelve by 0 could not be worked out (log {found.reference})."
    assert {line.msg["reference"] for line in caplog.records} == {found.reference}
    assert caplog.records[0].exc_info[0] is ZeroDivisionError


def test_what_a_calculation_refuses_is_told_by_its_own_sentence(guarding):
    found = guarded("The hose", lambda: answer(1.0, False, "A hose needs a bore."))
    assert found.sentence == "The hose could not be worked out: A hose needs a bore."


def test_of_a_batch_all_but_the_culprits_are_answered_in_their_places(guarding):
    found = each_guarded([1, 2, 0, 3, 4, 0], divided, of)
    assert [f if not isinstance(f, Fault) else f.what for f in found] == [
        12, 6, "Twelve by 0", 4, 3, "Twelve by 0",
    ]  # fmt: skip


@pytest.mark.parametrize("numbers", [[], [5], [1, 2, 3]])
def test_a_batch_without_a_culprit_is_worked_out_once(guarding, numbers):
    asked = []

    def work(cases):
        asked.append(cases)
        return divided(cases)

    assert each_guarded(numbers, work, of) == divided(numbers)
    assert asked == [numbers]


def test_in_tests_a_fault_goes_through_the_guard():
    with pytest.raises(ZeroDivisionError):
        guarded("Twelve by 0", lambda: 12 / 0)
    with pytest.raises(ZeroDivisionError):
        each_guarded([1, 0], divided, of)


def test_whether_faults_go_through_is_as_before_once_the_block_ends():
    with goes_through(is_on=False):
        pass
    with pytest.raises(ZeroDivisionError):
        guarded("Twelve by 0", lambda: 12 / 0)
