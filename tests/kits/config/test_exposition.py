"""The text of figures as the standard has it."""

import math

from kits.config.exposition import Gauge, by_label, exposed, gauge


def test_a_figure_has_its_help_its_type_and_its_samples():
    works = by_label("kitwright_works", "Works by state.", "state", {"waiting": 2, "running": 0.5})
    assert exposed([works]) == (
        "# HELP kitwright_works Works by state.\n"
        "# TYPE kitwright_works gauge\n"
        'kitwright_works{state="waiting"} 2\n'
        'kitwright_works{state="running"} 0.5\n'
    )


def test_what_is_not_known_is_left_out_and_nought_is_not():
    assert exposed([gauge("a", "A.", None)]) == ""
    assert exposed([gauge("a", "A.", 0)]).endswith("\na 0\n")


def test_signs_that_would_break_a_line_are_escaped():
    told = Gauge("a", "one\\two\n“three”", (({"name": 'x"y\\z\n', "other": "é"}, 1.0),))
    assert exposed([told]) == (
        '# HELP a one\\\\two\\n“three”\n# TYPE a gauge\na{name="x\\"y\\\\z\\n",other="é"} 1.0\n'
    )


def test_numbers_that_are_none_have_their_own_words():
    for value, word in ((math.nan, "NaN"), (math.inf, "+Inf"), (-math.inf, "-Inf")):
        assert exposed([gauge("a", "A.", value)]).endswith(f"\na {word}\n")
