"""The demonstration as plain values, loaded once through the importer and rolled back."""

from datetime import date

import pytest
from django.db import transaction

from kits.exchange.actions import import_demonstration
from kits.fitment.bridge import case_of, load_catalogue
from kits.sizing.plant import plant_of

ON = date(2026, 11, 25)


@pytest.fixture(scope="session")
def catalogue(django_db_setup, django_db_blocker):
    """All fitments of the demonstration."""
    with django_db_blocker.unblock(), transaction.atomic():
        import_demonstration()
        loaded = load_catalogue(None, ON)
        transaction.set_rollback(True)
    return loaded


@pytest.fixture(scope="session")
def kits(catalogue):
    """The resolved kit of each variant, by variant code."""
    return {f.variant.code: catalogue.resolve(f) for f in catalogue.fitments}


@pytest.fixture(scope="session")
def cases(catalogue, kits):
    """The case of each variant that has a plant."""
    found = {}
    for fitment in catalogue.fitments:
        plant, _ = plant_of(kits[fitment.variant.code])
        if plant is not None:
            found[fitment.variant.code] = case_of(fitment, plant)
    return found
