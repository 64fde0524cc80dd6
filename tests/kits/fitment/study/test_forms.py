"""A question goes into an address and comes out of it as it was; what stands as stored is not in it."""

from dataclasses import replace

import pytest
from django.http import QueryDict

from kits.fitment.study.forms import NoteForm, StudyForm, query_of
from kits.sizing.study.study import Question, duties_of
from tests.kits.topics.contexts import context_of


@pytest.fixture(scope="module")
def van(world):
    """A van whose blower has no steps, whatever the demonstration gives it."""
    case = context_of(world, ("V30-BELT", "V30", "S18L")).case
    return replace(case, unit=replace(case.plant, blower_steps=()))


@pytest.fixture(scope="module")
def electric(world):
    return context_of(world, ("V30-EV", "V30", "SEVL")).case


def form_of(case, query):
    code = QueryDict(query).get("duty", "town-35")
    duty = next(duty for duty in duties_of(case) if duty.code == code)
    form = StudyForm(case, duty, QueryDict(query))
    assert form.is_valid(), form.errors
    return form


@pytest.mark.parametrize(
    "question",
    [
        Question("town-35"),
        Question("idle-35", outside_c=41.25, humidity_pct=33.3, engine_rpm=900, levers=("film", "idle-up")),
        Question("cruise-35", road_speed_km_h=95, sun_pct=0, occupants=0, air_mode="mixed", fresh_pct=12.5),
        Question("cruise-35", target_c=22, blower_pct=55.5),
    ],
)
def test_a_question_comes_back_from_its_address(van, question):
    assert form_of(van, query_of(question)).question() == question


def test_an_electric_compressor_is_asked_for_its_own_speed_instead_of_the_engines(van, electric):
    assert "engine_rpm" not in form_of(electric, "duty=town-35").fields
    assert "compressor_rpm" not in form_of(van, "duty=town-35").fields
    assert form_of(electric, "duty=town-35&compressor_rpm=3000").question().compressor_rpm == 3000


def test_a_blower_with_steps_is_asked_for_a_step(van):
    stepped = replace(van, unit=replace(van.plant, blower_steps=((1, 0.4), (2, 0.7), (3, 1.0))))
    form = form_of(stepped, "duty=town-35&blower_step=2")
    assert "blower_pct" not in form.fields
    assert form.question() == Question("town-35", blower_step=2)
    assert form_of(stepped, "duty=town-35&blower_step=3").question() == Question("town-35")
    wrong = StudyForm(stepped, form.duty, QueryDict("duty=town-35&blower_step=9"))
    assert wrong.errors["blower_step"] == ["This blower has no such step."]


def test_an_engine_speed_is_asked_for_even_where_it_is_the_one_that_follows(van):
    follows = form_of(van, "duty=cruise-35").stored["engine_rpm"]
    asked = form_of(van, f"duty=cruise-35&engine_rpm={follows}&road_speed_km_h=50").question()
    assert (asked.engine_rpm, asked.road_speed_km_h) == (follows, 50)


def test_a_note_has_words_and_a_limit():
    assert not NoteForm({"text": "  "}).is_valid()
    assert not NoteForm({"text": "x" * 4001}).is_valid()
    assert NoteForm({"text": "x" * 4000}).is_valid()
