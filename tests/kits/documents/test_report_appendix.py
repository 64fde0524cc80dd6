"""The appendix tells each explanation and each input once, and its numbers lead there."""

from dataclasses import replace

import pytest

from kits.documents.report_appendix import (
    explanations,
    in_runs,
    inputs_by_topic,
    made_from,
    numbers_of,
)
from kits.sizing.gas.gases import co2_equivalent_kg
from kits.sizing.gas.hoses import hose_velocity_m_s
from kits.sizing.words.explain import explanation_of
from kits.topics.figure import Topic, figure, given

CHARGE = given("Charge", "g", 750.0, "weighed", "charge")
BORE, LENGTH = given("Bore", "mm", 12.7, "data sheet"), given("Length", "mm", 900.0, "data sheet")
GAS = Topic("gas", "Gas", "", figures=(figure("Equivalent", "kg", 1.0, co2_equivalent_kg, CHARGE),))
HOSES = Topic(
    "hoses", "Hoses", "",
    figures=(
        figure("Velocity", "m_s", 9.0, hose_velocity_m_s, BORE, LENGTH, CHARGE),
        figure("Velocity again", "m_s", 8.0, hose_velocity_m_s, BORE),
    ),
)  # fmt: skip


def test_a_function_is_explained_once_by_its_docstring():
    found = explanations((GAS, HOSES, GAS))
    assert [one.number for one in found.values()] == [1, 2]
    why = explanation_of(co2_equivalent_kg)
    told = dict(found[GAS.figures[0].function].told)
    assert told == {
        "Formula": why.formula.rstrip("."),
        "Validity": why.validity.rstrip("."),
        "Source": why.source.rstrip("."),
        "Check": why.check.rstrip("."),
    }


def test_an_input_stands_under_the_first_topic_that_uses_it_and_none_is_lost():
    told = inputs_by_topic((GAS, HOSES))
    assert [(t.title, [[i.label for i in o.inputs] for o in t.origins]) for t in told] == [
        ("Gas", [["Charge"]]),
        ("Hoses", [["Bore", "Length"]]),
    ]
    assert sorted(numbers_of(told).values()) == [1, 2, 3]


def test_the_same_words_of_another_origin_are_another_input():
    other = replace(CHARGE, origin="estimate")
    topics = (GAS, replace(GAS, figures=(figure("Other", "kg", 1.0, co2_equivalent_kg, other),)))
    assert len(numbers_of(inputs_by_topic(topics))) == 2


def test_a_figure_names_the_numbers_of_its_inputs():
    numbers = numbers_of(inputs_by_topic((GAS, HOSES)))
    assert made_from(HOSES.figures[0].inputs, numbers) == "1–3"
    assert made_from(HOSES.figures[1].inputs, numbers) == "2"


@pytest.mark.parametrize(
    ("numbers", "text"),
    [((), ""), ((4,), "4"), ((2, 1), "1, 2"), ((3, 1, 2), "1–3"), ((1, 5, 6, 7, 9, 9), "1, 5–7, 9")],
)
def test_three_in_a_row_are_written_as_a_run(numbers, text):
    assert in_runs(numbers) == text
