"""The sun by place and hour, of the demonstration's fitments: two informative duty points stand at a site."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.words.explain import explanation_of, named
from kits.topics.cabin.sun import CODE, sun
from kits.topics.context import Context
from kits.topics.every import topics_of
from tests.kits.topics.contexts import contexts
from vehicles.heatload.inputs import AirSide, LoadPoint
from vehicles.heatload.load import heat_load
from vehicles.heatload.prepare import prepare
from vehicles.heatload.sweep import HEADING_WORDS
from vehicles.physics.air import humidity_ratio, pressure_from_altitude_pa


@pytest.fixture
def context(world) -> Context:
    return next(c for c in contexts(world) if c.record.verdict == "strong enough")


def at_site(context):
    """The duty points at a site, with their answers."""
    answers = {a.code: a for a in context.record.duties}
    return [(d, answers[d.code]) for d in context.case.duties if d.climate.at_site is not None]


def with_duties(context, change):
    """The context with some duty points changed."""
    duties = tuple(change(d) if d.climate.at_site else d for d in context.case.duties)
    return replace(context, case=replace(context.case, duties=duties))


def labels(topic):
    return {f.label: f.text for f in topic.figures}


def watts(text: str) -> float:
    return float(text.removesuffix(" W").replace(",", "").replace("−", "-"))


def test_required_duty_points_keep_their_fixed_sun(context):
    assert {d.code for d, _ in at_site(context)} == {"warm-27", "hot-43"}
    assert not any(d.required for d, _ in at_site(context))


def test_the_load_of_the_duty_point_is_the_one_that_was_sized(context):
    # the sweep starts from the answer's cabin and air side: with the duty point's own weather they give its load
    for duty, answer in at_site(context):
        terms = answer.sensible_w_by_term
        side = AirSide(answer.airflow_m3_h, terms["blower"], terms["duct"], terms["matrix"])
        point = LoadPoint(context.case.car.cabin, context.case.car.engine, duty.climate, side)
        pressure = pressure_from_altitude_pa(duty.climate.altitude_m)
        cabin_w = humidity_ratio(answer.judged_at_c, answer.cabin_humidity_share, pressure)
        load = heat_load(prepare([point]), answer.judged_at_c, cabin_w).total_w[0]
        assert load == pytest.approx(answer.load_w, abs=0.5)


def test_the_worst_hour_and_heading_stand_beside_the_load_of_the_duty_point(context):
    topic = sun(context)
    found = labels(topic)
    for duty, answer in at_site(context):
        worst = watts(found[f"Greatest load of the day, {duty.name}"])
        assert found[f"Its heading, {duty.name}"] in HEADING_WORDS
        share = worst / answer.load_w - 1
        assert (
            found[f"Greatest load against the duty point’s, {duty.name}"].replace("−", "-")
            == f"{100 * share:+.0f} %"
        )
        # the demonstration's points stand within a few hours of the worst one
        assert -0.1 < share < 0.25
        assert f"{worst / 1000:.1f} kW" in topic.answer
        assert f"{answer.load_w / 1000:.1f} kW" in topic.answer
    assert "at Red flats on 21 June" in topic.answer
    assert "at Slate coast on 21 July" in topic.answer


def test_the_table_has_the_hours_with_sun_and_its_greatest_load_is_the_figure(context):
    topic = sun(context)
    assert len(topic.tables) == len(topic.pictures) == 2
    for (duty, _), table, picture in zip(at_site(context), topic.tables, topic.pictures, strict=True):
        hours = [row[0] for row in table.rows]
        # 13.5 h of daylight at 24.6° north in June, 15.9 h at 52.4° north in July: cos H = −tan L·tan δ by hand
        assert 12 <= len(hours) <= 17
        assert hours == sorted(hours, key=lambda hour: int(hour.partition(":")[0]))
        greatest = max(watts(row[5]) for row in table.rows)
        assert greatest == watts(labels(topic)[f"Greatest load of the day, {duty.name}"])
        assert all(watts(row[5]) >= watts(row[6]) for row in table.rows)
        assert max(picture.lines[0].y) == pytest.approx(greatest / 1000, abs=0.001)
        assert all(np.greater_equal(picture.lines[0].y, picture.lines[1].y))


def test_each_figure_names_its_calculation_and_its_inputs_their_place(context):
    for told in sun(context).figures:
        why = explanation_of(named(told.function))
        assert why.formula and why.validity and why.source and why.check
        assert told.inputs
    places = {i.where for f in sun(context).figures for i in f.inputs if i.where}
    assert {"site:red-flats", "design:red-flats/6", "duty:hot-43", "site:slate-coast"} <= places
    latitude = next(i for i in sun(context).figures[0].inputs if i.label == "Latitude")
    assert latitude.text.endswith("° north")
    assert latitude.origin.startswith("estimate")


def test_without_a_site_there_is_no_topic(context):
    fixed = with_duties(context, lambda d: replace(d, climate=replace(d.climate, at_site=None)))
    assert sun(fixed) is None
    assert CODE in {t.code for t in topics_of(context)}


def test_a_month_without_design_state_is_told_with_the_row_that_mends_it(context):
    def lost(duty):
        at = replace(duty.climate.at_site, month=1, design_day=None)
        return replace(duty, climate=replace(duty.climate, at_site=at))

    topic = sun(with_duties(context, lost))
    assert "no duty point at a site is sized" in topic.answer
    assert [r.code for r in topic.remarks] == ["design-state-missing"] * 2
    assert "no design state of January" in topic.remarks[0].sentence
    mend = topic.remarks[0].mend
    assert (mend.sheet, mend.is_new) == ("Design states", True)
    assert dict(mend.given)["month"] == "1"


def test_points_that_were_not_sized_give_no_figure(context):
    unsized = replace(context, record=replace(context.record, duties=()))
    topic = sun(unsized)
    assert topic.figures == ()
    assert "no duty point at a site is sized" in topic.answer


def test_a_hotter_day_has_a_greater_worst_load(context):
    def hotter(duty):
        day = duty.climate.at_site.design_day
        day = replace(day, dry_bulb_max_c=day.dry_bulb_max_c + 3)
        return replace(
            duty, climate=replace(duty.climate, at_site=replace(duty.climate.at_site, design_day=day))
        )

    before, after = labels(sun(context)), labels(sun(with_duties(context, hotter)))
    for duty, _ in at_site(context):
        label = f"Greatest load of the day, {duty.name}"
        assert watts(after[label]) > watts(before[label])
