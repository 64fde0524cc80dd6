"""What the generator makes: as much as it says, the same each time, and of plausible spread."""

from collections import Counter

import pytest
from django.apps import apps
from django.db import transaction

from kits.fitment.models import Fitment
from kits.parts.models import Part
from tests.generator.catalogue import SMALL, make_catalogue
from vehicles.catalogue.models import Variant

pytestmark = pytest.mark.django_db


def own_fields(model) -> list[str]:
    """Fields that hold values: no keys, which a database gives as it likes, and no clock."""
    return [
        field.name
        for field in model._meta.concrete_fields
        if not (field.is_relation or field.primary_key or field.name in ("recorded_at", "changed_at"))
    ]


def written(seed: int) -> dict[str, Counter[str]]:
    """Every row of a small catalogue by table, in words."""
    models = [m for app in ("vehicles", "kits") for m in apps.get_app_config(app).get_models()]
    with transaction.atomic():
        make_catalogue(SMALL, seed)
        found = {
            model._meta.label: Counter(
                map(str, model._default_manager.order_by().values_list(*own_fields(model)))
            )
            for model in models
            if own_fields(model) and model._default_manager.exists()
        }
        transaction.set_rollback(True)
    return found


def test_a_seed_makes_the_same_rows_and_another_seed_makes_others():
    first = written(1)
    assert first == written(1)
    other = written(2)
    for label in ("kits.SizedFitment", "vehicles.Variant", "kits.RouteLength"):
        assert first[label] != other[label], label


def test_the_small_size_is_as_large_as_it_says(small_size):
    assert Variant.objects.count() == SMALL.variants
    assert Part.objects.count() == SMALL.parts
    # each kit is offered for three of four lines of 15 variants
    assert Fitment.objects.count() == SMALL.kits * 3 * 15
