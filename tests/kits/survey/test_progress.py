"""What counts as measured, from papers, estimated and missing."""

from types import SimpleNamespace

from kits.survey.progress import Part, Progress, blanks


def test_weighed_counts_as_measured_and_a_default_as_estimated():
    part = Part("Loads", "loads", ("measured", "weighed", "data sheet", "calculated", "estimate", "default"))
    assert (part.measured, part.papers, part.estimated) == (2, 2, 2)


def test_the_state_of_a_part_is_its_worst():
    assert Part("P", "p").state == ""
    assert Part("P", "p", ("measured",)).state == "measured"
    assert Part("P", "p", ("measured", "data sheet")).state == "papers"
    assert Part("P", "p", ("data sheet", "estimate")).state == "estimated"
    assert Part("P", "p", ("measured",), ("The mass is missing.",)).state == "missing"


def test_a_survey_is_the_sum_of_its_parts():
    whole = Progress(
        (Part("A", "a", ("measured", "estimate"), ("X.", "Y.")), Part("B", "b", ("calculated",)))
    )
    assert (whole.measured, whole.papers, whole.estimated, whole.missing) == (1, 1, 1, 2)


def test_nothing_and_an_empty_text_are_blank_but_zero_is_a_value():
    row = SimpleNamespace(mass_kg=None, category="", rise_k=0.0)
    wanted = (("mass_kg", "The mass"), ("category", "The category"), ("rise_k", "The rise"))
    assert blanks(row, wanted) == ("The mass is missing.", "The category is missing.")
