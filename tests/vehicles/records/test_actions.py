"""A change is made to what the person saw, and counted."""

import pytest
from django.utils import timezone

from tests.keys import a_key
from vehicles.catalogue.models import ModelLine
from vehicles.records.access import CONSOLE
from vehicles.records.actions import Reused, Stale, once, take_version
from vehicles.records.asked import Sent
from vehicles.records.models import Act


def test_a_row_that_is_changed_gets_the_next_version():
    row = ModelLine(name="Slate", version=3)
    assert take_version(row, 3) is row
    assert row.version == 4


@pytest.mark.parametrize("seen", [2, 4])
def test_who_saw_another_version_is_told_both_and_the_row_keeps_its_own(seen):
    row = ModelLine(name="Slate", version=3)
    with pytest.raises(Stale, match=rf"“Slate” was changed .*version 3, you saw {seen}\b"):
        take_version(row, seen)
    assert row.version == 3


def test_two_people_cannot_both_change_what_they_saw():
    row = ModelLine(name="Slate", version=1)
    take_version(row, 1)
    with pytest.raises(Stale):
        take_version(row, 1)


@pytest.fixture
def made():
    """What was made, one after the other."""
    return []


@pytest.fixture
def make(made):
    """Make one thing more, and say which."""

    def again(_act):
        made.append(len(made))
        return f"{made[-1]}"

    return again


def test_the_same_form_sent_again_is_answered_as_the_first_time(manager, made, make):
    sent = Sent(a_key("key"), "content")
    assert [once(manager, "act", sent, make) for _ in range(3)] == ["0", "0", "0"]
    assert made == [0]


def test_a_key_that_comes_with_other_content_is_refused_and_nothing_is_made(manager, made, make):
    once(manager, "act", Sent(a_key("key"), "content"), make)
    with pytest.raises(Reused, match="Nothing was written this time"):
        once(manager, "act", Sent(a_key("key"), "other content"), make)
    assert made == [0]
    assert once(manager, "act", Sent(a_key("key"), "content"), make) == "0"


def test_another_key_is_another_act(manager, made, make):
    once(manager, "act", Sent(a_key("key"), "content"), make)
    once(manager, "act", Sent(a_key("another"), "content"), make)
    assert made == [0, 1]


def test_a_key_of_another_act_or_person_answers_nothing_and_makes_nothing(manager, owner, made, make):
    sent = Sent(a_key("key"), "content")
    once(manager, "act", sent, make)
    for actor, kind in ((manager, "other act"), (owner, "act"), (CONSOLE, "act")):
        with pytest.raises(Reused):
            once(actor, kind, sent, make)
    assert made == [0]


def test_an_act_keeps_who_did_what_when_why_and_the_answer(manager, made, make):
    before = timezone.now()
    once(manager, "act", Sent(a_key("key"), "content"), make, reason="because")
    act = Act.objects.get()
    assert (act.person, act.kind, act.reason, act.asked, act.answer) == (
        manager,
        "act",
        "because",
        "content",
        "0",
    )
    assert before <= act.arrived <= timezone.now()


def test_what_is_not_made_leaves_its_key_for_the_corrected_form(manager, made, make):
    def refuse(_act):
        raise Stale("moved")

    with pytest.raises(Stale):
        once(manager, "act", Sent(a_key("key"), "content"), refuse)
    assert once(manager, "act", Sent(a_key("key"), "corrected"), make) == "0"


def test_a_key_of_a_time_without_digests_answers_as_it_did(manager, made, make):
    Act.objects.create(person=manager, kind="act", key=a_key("key"), answer="there")
    assert once(manager, "act", Sent(a_key("key"), "content"), make) == "there"
    assert made == []


def test_without_a_key_each_is_another(manager, made, make):
    for actor in (manager, manager, CONSOLE, CONSOLE):
        once(actor, "act", Sent("", "content"), make)
    assert made == [0, 1, 2, 3]
