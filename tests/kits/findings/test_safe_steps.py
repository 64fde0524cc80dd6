"""Faults of steps seeded into copies of the demonstration's kits: high voltage, a gas that burns, a heater."""

from dataclasses import replace

import pytest

from kits.bom.compile import compile_kit
from kits.bom.resolve import resolve

SAFETY = ("pattern-", "blank-", "caution-", "drier-", "bag-")


@pytest.fixture
def told(world):
    """What of safety is told of a car's kit once its steps are otherwise: f(kit, car, step, what is done to it)."""

    def found(kit, car, key, change):
        compiled = world.catalogue.kits[kit]
        fitment = next(f for f in world.catalogue.fitments if (f.row.kit.code, f.variant.code) == (kit, car))
        steps = [change(s) if s.key == key else s for s in compiled.spec.steps]
        assert any(s.key == key for s in compiled.spec.steps), key
        spec = replace(compiled.spec, steps=tuple(s for s in steps if s is not None))
        spoilt = compile_kit(spec, compiled.parts)
        known = resolve(
            compiled, fitment.variant, fitment.lengths, fitment.charge, world.catalogue.on
        ).findings
        after = resolve(spoilt, fitment.variant, fitment.lengths, fitment.charge, world.catalogue.on).findings
        return {(f.code, f.where) for f in after if f not in known and f.code.startswith(SAFETY)}

    return found


def without(blank):
    """The step without one of its blanks."""
    return lambda step: replace(step, readings=tuple(r for r in step.readings if r.answers != blank))


def with_(**changes):
    """The step otherwise."""
    return lambda step: replace(step, **changes)


def gone(step):
    """No such step."""
    return


VAN, TRUCK, CAR = ("V30-EV", "SEVL"), ("M220-UNDER", "SLH"), ("S4-WARM", "CP6L")


@pytest.mark.parametrize(
    ("kit", "key", "change", "code", "where"),
    [
        (VAN, "HV-TEST", without("plus-to-frame"), "blank-missing", "step:HV-TEST"),
        (VAN, "HV-TEST", without("meter-until"), "blank-missing", "step:HV-TEST"),
        (VAN, "HV-OFF", without("minus-to-frame"), "blank-missing", "step:HV-OFF"),
        (VAN, "HV-WIRE", without("pole-to-pole"), "blank-missing", "step:HV-WIRE"),
        (VAN, "FOUND-HV", without("inverter-serial"), "blank-missing", "step:FOUND-HV"),
        (VAN, "HV-OFF", gone, "pattern-missing", "pattern:hv-off"),
        (VAN, "RUN-FUNCTIONS", with_(standard_caution="hv-dead"), "caution-untrue", "step:RUN-FUNCTIONS"),
        (
            VAN,
            "WIRE-FANS",
            with_(standard_caution="battery-off-generator"),
            "caution-untrue",
            "step:WIRE-FANS",
        ),
        (VAN, "HV-ON", with_(order=635), "pattern-order", "step:HV-ON"),
        (VAN, "HV-WIRE", with_(order=55), "pattern-order", "step:HV-WIRE"),
        (VAN, "HV-WIRE", with_(hold_point=False), "pattern-no-hold", "step:HV-WIRE"),
        (TRUCK, "LEAK-GAS", gone, "pattern-missing", "pattern:leak-search"),
        (TRUCK, "LEAK-ROAD", gone, "pattern-missing", "pattern:leak-search-road"),
        (TRUCK, "CHARGE", without("certificate"), "blank-missing", "step:CHARGE"),
        (TRUCK, "CHARGED", without("scale-after"), "blank-missing", "step:CHARGED"),
        (TRUCK, "BEFORE-START", without("high-side-shut"), "blank-missing", "step:BEFORE-START"),
        (TRUCK, "BEFORE-START", without("fan-bolts"), "blank-missing", "step:BEFORE-START"),
        (TRUCK, "BEFORE-START", without("coolant"), "blank-missing", "step:BEFORE-START"),
        (TRUCK, "CHARGE-RUN", with_(order=799), "pattern-order", "step:CHARGE-RUN"),
        (TRUCK, "CONNECT-J1", with_(standard_caution="refrigerant"), "caution-untrue", "step:CONNECT-J1"),
        (TRUCK, "DRIER", with_(minutes_min=8), "drier-minutes", "step:DRIER"),
        (TRUCK, "EVACUATE", without("shut"), "blank-missing", "step:EVACUATE"),
        (TRUCK, "RUN", without("humidity"), "blank-missing", "step:RUN"),
        (CAR, "QUIESCENT", gone, "pattern-missing", "pattern:quiescent"),
        (CAR, "UNIT", with_(text="Hang {position:110} on {position:111}."), "bag-never", "step:UNIT"),
    ],
)
def test_a_fault_that_could_hurt_is_found_in_a_copy_of_the_kit(told, kit, key, change, code, where):
    found = told(*kit, key, change)
    assert (code, where) in found, found


@pytest.mark.parametrize(("kit", "key"), [(VAN, "HV-TEST"), (TRUCK, "CHARGE"), (CAR, "UNIT")])
def test_a_copy_without_a_fault_tells_nothing_more(told, kit, key):
    assert told(*kit, key, lambda step: replace(step)) == set()
