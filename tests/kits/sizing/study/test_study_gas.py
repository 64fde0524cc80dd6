"""Gases side by side: the kit's own is the sizing's own answer; nothing but the gas is changed."""

from dataclasses import replace

import pytest

from kits.sizing.study.study_gas import CHANGES_WITH_IT, GASES, compare_gases, with_gas
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of

VAN: Key = ("V30-BELT", "V30", "S18L")


@pytest.fixture(scope="module")
def compared(world: World):
    return {one.gas: one for one in compare_gases(context_of(world, VAN).case)}


def at(study, code):
    return next(duty for duty in study.duties if duty.code == code)


def test_the_own_gas_gives_the_sizings_own_answer(world: World, compared):
    own = [one for one in compared.values() if one.is_own]
    assert [one.gas for one in own] == ["R-134a"]
    record = world.records[VAN]
    required = [duty for duty in record.duties if duty.required]
    assert [d.code for d in own[0].duties] == [d.code for d in required]
    for stored in required:
        assert at(own[0], stored.code).capacity_w == pytest.approx(stored.capacity_w, rel=1e-5)
        assert at(own[0], stored.code).verdict == stored.verdict


def test_nothing_but_the_gas_is_changed(world: World):
    case = context_of(world, VAN).case
    other = with_gas(case, "R-152a")
    assert replace(other, unit=replace(other.plant, refrigerant=case.plant.refrigerant)) == case
    with pytest.raises(ValueError, match="not studied"):
        with_gas(case, "R-12")


def test_the_gases_differ_as_their_properties_say(compared):
    # common knowledge of the gases, from memory: R-1234yf leaves the compressor cooler than R-134a, R-152a hotter;
    # R-152a has the lowest pressures of the three; R-1234yf gives a little less at the same displacement
    idle = {gas: at(compared[gas], "idle-35") for gas in GASES}
    assert idle["R-1234yf"].discharge_c < idle["R-134a"].discharge_c - 8
    assert idle["R-152a"].discharge_c > idle["R-134a"].discharge_c + 8
    assert idle["R-152a"].high_side_bar_g < idle["R-134a"].high_side_bar_g - 1
    assert 0.9 < idle["R-1234yf"].capacity_w / idle["R-134a"].capacity_w < 1


def test_a_gas_that_burns_readily_is_refused_in_the_cabins_air(compared):
    assert compared["R-134a"].refused == compared["R-134a"].burns == ""
    assert compared["R-1234yf"].refused == ""
    assert "refused as a kit" in compared["R-152a"].refused


def test_what_is_known_of_burning_is_told_with_the_cabins_volume(world: World, compared):
    volume_m3 = context_of(world, VAN).case.car.cabin.volume_m3
    # a quarter of the limit times the volume; limits 0.289 and 0.130 kg/m³, from memory
    for gas, limit in (("R-1234yf", 0.289), ("R-152a", 0.130)):
        assert f"{0.25 * limit * volume_m3 * 1000:.0f} g makes 25 % of that" in compared[gas].burns
        assert f"{limit:.3f} kg/m³" in compared[gas].burns


def test_the_study_says_that_a_gas_is_no_change_made_alone():
    assert CHANGES_WITH_IT.startswith("A study.")
    for word in ("valve", "oil", "ports", "hoses", "approval"):
        assert word in CHANGES_WITH_IT
