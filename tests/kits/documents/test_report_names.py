"""A code stands for a long name of a duty point, and for nothing else."""

from kits.documents.report_names import short_names
from kits.topics.figure import Table
from tests.kits.documents.sample import duty

LONG, LONGER = "Cruise 80 km/h, 35 °C", "Cruise 80 km/h, 35 °C, flap open"
NAMES = short_names(
    [duty("C", LONG, "idle", None), duty("F", LONGER, "idle", None), duty("I", "Idle", "", None)]
)


def test_the_longer_of_two_names_that_begin_alike_wins():
    assert NAMES.short(f"calculated: {LONGER}, as sized; {LONG}") == "calculated: F, as sized; C"


def test_a_name_within_a_word_and_a_short_one_stay():
    assert NAMES.short(f"Idle-up, {LONG}ity") == f"Idle-up, {LONG}ity"


def test_the_signs_of_a_name_are_letters_and_no_pattern():
    name = "Cruise (80 km/h) .* [a-z]+ |x"
    names = short_names([duty("C", name, "idle", None)])
    assert names.short(f"At {name}, not at Cruise 80 km/h a") == "At C, not at Cruise 80 km/h a"


def test_without_long_names_a_text_stays():
    assert short_names([]).short(LONG) == LONG


def test_heads_cells_and_caption_are_shortened():
    table = NAMES.in_table(Table(f"At “{LONG}”", ("what", LONG), (("W", LONGER),)))
    assert table == Table("At “C”", ("what", "C"), (("W", "F"),))
