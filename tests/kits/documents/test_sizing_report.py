"""The report tells the stored answer whole: each figure with its explanation and inputs, each remark, and no cost."""

from dataclasses import fields, replace

import pytest

from kits.bom.resolved import Finding
from kits.documents.cautions import GENERAL
from kits.documents.render import document_html, document_pdf
from kits.documents.sizing_report import sizing_report
from kits.sizing.gas.gases import co2_equivalent_kg
from kits.topics.figure import Line, Picture, Table, Topic, figure, given
from tests.kits.documents.reading import pages, text
from tests.kits.documents.sample import duty, of, record, unsized

CHARGE = given("Charge", "g", 750.0, "weighed", "charge")
POTENTIALS = [given("Potential", "", words, "regulation") for words in ("1,430", "1,300")]
PICTURE = Picture(
    "course",
    "Pull-down",
    "It cools in 20 min.",
    "time, min",
    y_label="°C",
    lines=(Line("cabin", (0, 30), (60, 25)),),
)
TOPIC = Topic(
    "gas", "Gas and warming", "It warms a lot.",
    figures=tuple(
        figure(f"Equivalent {i}", "kg", 1000.5 + i, co2_equivalent_kg, CHARGE, p)
        for i, p in enumerate(POTENTIALS)
    ),
    tables=(Table("By gas", ("Gas", "GWP"), (("R-134a", "1,430"),)),),
    remarks=(Finding("gas-much", "warns", "charge", "That is much."),),
    cautions=("Never vent it.",), pictures=(PICTURE,),
)  # fmt: skip


def report(topics=(TOPIC,), **changes):
    """The report of the sample answer with a topic."""
    return sizing_report(of(answer=record(**changes), topics=topics), "x")


@pytest.fixture(scope="module")
def printed():
    """The pages of the report."""
    return pages(document_pdf(report(), paper="Letter"))


def test_the_answer_stands_first_with_margin_and_uncertainty(printed):
    first = printed[0]
    assert first.index("not enough") < first.index("−19 %") < first.index("Governing numbers")
    assert "load ± 15 %" in first and "NOT FOR PRODUCTION" in first


def test_each_sheet_says_what_it_is_and_its_number(printed):
    assert len(printed) > 2
    for number, page in enumerate(printed, 1):
        assert f"{number} of {len(printed)}" in page and "Sizing report" in page and "(S4-LC)" in page


def test_every_part_of_a_topic_is_printed(printed):
    whole = " ".join(printed)
    for words in (
        "It warms a lot.", "That is much.", "By gas", "Pull-down", "cabin", "time, min", "1,000.50 kg",
        "1 Charge: 750 g (weighed)", "2 Potential: 1,430; 3 Potential: 1,300 (regulation)",
    ):  # fmt: skip
        assert words in whole, words


def test_the_words_of_a_picture_are_its_alternative_text():
    assert 'alt="It cools in 20 min."' in document_html(report())


def test_what_is_the_same_for_many_figures_is_printed_once(printed):
    whole = " ".join(printed)
    formula = dict(report().explanations[0].told)["Formula"]
    for words in ("Never vent it.", "Charge: 750 g", " ".join(formula.split()), GENERAL[0].sentence):
        assert whole.count(words) == 1, words


def test_each_number_beside_a_figure_leads_to_its_explanation_and_its_inputs():
    document = report()
    told = {one.number for one in document.explanations}
    inputs = {
        one.number: (one.label, one.text) for t in document.inputs for o in t.origins for one in o.inputs
    }
    lines = {line.label: line for row in document.topics[0].figure_rows for line in row}
    assert {line.how for line in lines.values()} <= told
    assert [inputs[int(n)] for n in lines["Equivalent 1"].made_from.split(", ")] == [
        ("Charge", "750 g"), ("Potential", "1,300"),
    ]  # fmt: skip


def test_a_picture_that_cannot_be_drawn_is_left_out():
    broken = replace(TOPIC, pictures=(replace(PICTURE, lines=()),))
    assert not [p for strip in report(topics=(broken,)).topics[0].strips for p in strip if p.picture]


def test_without_an_answer_it_is_not_sized_and_says_what_to_do():
    document = sizing_report(unsized(), "x")
    assert (document.sheet.verdict, document.topics, document.governing) == ("not sized", (), ())
    assert "run the sizing" in text(document_pdf(document))


def test_a_report_holds_no_cost():
    names = {field.name for field in fields(report())} | {field.name for field in fields(report().sheet)}
    assert not {name for name in names if "cost" in name or "price" in name}


def test_the_topic_of_levers_takes_the_place_of_their_section():
    assert report().levers_apart
    assert not report(topics=(replace(TOPIC, code="levers"),)).levers_apart


def test_a_long_name_of_a_duty_point_stands_in_full_once_and_then_as_its_code():
    long = "Cruise at 80 km/h under a high sun"
    topic = replace(
        TOPIC, tables=(Table("By duty point", ("duty point", "W"), ((long, "1"),)),),
        figures=(figure(f"Equivalent, {long}", "kg", 1.0, co2_equivalent_kg, given("duty point", "", long)),),
    )  # fmt: skip
    document = report(topics=(topic,), duties=(duty("C80", long, "marginal", 0.03),))
    assert [one.name for one in document.duties] == [long]
    assert document.topics[0].figure_rows[0][0].label == "Equivalent, C80"
    assert document.inputs[0].origins[0].inputs[0].text == "C80"
    table = next(piece.table for strip in document.topics[0].strips for piece in strip if piece.table)
    assert table.rows[0][0].text == "C80"
