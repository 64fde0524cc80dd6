"""Every number of every fitment lies where a practitioner expects it, or carries a written reason."""

from collections import Counter

import pytest

from kits.fitment.bridge import case_of
from tests.kits.bands.band_facts import body_words, facts
from tests.kits.bands.bands import bands, bodies, holding, is_outside, reasons, sentence


@pytest.fixture(scope="module")
def judged(world):
    """Fitment -> its facts."""
    found = {}
    for key, fitment in world.fitments.items():
        case, _ = case_of(fitment, world.kits[key])
        if case is None:
            continue
        body = body_words(bodies(), fitment.variant.line, fitment.variant.options)
        assert body, f"{key}: the file of reasons does not say what body this is"
        parts = world.catalogue.kits[key[0]].parts
        found["/".join(key)] = list(facts(case, world.kits[key], world.records[key], parts, body))
    return found


@pytest.fixture(scope="module")
def outside(judged):
    """(fitment, duty point, quantity, thing) -> what lies outside, in words."""
    return {
        (fitment, fact.duty, fact.quantity, fact.thing): sentence(fitment, fact, bands())
        for fitment, found in judged.items()
        for fact in found
        if is_outside(fact, bands())
    }


@pytest.fixture(scope="module")
def explained():
    """What has a written reason, each with how often."""
    return Counter(
        (fitment, duty, reason.quantity, thing)
        for reason in reasons()
        for fitment in reason.fitments
        for duty in reason.duty_points
        for thing in reason.things
    )


def test_what_lies_outside_its_band_carries_a_written_reason(outside, explained):
    assert [text for place, text in outside.items() if place not in explained] == []


def test_no_reason_is_written_for_what_lies_inside(outside, explained):
    assert [place for place in explained if place not in outside] == []


def test_one_number_has_one_reason(explained):
    assert [place for place, count in explained.items() if count > 1] == []


def test_every_fitment_is_judged_at_every_duty_point_that_was_solved(world, judged):
    for key, record in world.records.items():
        solved = {d.code for d in record.duties if d.load_w is not None and not d.is_heating}
        if "/".join(key) in judged:
            assert {fact.duty for fact in judged["/".join(key)]} - {""} == solved


def test_each_quantity_of_the_bands_is_found_in_some_fitment(judged):
    found = {
        fact.quantity for facts_of_one in judged.values() for fact in facts_of_one if holding(fact, bands())
    }
    assert {band.quantity for band in bands()} - found == set()
