"""The general cautions: all that hurts is covered, and each is left out only where it is known not to apply."""

from datetime import date
from decimal import Decimal

import pytest

from kits.bom.resolved import PlantPart
from kits.documents.cautions import GENERAL, Facts, cautions_of, facts_of
from kits.documents.source import CarFacts
from tests.kits.documents.sample import sound, sound_kit, step


def of_car(car=None, **changes):
    """The source of the sample in a car of which this is known."""
    more = {"car": car} if car else {}
    return sound(sound_kit(**changes), **more)


def said(source):
    """The cautions in one text."""
    return " ".join(cautions_of(source)).lower()


def compressor(**data):
    """A plant with a compressor of these technical data."""
    return {"compressor": PlantPart("KW-200", data, (), Decimal(1))}


def test_the_cautions_cover_what_hurts():
    whole = " ".join(caution.sentence for caution in GENERAL).lower()
    for word in (
        "pressure", "skin", "breathe", "burn", "recover", "licence", "nitrogen", "oxygen", "vacuum", "hot",
        "battery", "airbag", "belts", "fans", "high voltage", "ester", "estimates", "law", "makers",
    ):  # fmt: skip
        assert word in whole, word


def test_where_nothing_is_known_all_are_printed():
    assert all(caution.concerns(Facts()) for caution in GENERAL)
    assert {name for caution in GENERAL for name in caution.needs} == set(vars(Facts()))


@pytest.mark.parametrize("name", vars(Facts()))
def test_a_caution_is_left_out_where_what_it_needs_is_known_not_to_be_so(name):
    left = [c for c in GENERAL if c.concerns(Facts(**{name: False}))]
    assert [c for c in GENERAL if c not in left] == [c for c in GENERAL if name in c.needs] != []


def test_an_old_car_has_no_airbags_and_one_that_may_be_young_may_have_them():
    for built_until, is_told in ((date(1979, 12, 31), False), (date(1980, 1, 1), True), (None, True)):
        assert ("airbags" in said(of_car(CarFacts(built_until=built_until)))) is is_told, built_until


def test_an_electric_car_has_no_engine_and_no_belts():
    assert "belts" not in said(of_car(CarFacts(has_engine=False, high_voltage_v=345.0)))
    assert "fans" in said(of_car(CarFacts(has_engine=False, high_voltage_v=345.0)))
    assert "belts" in said(of_car(CarFacts(has_engine=True)))


@pytest.mark.parametrize(
    ("car", "plant", "known"),
    [
        (CarFacts(has_engine=True), compressor(), False),
        (CarFacts(has_engine=True, high_voltage_v=48.0), compressor(), False),
        (CarFacts(has_engine=True, high_voltage_v=345.0), compressor(), True),
        (CarFacts(has_engine=False), compressor(), None),
        (CarFacts(has_engine=False, high_voltage_v=345.0), compressor(electric=True), True),
        (CarFacts(has_engine=True), compressor(electric=True, supply_voltage_v=345.0), True),
        (CarFacts(has_engine=True), compressor(electric=True, supply_voltage_v=12.0), False),
        (CarFacts(has_engine=True), compressor(electric=True), None),
        (CarFacts(has_engine=True), {}, None),
        (CarFacts(), compressor(), None),
    ],
)
def test_high_voltage_is_that_of_the_drive_or_of_the_compressor(car, plant, known):
    source = of_car(car, plant=plant)
    assert facts_of(source).has_high_voltage is known
    assert ("high voltage" in said(source)) is (known is not False)


def test_a_kit_that_heats_only_has_none_of_refrigerant_whatever_drives_the_car():
    heater = {"settings": {"refrigerant": ""}}
    assert facts_of(of_car(CarFacts(has_engine=True), **heater)).has_high_voltage is False
    electric = said(of_car(CarFacts(has_engine=False, high_voltage_v=345.0), **heater))
    assert "high voltage" in electric
    assert not [word for word in ("refrigerant", "ester", "nitrogen", "gas") if word in electric]


def test_a_gas_burns_by_its_safety_class():
    assert [
        "the gas burns" in said(of_car(settings={"refrigerant": gas}))
        for gas in ("R-1234yf", "R-134a", "R-999")
    ] == [True, False, True]


def test_the_battery_is_taken_off_where_there_is_wiring():
    bare = {"wires": (), "steps": ()}
    assert "battery" in said(of_car())
    assert "battery" not in said(of_car(**bare))
    assert "battery" in said(of_car(**{**bare, "steps": (step(1, "wire", "Wire it."),)}))
