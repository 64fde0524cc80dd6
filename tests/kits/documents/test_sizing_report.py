"""The report tells the stored answer whole: each figure with origin and docstring, each remark, and no cost."""

from dataclasses import fields, replace

import pytest

from kits.documents.render import document_pdf
from kits.documents.sizing_report import MOST_COLUMNS, sizing_report
from kits.sizing.explain import explanation_of
from kits.sizing.gases import co2_equivalent_kg
from kits.sizing.topics.figure import Line, Picture, Remark, Table, Topic, figure, given
from tests.kits.documents.reading import pages, text
from tests.kits.documents.sample import SIZED_AT, duty, kit, record

CHARGE = given("Charge", "charge_g", 750.0, "weighed", "charge")
POTENTIALS = [given("Potential", "", words, "regulation") for words in ("1,430", "1,300")]
PICTURE = Picture(
    "course", "Pull-down", "It cools in 20 min.", "time, min", "°C", (Line("cabin", (0, 30), (60, 25)),)
)
TOPIC = Topic(
    "gas", "Gas and warming", "It warms a lot.",
    tuple(
        figure(f"Equivalent {i}", "co2_kg", 1000.5 + i, co2_equivalent_kg, CHARGE, p)
        for i, p in enumerate(POTENTIALS)
    ),
    (Table("By gas", ("Gas", "GWP"), (("R-134a", "1,430"),)),),
    (Remark("gas-much", "warns", "charge", "That is much."),),
    ("Never vent it.",), (PICTURE,),
)  # fmt: skip


def report(**changes):
    """The report of the sample answer with a topic."""
    return sizing_report(kit(), record(**{"topics": (TOPIC,), **changes}), SIZED_AT, False, "x")


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
        "It warms a lot.", "That is much.", "Never vent it.", "By gas", "It cools in 20 min.", "1,000.50 kg",
        "Charge: 750 g (weighed)", "Potential: 1,430 (regulation)",
    ):  # fmt: skip
        assert words in whole, words


def test_a_figure_is_explained_by_the_docstring_of_its_function_once():
    method = report().topics[0].methods[0]
    why = explanation_of(co2_equivalent_kg)
    assert dict(method.told)["Formula"] == why.formula.rstrip(".")
    assert set(dict(method.told)) >= {"Formula", "Source", "Validity", "Check"}
    assert [f.label for f in method.figures] == ["Equivalent 0", "Equivalent 1"]
    assert len(report().topics[0].methods) == 1


def test_inputs_that_all_figures_share_are_told_once_and_none_is_lost():
    method = report().topics[0].methods[0]
    assert method.shared == (CHARGE,)
    assert [f.inputs for f in method.figures] == [(p,) for p in POTENTIALS]


def test_the_load_by_term_adds_up_to_the_total():
    # computed here anew from the record: terms dry and wet against the load that is told
    table = report().load_tables[0]
    values = [[float(cell.replace(",", "").replace("−", "-")) for cell in row[1:]] for row in table.rows]
    for column, total in enumerate(values[-1]):
        assert sum(row[column] for row in values[:-1]) == pytest.approx(total, abs=len(values))


def test_many_duty_points_go_into_tables_that_fit_the_sheet():
    many = tuple(duty(f"D{i}", f"Duty point number {i}", "marginal", 0.03) for i in range(MOST_COLUMNS + 2))
    tables = report(duties=many).load_tables
    assert [len(table.heads) - 1 for table in tables] == [MOST_COLUMNS, 2]


def test_a_picture_that_cannot_be_drawn_is_left_out():
    broken = replace(TOPIC, pictures=(replace(PICTURE, lines=()),))
    assert report(topics=(broken,)).topics[0].pictures == ()


def test_a_function_the_program_has_no_more_is_told():
    gone = replace(TOPIC, figures=(replace(TOPIC.figures[0], function="kits.sizing.gases:gone"),))
    assert "no longer has" in report(topics=(gone,)).topics[0].methods[0].what


def test_without_an_answer_it_is_not_sized_and_says_what_to_do():
    document = sizing_report(kit(), None, None, False, "x")
    assert (document.sheet.verdict, document.topics, document.governing) == ("not sized", (), ())
    assert "run the sizing" in text(document_pdf(document))


def test_a_report_holds_no_cost():
    priced = Table("Changes", ("change", "cost, EUR", "work, h"), (("film", "310", "2.0"),))
    table = report(topics=(replace(TOPIC, tables=(priced,)),)).topics[0].tables[0]
    assert (table.heads, table.rows) == (("change", "work, h"), (("film", "2.0"),))
    names = {field.name for field in fields(report())} | {field.name for field in fields(report().sheet)}
    assert not {name for name in names if "cost" in name or "price" in name}


def test_the_topic_of_levers_takes_the_place_of_their_section():
    assert report().levers_apart
    assert not report(topics=(replace(TOPIC, code="levers"),)).levers_apart
