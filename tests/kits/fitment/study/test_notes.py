"""A study or a thought is kept as a note: added once, never changed, shown as what it was."""

import json

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from kits.fitment.actions import touch_catalogue
from kits.fitment.models import FitmentNote
from kits.fitment.study.actions import keep_note
from tests.keys import a_key
from tests.kits.fitment.answers import store
from tests.kits.fitment.pages import text
from vehicles.records.asked import Sent

pytestmark = pytest.mark.one_database
QUESTION = "duty=town-35&outside_c=40&levers=film"
EVIL = "<img src=x onerror=alert(1)> {{ rights }} \u202e"


def sent(**changes):
    return {
        "question": QUESTION,
        "text": "Ask the customer about film.",
        "idempotency_key": a_key("k1"),
        **changes,
    }


def test_a_study_is_kept_with_its_question_answer_stamp_and_time(manager_client, fitment, place):
    store(fitment)
    done = manager_client.post(f"{place}study/keep/", sent())
    assert done["Location"] == f"{place}#notes"
    note = FitmentNote.objects.get()
    assert (note.fitment, note.text, note.written_by) == (fitment, "Ask the customer about film.", "manager")
    assert note.study["query"] == QUESTION
    assert note.study["changes"][0] == ["Outside temperature", "35 °C", "40 °C"]
    assert note.study["answer"]["verdict"] in ("strong enough", "marginal", "not enough")
    assert note.study["answer"]["holds_c"] is not None
    assert note.study["stamp"] >= 1
    json.dumps(note.study, allow_nan=False)
    page = manager_client.get(place)
    assert "Ask the customer about film." in text(page)
    assert f'href="{place}study/?duty=town-35&amp;outside_c=40&amp;levers=film"' in page.content.decode()


def test_a_double_press_keeps_one_note_and_another_key_another(manager_client, place):
    for key in ("k1", "k1", "k2"):
        manager_client.post(f"{place}study/keep/", sent(idempotency_key=a_key(key)))
    assert FitmentNote.objects.count() == 2


def test_a_kept_study_is_marked_once_the_data_moved_on(manager_client, place):
    manager_client.post(f"{place}study/keep/", sent())
    assert "The data were changed since" not in text(manager_client.get(place))
    touch_catalogue()
    assert "The data were changed since" in text(manager_client.get(place))


def test_nothing_is_kept_of_a_question_without_an_answer(manager_client, place):
    for wrong in (
        {"text": ""}, {"text": "   "}, {"text": "x" * 4001}, {"text": "a\x00b"}, {"question": ""},
        {"question": "outside_c=40"}, {"question": "duty=town-35&outside_c=-300"}, {"idempotency_key": a_key("k") * 65},
    ):  # fmt: skip
        answer = manager_client.post(f"{place}study/keep/", sent(**wrong))
        assert answer.status_code == 422, wrong
        assert "Nothing was saved yet." in text(answer), wrong
    assert manager_client.post(f"{place}study/keep/", sent(question="duty=zz")).status_code == 404
    assert not FitmentNote.objects.exists()


def test_what_was_typed_is_kept_on_the_page_when_it_is_refused(manager_client, place):
    page = manager_client.post(f"{place}study/keep/", sent(question="", text="A long thought."))
    assert "A long thought." in page.content.decode()


def test_only_a_manager_keeps_notes_and_everybody_reads_them(clients, place):
    for role in ("installer", "production", "owner"):
        assert clients[role].post(f"{place}study/keep/", sent()).status_code == 403
        assert clients[role].post(f"{place}notes/", {"text": "mine"}).status_code == 403
        assert "Write a note" not in text(clients[role].get(place))
    assert not FitmentNote.objects.exists()
    clients["manager"].post(f"{place}notes/", {"text": "The bracket rubs.", "idempotency_key": a_key("n")})
    assert "The bracket rubs." in text(clients["installer"].get(place))


def test_a_plain_note_is_kept_newest_first_and_refused_when_empty(manager_client, place):
    for number, words in enumerate(("first thought", "second thought")):
        done = manager_client.post(f"{place}notes/", {"text": words, "idempotency_key": a_key(f"n{number}")})
        assert done["Location"] == f"{place}#notes"
    page = text(manager_client.get(place))
    assert page.index("second thought") < page.index("first thought")
    empty = manager_client.post(f"{place}notes/", {"text": " "})
    assert empty.status_code == 422
    assert "Write in a few words what is to be remembered." in text(empty)
    assert FitmentNote.objects.filter(study__isnull=True).count() == 2


def test_hostile_text_is_shown_as_text(manager_client, place):
    manager_client.post(f"{place}notes/", {"text": EVIL})
    body = manager_client.get(place).content.decode()
    assert "<img src=x" not in body
    assert "&lt;img src=x onerror=alert(1)&gt; {{ rights }}" in body


def test_a_study_of_another_program_is_shown_as_a_plain_note(manager_client, fitment, place):
    FitmentNote.objects.create(
        fitment=fitment, text="old", study={"schema": 99}, written_by="x", written_at=timezone.now()
    )
    page = text(manager_client.get(place))
    assert "old" in page
    assert "Study at" not in page


def test_the_action_asks_for_the_right_and_for_a_text(manager, installer, fitment):
    def act(actor, words):
        return keep_note(
            actor=actor, fitment_id=fitment.pk, text=words, study=None, sent=Sent(), now=timezone.now()
        )

    with pytest.raises(PermissionDenied):
        act(installer, "mine")
    for words in ("", "x" * 4001):
        with pytest.raises(ValidationError):
            act(manager, words)
    assert int(act(manager, "good")) == FitmentNote.objects.get().pk
