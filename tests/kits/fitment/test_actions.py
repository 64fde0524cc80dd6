"""Lengths and charges are added, never edited; who may, what a stale form gets, and what is sized again."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from kits.exchange.actions import DEMONSTRATIONS, import_demonstration
from kits.fitment.actions import record_charge, record_route_length, size_all
from kits.fitment.bridge import load_catalogue
from kits.fitment.models import CatalogueStamp, Fitment, RouteLength, SizedFitment
from tests.kits.fitment.conftest import ON
from vehicles.records.actions import Stale

pytestmark = pytest.mark.django_db


@pytest.fixture
def fitment():
    import_demonstration(books=DEMONSTRATIONS[:1])
    return Fitment.objects.get(variant__code="CP12L")


def route_of(fitment):
    return fitment.route_lengths.first().route.code


def measure(actor, fitment, **changes):
    values = {
        "actor": actor,
        "fitment_id": fitment.pk,
        "route_code": route_of(fitment),
        "length_mm": 1500.0,
        "cars_count": 2,
        "spread_mm": 12.0,
        "instrument": "dummy hose",
        "origin_kind": "measured",
        "origin_source": "bench car",
        "on": ON,
        "expected_version": fitment.version,
    }
    return record_route_length(**(values | changes))


def hose(fitment, route):
    catalogue = load_catalogue([(fitment.kit.code, fitment.variant.line.code, fitment.variant.code)], ON)
    return next(h for h in catalogue.resolve(catalogue.fitments[0]).hoses if h.route == route)


def test_a_new_length_changes_the_cut_and_keeps_the_old_row(manager, fitment):
    route = route_of(fitment)
    before, count = (
        hose(fitment, route),
        RouteLength.objects.filter(fitment=fitment, route__code=route).count(),
    )
    measure(manager, fitment)
    after = hose(fitment, route)
    assert after.routed_mm == 1500
    assert after.cut_mm != before.cut_mm
    assert RouteLength.objects.filter(fitment=fitment, route__code=route).count() == count + 1


def test_the_change_is_sized_and_stands_in_the_history_with_its_reason(manager, fitment):
    measure(manager, fitment)
    stored = SizedFitment.objects.get(fitment=fitment)
    assert stored.catalogue_stamp == CatalogueStamp.objects.get(pk=1).value
    newest = fitment.history.first()
    assert newest.history_user == manager
    assert "1500 mm" in newest.history_change_reason


def test_a_stale_form_writes_nothing(manager, fitment):
    measure(manager, fitment)
    count = RouteLength.objects.count()
    with pytest.raises(Stale, match="changed in the meantime"):
        measure(manager, fitment, length_mm=1600.0)
    assert RouteLength.objects.count() == count


@pytest.mark.parametrize("role", ["production", "installer", "owner", "stranger"])
def test_only_a_manager_records(request, role, fitment):
    person = request.getfixturevalue(role)
    with pytest.raises(PermissionDenied):
        measure(person, fitment)
    with pytest.raises(PermissionDenied):
        size_all(actor=person, on=ON, now=timezone.now())


@pytest.mark.parametrize("length_mm", [0.0, -3.0, float("nan"), float("inf")])
def test_a_length_that_is_none_is_refused_and_nothing_is_written(manager, fitment, length_mm):
    count = RouteLength.objects.count()
    with pytest.raises((ValidationError, ValueError)):
        measure(manager, fitment, length_mm=length_mm)
    assert RouteLength.objects.count() == count
    fitment.refresh_from_db()
    assert fitment.version == 1


def test_a_weighed_charge_wins_over_an_estimate_whenever_it_was_entered(manager, fitment):
    for kind, grams in (("weighed", 640.0), ("estimate", 600.0)):
        fitment.refresh_from_db()
        record_charge(
            actor=manager,
            fitment_id=fitment.pk,
            charge_g=grams,
            tolerance_g=25.0,
            origin_kind=kind,
            origin_source="scale",
            on=ON,
            expected_version=fitment.version,
        )
    catalogue = load_catalogue([(fitment.kit.code, fitment.variant.line.code, fitment.variant.code)], ON)
    assert catalogue.resolve(catalogue.fitments[0]).charge.charge_g == 640
