"""What an installation involves is told by the kit's parts and the car's drive."""

from decimal import Decimal
from types import SimpleNamespace

import pytest

from kits.bom.involved import CONDITIONS, compressor_volts, involved
from kits.bom.resolved import PlantPart

CIRCUIT = [SimpleNamespace(family="refrigerant")]
WIRES = [SimpleNamespace(number=1)]


def compressor(**data):
    """A plant with a compressor of these technical data."""
    return {"compressor": PlantPart("C", data, (), Decimal(1))}


def of(plant=None, gas="R-134a", joints=CIRCUIT, wires=(), driers=(), drive="", **settings):
    plants = {} if plant is None else compressor(**plant)
    return involved({"refrigerant": gas, **settings}, plants, joints, wires, driers, drive)


@pytest.mark.parametrize(
    ("found", "met"),
    [
        (of(), {"refrigerant"}),
        (of(gas=""), set()),
        (of(joints=[]), set()),
        (of(gas="R-1234yf"), {"refrigerant", "burning gas"}),
        (of({"electric": False}), {"refrigerant", "belt"}),
        (
            of({"electric": True, "supply_voltage_v": 345}),
            {"refrigerant", "electric compressor", "high voltage"},
        ),
        (of({"electric": True, "supply_voltage_v": 24}), {"refrigerant", "electric compressor"}),
        (of(driers=[3]), {"refrigerant", "drier"}),
        (of(gas="", joints=[SimpleNamespace(family="water")], wires=WIRES), {"water", "wiring"}),
        (of(freeze_mode="cycling"), {"refrigerant", "cycling"}),
        (of(gas="", drive="combustion"), {"engine"}),
        (of(gas="", drive="electric"), {"electric drive"}),
    ],
)
def test_each_condition_follows_from_what_is_there(found, met):
    assert found == met
    assert found <= CONDITIONS


@pytest.mark.parametrize(("volts", "told"), [(345, 345), (60, None), (None, None)])
def test_high_voltage_is_what_is_above_sixty_volts(volts, told):
    assert compressor_volts(compressor(electric=True, supply_voltage_v=volts)) == told
    assert compressor_volts(compressor(electric=False, supply_voltage_v=volts)) is None
    assert compressor_volts({}) is None
