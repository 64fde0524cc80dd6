"""Lengths and charges are added, never edited, and the fitment is sized again."""

import pytest

from kits.editing.actions import record
from kits.editing.changes import RowEdit
from kits.fitment.actions import ask_to_size
from kits.fitment.bridge import case_of, load_catalogue
from kits.fitment.calculations.queries import topic_told
from kits.fitment.models import AirTrial, CatalogueStamp, Fitment, RouteLength, SizedFitment
from tests.kits.fitment.conftest import ON

pytestmark = pytest.mark.django_db


@pytest.fixture
def fitment(demonstration):
    return Fitment.objects.get(variant__code="CP12L")


def route_of(fitment):
    return fitment.route_lengths.first().route.code


def recorded(actor, sheet, **values):
    row = {
        "kit": "S4-DASH",
        "variant": "CP12L",
        "origin_kind": "measured",
        "origin_source": "bench car",
        "origin_on": ON,
        **values,
    }
    edits = [RowEdit("add", sheet, values=row)]
    return record(actor=actor, fitment=("S4-DASH", "S4", "CP12L"), edits=edits, reason="x", on=ON)


def measure(actor, fitment):
    return recorded(actor, "Lengths", route=route_of(fitment), length_mm=1500.0, cars_count=2, spread_mm=12.0)


def tried(actor, **changes):
    values = {"airflow_m3_h": 340.0, "blower_static_pa": 285.0, "motor_voltage_v": 13.4, "air_c": 22.0}
    return recorded(actor, "Air trials", **(values | changes))


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


def test_the_change_is_sized(manager, fitment):
    measure(manager, fitment)
    stored = SizedFitment.objects.get(fitment=fitment)
    assert stored.catalogue_stamp == CatalogueStamp.objects.get(pk=1).value


def test_a_trial_of_the_air_side_calibrates_the_stored_answer(manager, fitment):
    tried(manager)
    stored = SizedFitment.objects.get(fitment=fitment)
    topic = topic_told("S4-DASH", "S4", "CP12L", ON, "air")
    assert "Calibrated by a trial: measured, bench car" in topic.answer
    assert any("calibrated by a trial" in words for words in stored.record["assumed"])
    assert stored.catalogue_stamp == CatalogueStamp.objects.get(pk=1).value
    # the reserve follows the mark that a whole trial sets, not the air side alone
    assert stored.basis == "estimated"


def test_a_mark_of_calibration_counts_once_a_trial_stands_behind_it(manager, fitment):
    Fitment.objects.filter(pk=fitment.pk).update(calibrated=True)
    ask_to_size(actor=manager, on=ON, fitment=("S4-DASH", "S4", "CP12L"))
    assert SizedFitment.objects.get(fitment=fitment).basis == "estimated"
    tried(manager)
    assert SizedFitment.objects.get(fitment=fitment).basis == "calibrated"


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"airflow_m3_h": 900.0}, "outside the blower's curve"),
        ({"motor_voltage_v": 5.0}, "outside the blower's curve"),
    ],
)
def test_a_trial_that_the_blower_contradicts_is_refused_and_nothing_is_written(
    manager, fitment, changes, sentence
):
    (problem,) = tried(manager, **changes).problems
    assert sentence in problem.sentence
    assert not AirTrial.objects.filter(fitment=fitment).exists()


def test_of_two_trials_the_measured_one_counts_whenever_it_was_entered(manager, fitment):
    for kind, flow in (("measured", 340.0), ("estimate", 300.0)):
        tried(manager, origin_kind=kind, airflow_m3_h=flow)
    catalogue = load_catalogue([(fitment.kit.code, fitment.variant.line.code, fitment.variant.code)], ON)
    entry = catalogue.fitments[0]
    case, _ = case_of(entry, catalogue.resolve(entry))
    assert case.mounting.air_trial.airflow_m3_h == 340
