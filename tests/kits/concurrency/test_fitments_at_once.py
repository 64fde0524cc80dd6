"""People record, size, note and remove at the same time.

What is only added stands, and no stored answer claims to be made from newer rows than it was.
"""

from functools import partial

from django.utils import timezone

from kits.editing.actions import Written, remove_row
from kits.editing.changes import RowEdit
from kits.editing.queries import removal
from kits.fitment.models import ChargeRecord, FitmentNote, RouteLength, SizedFitment
from kits.fitment.study.actions import keep_note
from tests.keys import a_key
from tests.kits.concurrency.acts import (
    LINE,
    fitment,
    measured,
    one_of_each,
    recorded,
    renamed,
    sized_anew,
    stamp,
    written,
)
from tests.kits.concurrency.people import LOCKS, Person, at_once, while_held
from vehicles.records.actions import Reused
from vehicles.records.asked import Sent

WRITERS = 8
NOTE = r'^INSERT INTO "kits_fitmentnote"'
KEY = ("x1", LINE, "x1")


def a_charge(actor, charge_g, sent):
    return recorded(actor, "Charges", sent, charge_g=charge_g, tolerance_g=20.0)


def stamps():
    """The stamp of each stored answer, by fitment."""
    return dict(SizedFitment.objects.values_list("fitment_id", "catalogue_stamp"))


def test_two_lengths_of_one_route_that_are_surveyed_at_once_both_stand(together, one, other):
    told = together(measured(one, 1111.0, "a"), measured(other, 2222.0, "b"))
    assert told == [Written(1), Written(1)]
    assert set(RouteLength.objects.filter(origin_source="a car").values_list("length_mm", flat=True)) == {
        1111.0,
        2222.0,
    }
    assert stamps() == {fitment().pk: stamp()}


def test_a_length_and_a_charge_that_are_surveyed_at_once_both_stand(together, one, other):
    told = together(measured(one, 1111.0, "a"), a_charge(other, 555.0, "b"))
    assert told == [Written(1), Written(1)]
    assert RouteLength.objects.filter(length_mm=1111.0).count() == 1
    assert ChargeRecord.objects.filter(charge_g=555.0).count() == 1
    assert stamps() == {fitment().pk: stamp()}


def test_a_survey_that_is_sent_twice_at_once_is_recorded_once_and_told_the_same(together, one):
    assert together(measured(one, 1111.0, "a"), measured(one, 1111.0, "a")) == [Written(1), Written(1)]
    assert RouteLength.objects.filter(length_mm=1111.0).count() == 1


def test_two_sizings_at_once_store_one_answer_of_each_fitment(together, one, other):
    sized_anew(one)()
    stored = r'^INSERT INTO "kits_sizedfitment"'
    assert together(sized_anew(one), sized_anew(other), after=stored) == [4, 4]
    assert set(stamps().values()) == {stamp()} and len(stamps()) == 4


def test_a_sizing_during_which_somebody_writes_is_marked_as_out_of_date(one, other):
    sizing = Person(sized_anew(one), before=LOCKS).stands()
    read_at = stamp()
    assert renamed(other, "meanwhile")() == Written(1)
    assert sizing.ends() == 4
    assert set(stamps().values()) == {read_at} and stamp() == read_at + 1


def test_an_answer_does_not_displace_one_that_was_made_from_newer_rows(one, other):
    slow = Person(sized_anew(one), before=LOCKS).stands()
    measured(other, 1111.0)()
    newer = stamp()
    assert slow.ends() == 3
    assert stamps()[fitment().pk] == newer


def test_a_sizing_and_a_record_do_not_wait_for_each_other_for_ever(one, other):
    sized_anew(one)()
    recording = measured(other, 1111.0)
    told = while_held(recording, sized_anew(one), after=r'^INSERT INTO "kits_routelength"')
    assert [type(answer) for answer in told] == [Written, int]
    assert stamps()[fitment().pk] == stamp()


def test_a_fitment_that_is_removed_while_all_are_sized_leaves_the_others_sized(one, other):
    key = ("x2", "x2")
    sizing = Person(sized_anew(one), before=LOCKS).stands()
    removed = remove_row(
        actor=other, line=LINE, sheet="Fitments", key=key, seen={},
        confirmed_count=len(removal(LINE, "Fitments", key)), reason="away",
    )  # fmt: skip
    assert removed.count and not removed.problems
    assert sizing.ends() == 3
    assert len(stamps()) == 3


def noted(actor, sent, variant="x1"):
    return partial(
        keep_note,
        actor=actor,
        fitment_id=fitment(variant).pk,
        text="rubs",
        study=None,
        sent=Sent(a_key(sent)),
        now=timezone.now(),
    )


def test_a_note_that_is_sent_twice_at_once_is_kept_once_and_both_are_told_which(together, one):
    told = together(noted(one, "a"), noted(one, "a"), after=NOTE)
    assert told == [f"{FitmentNote.objects.get().pk}"] * 2


def test_a_key_of_another_person_is_refused(one, other):
    one_of_each(at_once(noted(one, "a"), noted(other, "a")), [str, Reused])
    assert FitmentNote.objects.count() == 1


def test_each_of_eight_changes_counts_the_fitments_version_up_by_one(one):
    fields = ("ram_share", "fan_installed_share", "air_on_rise_idle_k", "air_on_rise_cruise_k", "suction_gain_k",
              "blower_voltage_v", "note", "origin_note")  # fmt: skip
    values = {name: "eighth" if "note" in name else 0.45 for name in fields} | {"blower_voltage_v": 12.5}
    version, before = fitment().version, stamp()
    acts = [
        written(one, RowEdit("change", "Fitments", ("x1", "x1"), {name: values[name]})) for name in fields
    ]
    assert at_once(*acts) == [Written(1)] * WRITERS
    assert (fitment().version, stamp()) == (version + WRITERS, before + WRITERS)
    assert {name: getattr(fitment(), name) for name in fields} == values
