"""Rows become the values a kit is resolved from, whole, in a number of queries that does not grow."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kits.bom.bridge import kit_rows, kit_specs, load_kits, load_parts
from kits.bom.models import Circuit, CircuitTerm, HarnessBranch, HoseRun, Kit, KitOffer, Route
from kits.bom.step_models import KitStep, ReadingSpec, StepOriginal
from kits.parts.models import Part, Supersession
from kits.parts.works_models import ControllerData
from vehicles.catalogue.models import ExcludedCombination, LineOption, ModelLine, Option, Variant

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demonstration")]
KIT = "S4-DASH"


def test_a_hose_run_knows_the_tightest_bend_of_its_route():
    run = HoseRun.objects.filter(position__kit__code=KIT).select_related("position").first()
    Route.objects.filter(pk=run.route_id).update(tightest_bend_mm=71.0)
    position = next(p for p in load_kits([KIT])[KIT].positions if p.number == run.position.number)
    assert next(h for h in position.hose_runs if h.number == run.number).tightest_bend_mm == 71.0


def test_a_circuit_has_terms_diode_and_branch():
    circuit = Circuit.objects.filter(position__kit__code=KIT).select_related("position").first()
    route = Route.objects.first()
    branch = HarnessBranch.objects.create(position=circuit.position, number=77, route=route, covering="braid")
    Circuit.objects.filter(pk=circuit.pk).update(diode_band="to", branch=branch)
    CircuitTerm.objects.filter(circuit=circuit).delete()
    option = Option.objects.get(feature__code="steering", code="left")
    CircuitTerm.objects.create(circuit=circuit, option=option)
    position = next(p for p in load_kits([KIT])[KIT].positions if p.number == circuit.position.number)
    made = next(c for c in position.circuits if c.number == circuit.number)
    assert (made.diode_band, made.branch, made.terms.text()) == ("to", 77, "steering left")
    assert (77, route.code, "braid") in [(b.number, b.route, b.covering) for b in position.branches]


def test_a_step_has_its_originals_and_numbered_readings():
    reading = ReadingSpec.objects.filter(step__kit__code=KIT).select_related("step").first()
    StepOriginal.objects.filter(step=reading.step).delete()
    StepOriginal.objects.create(step=reading.step, number=4, name="Horn", fate="removed")
    step = next(s for s in load_kits([KIT])[KIT].steps if s.key == reading.step.key)
    assert [(o.number, o.name, o.fate) for o in step.originals] == [(4, "Horn", "removed")]
    assert reading.number in {r.number for r in step.readings}


def test_a_part_knows_what_takes_its_place():
    old, new = Part.objects.order_by("number")[:2]
    Supersession.objects.filter(old=old).delete()
    Supersession.objects.create(old=old, new=new, in_force_from=date(2026, 1, 1), both_ways=True)
    (made,) = load_parts()[old.number].superseded
    assert (made.new, made.start, made.both_ways) == (new.number, date(2026, 1, 1), True)


def test_a_controller_knows_its_software_by_number():
    controller = Part.objects.filter(kind="controller", revisions__isnull=False).first()
    software = Part.objects.create(number="SW-1", name="Program", kind="software")
    revision = controller.revisions.first()
    ControllerData.objects.update_or_create(revision=revision, defaults={"software": software})
    made = next(r for r in load_parts()[controller.number].revisions if r.revision == revision.revision)
    assert made.data["software"] == "SW-1"


def test_each_line_offered_is_a_universe_of_its_own():
    kit = Kit.objects.get(code=KIT)
    offer = kit.offers.select_related("line").first()
    other = ModelLine.objects.create(code="OTHER", name="Other line")
    left = Option.objects.get(feature__code="steering", code="left")
    LineOption.objects.create(line=other, option=left)
    KitOffer.objects.create(kit=kit, line=other, market=offer.market, duty_set=offer.duty_set)
    lines = {line.code: line for line in load_kits([KIT])[KIT].lines}
    assert set(lines) == {offer.line.code, "OTHER"}
    assert lines["OTHER"].features == {"steering": ("left",)}
    assert lines["OTHER"].excluded == ()
    assert (
        len(lines[offer.line.code].excluded)
        == ExcludedCombination.objects.filter(line=offer.line).count()
        > 0
    )


def test_the_cars_a_kit_is_made_for_come_when_asked():
    line = Kit.objects.get(code=KIT).offers.first().line
    (plain,) = load_kits([KIT])[KIT].lines
    (asked,) = kit_specs(kit_rows().filter(code=KIT), with_built=True)[KIT].lines
    assert plain.built == ()
    cars = Variant.objects.filter(line=line, fitments__kit__code=KIT)
    assert {car.code for car in asked.built} == set(cars.values_list("code", flat=True))
    assert all(set(car.options) == set(asked.features) for car in asked.built)


def test_more_steps_and_kits_ask_no_more_queries():
    with CaptureQueriesContext(connection) as one:
        load_kits([KIT])
    step = KitStep.objects.filter(kit__code=KIT).first()
    for number in range(5):
        KitStep.objects.create(
            kit=step.kit, key=f"MORE-{number}", step_order=1, zone="car", kind="test", text="X"
        )
    with CaptureQueriesContext(connection) as more:
        load_kits()
    assert len(more) == len(one)
