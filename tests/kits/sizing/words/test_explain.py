"""The text beside a figure is the docstring of the function that gave it, part by part."""

from kits.sizing.words.explain import explanation_of, named


def sample() -> None:
    """Mass of a charge.

    This paragraph is for developers.

    Formula: m = V·ρ,
        summed over the zones
    Parameters: volume_l, density_kg_m3
    Source: a handbook, table 1: page 3
    Check: test_charge

    >>> 0.5 * 2
    1.0
    """


def test_each_part_is_found_and_the_paragraphs_between_are_left_out():
    told = explanation_of(sample)
    assert told.what == "Mass of a charge."
    assert told.formula == "m = V·ρ, summed over the zones"
    assert told.source == "a handbook, table 1: page 3"
    assert (told.validity, told.check) == ("", "test_charge")


def test_a_function_is_found_by_its_name():
    assert named("kits.sizing.words.explain:explanation_of") is explanation_of
