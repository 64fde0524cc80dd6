"""Expected readings of a fitment, as the paper of a job has them."""

from dataclasses import replace

import pytest

from kits.bom.catalogue import PREDICTED
from kits.fitment.readings.judgement import PlantAtHand, Taken, judged
from kits.sizing.gas.readings import SIGN_WORDS
from kits.sizing.verdict.record import RunTestPoint
from kits.topics.circuit.readings import readings
from tests.kits.topics.contexts import contexts


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
    assert {remark.code for remark in topic.remarks} <= {"readings-beside-practice"}


def test_what_is_predicted_of_the_fitment_stands_beside_the_bands_with_how_it_came_about(world):
    context = with_gas(world, "R-134a")
    test = context.record.run_test
    topic = readings(context)
    predicted = topic.tables[1]
    assert predicted.caption.startswith("Predicted for this fitment, not yet confirmed by a trial")
    assert len(predicted.rows) == len(test.points) == 18
    for row, point in zip(predicted.rows, test.points, strict=True):
        assert row[:2] == (f"{point.air_c:.0f}", f"{100 * point.humidity_share:.0f}")
        if point.reason:
            assert row[2:] == ("no number",) * 4 + (point.reason,)
        else:
            low, high = point.limits["high side"]
            assert row[3] == f"{point.high_side_bar_g:.1f} ({low:.1f} to {high:.1f})"
            assert row[-1] == ("cycles" if point.cycles else "runs through")
    assert {"kits.sizing.verdict.run_test:run_tests", "kits.sizing.verdict.run_test:run_test_limits"} <= {
        figure.function for figure in topic.figures
    }
    shown = {picture.code: picture for picture in topic.pictures}
    drawn = [p for p in test.points if p.humidity_share == 0.5 and not p.reason]
    assert shown["predicted-high-side"].bands[0].high == pytest.approx(
        [p.limits["high side"][1] for p in drawn], rel=1e-4
    )
    assert shown["predicted-coldest-vent"].lines[0].y == pytest.approx(
        [p.coldest_vent_c for p in drawn], rel=1e-4
    )


def test_a_fitment_without_a_run_test_has_the_bands_alone(world):
    context = with_gas(world, "R-134a")
    for run_test in (None, replace(context.record.run_test, points=(), reason="The pulley is missing.")):
        topic = readings(replace(context, record=replace(context.record, run_test=run_test)))
        assert len(topic.tables) == 2 and len(topic.pictures) == 2 and topic.remarks == ()
        assert ("The pulley is missing." in topic.answer) == (run_test is not None)


def predicted(context, high_side_bar_g, coldest_vent_c, **more):
    """The remarks of a fitment with one predicted state, 30 °C and 40 %: practice reads 13 to 16 bar g, 5 to 9 °C."""
    point = RunTestPoint(
        air_c=30.0,
        humidity_share=0.4,
        status="full",
        reason="",
        cycles=False,
        low_side_bar_g=2.0,
        high_side_bar_g=high_side_bar_g,
        engaged_low_bar_g=None,
        engaged_bar_g=None,
        coldest_vent_c=coldest_vent_c,
        warmest_vent_c=coldest_vent_c,
        limits=dict.fromkeys(PREDICTED, (0.0, 30.0)),
    )
    test = replace(context.record.run_test, points=(replace(point, **more),))
    return readings(replace(context, record=replace(context.record, run_test=test))).remarks


def test_a_prediction_beside_the_band_of_any_healthy_car_is_told(world):
    context = with_gas(world, "R-134a")
    assert predicted(context, 14.0, 7.0) == ()
    (high,) = predicted(context, 17.0, 7.0)
    assert (high.code, high.severity) == ("readings-beside-practice", "notes")
    assert "high side is predicted above" in high.sentence
    assert "30 °C and 40 %: 17.0 bar g against 13.0 to 16.0" in high.sentence
    (cold,) = predicted(context, 14.0, 4.0)
    assert "coldest vent is predicted below" in cold.sentence
    # the head of a cycling plant reaches from its mean to that with the clutch engaged
    assert predicted(context, 12.0, 7.0, engaged_bar_g=14.0) == ()
    assert len(predicted(context, 12.0, 7.0, engaged_bar_g=12.5)) == 1
    assert len(predicted(context, 17.0, 7.0, engaged_bar_g=18.0)) == 1


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
        Taken(
            ambient_c=30,
            humidity_pct=50,
            air="recirculated",
            blower="highest",
            doors="open",
            minutes=10,
            low_bar_g=0.5,
            high_bar_g=25.0,
            vent_c=9.0,
            engine_rpm=1500,
        ),
        PlantAtHand("R-134a", False, None),
    ).lines
    assert [line.word for line in lines[:3]] == [SIGN_WORDS[sign] for sign in (-1, 1, 0)]
