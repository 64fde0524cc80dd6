"""Every row that holds a physical value says where it comes from, itself or by what it belongs to."""

from collections.abc import Iterator

import pytest
from django.apps import apps
from django.db import models

from kits.exchange.sheets.bridge import BY_NAME, SHEETS, model_of
from tests.architecture.test_units import our_models
from vehicles.physics.quantities import quantity_of
from vehicles.records.models import WithOrigin

# Rows with a quantity and no origin, and why.
NO_PROPERTIES = {
    "kits.SupplierPart": "what a supplier promises; the row names the supplier",
    "vehicles.Variant": "the reference mass of its papers",
}


def physical(model: type[models.Model]) -> list[str]:
    """The fields that hold a quantity with a unit."""
    numbers = (models.FloatField, models.DecimalField, models.PositiveSmallIntegerField)
    return [f.name for f in model._meta.concrete_fields if isinstance(f, numbers) and quantity_of(f.name)]


def has_origin(model: type[models.Model]) -> bool:
    """Whether the row has an origin, or the row it belongs to (a port to its part's revision)."""
    if issubclass(model, WithOrigin):
        return True
    sheet = next((sheet for sheet in SHEETS if model_of(sheet) is model), None)
    parent = sheet.parent if sheet else None
    return (
        parent is not None and issubclass(model_of(BY_NAME[parent.sheet]), WithOrigin) and bool(sheet.key[1:])
    )


def without_origin() -> Iterator[str]:
    """The models with a quantity and no origin."""
    for model in our_models():
        if physical(model) and not has_origin(model):
            yield model._meta.label


def test_every_physical_row_has_an_origin():
    found = set(without_origin())
    assert sorted(found - set(NO_PROPERTIES)) == []
    assert sorted(set(NO_PROPERTIES) - found) == [], "an exception that is not needed"


@pytest.mark.parametrize(
    "label", ["vehicles.Surface", "kits.CompressorPoint", "kits.Circuit", "kits.Port", "kits.HoseRun"]
)
def test_rows_that_hold_values_are_looked_at(label):
    model = apps.get_model(label)
    assert physical(model) and has_origin(model)


def test_every_origin_can_be_typed():
    origins = {
        "origin_kind",
        "origin_source",
        "origin_by",
        "origin_on",
        "origin_instrument",
        "origin_uncertainty",
    }
    for sheet in SHEETS:
        if issubclass(model_of(sheet), WithOrigin):
            assert origins <= set(sheet.by_field), sheet.name
