"""Every number in the database says its unit by its name, or is on the list of numbers without one."""

import re
from collections.abc import Iterable, Iterator

import pytest
from django.apps import apps
from django.db import models

from tests.architecture.tree import APPS, app_modules, templates
from vehicles.physics.quantities import QUANTITIES, is_dimensionless, quantity_of

# Numbers that are no quantities, and why.
NO_QUANTITIES = {
    "kits.ReadingSpec.low": "its unit is that of the reading's own quantity",
    "kits.ReadingSpec.high": "its unit is that of the reading's own quantity",
    "kits.CatalogueStamp.value": "counts changes",
    "kits.SizedFitment.schema": "counts shapes of the record",
    "kits.SizedFitment.method": "counts changes of the calculation",
    **{
        f"kits.{model}.oil_grade": "a class of ISO 3448, no measured viscosity"
        for model in ("Kit", "CompressorData", "OilData")
    },
    "vehicles.Act.sequence": "counts the acts of a device",
    "kits.File.size_bytes": "bytes of a file, no quantity of a car",
}
NUMBERS = (models.IntegerField, models.FloatField, models.DecimalField)


def numbers(found: Iterable[type[models.Model]]) -> Iterator[tuple[str, str]]:
    """Model and name of each number field; keys are not numbers."""
    for model in found:
        for field in model._meta.get_fields():
            if (
                isinstance(field, NUMBERS)
                and not isinstance(field, models.AutoField)
                and not field.primary_key
            ):
                yield model._meta.label, field.name


def says_its_unit(name: str) -> bool:
    """Whether a name ends in a unit or in a word for a number without one."""
    return quantity_of(name) is not None or is_dimensionless(name)


def our_models() -> list[type[models.Model]]:
    """The models of both apps."""
    return [model for app in APPS for model in apps.get_app_config(app).get_models()]


def test_every_number_says_its_unit():
    unsaid = {f"{label}.{name}" for label, name in numbers(our_models()) if not says_its_unit(name)}
    assert sorted(unsaid - set(NO_QUANTITIES)) == []
    assert sorted(set(NO_QUANTITIES) - unsaid) == [], "an exception that is not needed"


def test_there_are_numbers_to_look_at():
    assert len(list(numbers(our_models()))) > 50


@pytest.mark.parametrize("name", ["length", "charge", "glass_area", "hose_length_inch", "speed"])
def test_a_number_without_a_unit_is_caught(name):
    assert not says_its_unit(name)


@pytest.mark.parametrize(
    "name", ["glass_area_m2", "charge_g", "capacity_w", "dew_point_c", "solar_absorptance"]
)
def test_a_number_with_its_unit_passes(name):
    assert says_its_unit(name)


def not_by_key(text: str) -> list[str]:
    """What a text hands to `shown`, `bare` and `in_unit` as it stands there and is no unit's key."""
    keys = {quantity.key for quantity in QUANTITIES}
    asked = re.findall(r"(?:\|(?:shown|bare):|in_unit\()[\"'](\w+)[\"']", text)
    return [word for word in asked if word not in keys]


def test_a_unit_is_asked_by_its_key():
    asked = {module.path: not_by_key(module.text) for module in app_modules()}
    asked |= {str(path): not_by_key(path.read_text(encoding="utf-8")) for path in templates()}
    assert {path: words for path, words in asked.items() if words} == {}


def test_a_unit_asked_by_an_invented_name_is_caught():
    assert not_by_key('{{ x|shown:"charge_g" }} {{ x|bare:"m3_h" }} in_unit(\'_a\', x)') == ["charge_g", "_a"]
