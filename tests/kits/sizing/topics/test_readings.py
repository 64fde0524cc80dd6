"""Expected readings of a fitment, as the paper of a job has them."""

from dataclasses import replace

from kits.fitment.readings.judgement import PlantAtHand, Taken, judged
from kits.sizing.readings import SIGN_WORDS
from kits.sizing.topics.readings import readings
from tests.kits.sizing.topics.contexts import contexts


def test_the_grid_has_bands_and_says_where_they_are_extrapolated(world):
    topic = readings(next(c for c in contexts(world) if c.kit.settings["refrigerant"] == "R-134a"))
    rows = {(row[0], row[1]): row[2:] for row in topic.tables[0].rows}
    assert len(rows) == 15
    assert rows["20", "50"] == ("1.4 to 2.3", "9.0 to 11.0", "3.0 to 6.0", "from practice")
    assert {rows[key][-1] for key in (("20", "30"), ("40", "50"), ("40", "70"))} == {"extrapolated, wider"}
    assert "not known" not in {text for row in rows.values() for text in row}


def with_gas(world, gas):
    context = next(iter(contexts(world)))
    return replace(context, kit=replace(context.kit, settings={**context.kit.settings, "refrigerant": gas}))


def test_another_refrigerants_bands_are_converted_and_that_is_said(world):
    topic = readings(with_gas(world, "R-1234yf"))
    assert "converted" in topic.answer
    assert topic.tables[0].rows[1][2:4] == ("1.6 to 2.5", "9.0 to 10.9")
    assert topic.remarks == ()


def test_a_refrigerant_that_nobody_knows_has_no_bands_and_that_is_said(world):
    topic = readings(with_gas(world, "R-22"))
    assert topic.tables == ()
    assert [r.code for r in topic.remarks] == ["readings-other-gas"]


def test_the_paper_and_the_judged_readings_use_the_same_words(world):
    topic = readings(with_gas(world, "R-134a"))
    faults = next(table for table in topic.tables if table.heads[0] == "fault")
    told = {word for row in faults.rows for cell in row[1:4] for word in cell.split(" or ")}
    assert told == set(SIGN_WORDS.values())
    lines = judged(
        Taken(30, 50, "recirculated", "highest", "open", 10, 0.5, 25.0, 9.0, 1500),
        PlantAtHand("R-134a", False, None),
    ).lines
    assert [line.word for line in lines[:3]] == [SIGN_WORDS[sign] for sign in (-1, 1, 0)]
