"""A calculation says what it is in six parts, the text that stands beside its figures, and its examples come out."""

import doctest
import importlib
import inspect
from collections.abc import Iterator
from inspect import signature
from types import ModuleType

import pytest

from kits.sizing.words.explain import PARTS, explanation_of

# A module comes in whole, with all of its public functions; none goes out again.
HELD = (
    "vehicles.physics.air",
    "vehicles.physics.clear_sky",
    "vehicles.physics.design_day",
    "vehicles.physics.newton",
    "vehicles.physics.pressure",
    "vehicles.physics.sun",
    "vehicles.physics.sun_position",
    "vehicles.heatload.exchange",
    "vehicles.heatload.films",
    "vehicles.heatload.glass",
    "vehicles.heatload.load",
    "vehicles.heatload.missing",
    "vehicles.heatload.people",
    "vehicles.heatload.prepare",
    "vehicles.heatload.surfaces",
    "vehicles.heatload.sweep",
    "kits.sizing.air.air_batch",
    "kits.sizing.air.air_path",
    "kits.sizing.air.airflow",
    "kits.sizing.air.blower",
    "kits.sizing.air.ducts",
    "kits.sizing.air.parallel_ducts",
    "kits.sizing.air.vent_readings",
    "kits.sizing.cabin.pulldown",
    "kits.sizing.cabin.spot",
    "kits.sizing.electrics.battery",
    "kits.sizing.electrics.electrics",
    "kits.sizing.electrics.idle_speed",
    "kits.sizing.electrics.idle_supply",
    "kits.sizing.gas.charge",
    "kits.sizing.gas.gases",
    "kits.sizing.gas.hoses",
    "kits.sizing.gas.lines",
    "kits.sizing.gas.plateau",
    "kits.sizing.gas.pressure_chain",
    "kits.sizing.gas.readings",
    "kits.sizing.gas.refrigerant",
    "kits.sizing.gas.refrigerant_build",
    "kits.sizing.gas.spline",
    "kits.sizing.gas.valve",
    "kits.sizing.heat.condensation",
    "kits.sizing.heat.effectiveness",
    "kits.sizing.heat.heating",
    "kits.sizing.machine.compressor",
    "kits.sizing.machine.condenser",
    "kits.sizing.machine.evaporator",
    "kits.sizing.machine.freeze_time",
    "kits.sizing.machine.plant_figures",
    "kits.sizing.mechanics.belt",
    "kits.sizing.mechanics.fasteners",
)


def unsaid(module: ModuleType) -> Iterator[str]:
    """The parts that a public function of the module does not say."""
    for name, function in vars(module).items():
        is_own = inspect.unwrap(function).__module__ == module.__name__ if callable(function) else False
        # what takes nothing calculates nothing: it reads a file of data, where each value has its source
        if (
            name.startswith("_")
            or not is_own
            or inspect.isclass(function)
            or not signature(function).parameters
        ):
            continue
        said = explanation_of(function)
        for part in PARTS:
            if not getattr(said, part.lower()):
                yield f"{module.__name__}.{name} lacks “{part}:”"


def test_each_calculation_says_all_six_parts():
    assert [lack for name in HELD for lack in unsaid(importlib.import_module(name))] == []


@pytest.mark.parametrize("name", HELD)
def test_the_examples_come_out(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def half(x):
    """Half of it.

    Formula: x/2
    """
    return x / 2


def test_a_part_that_is_not_said_is_caught():
    module = ModuleType(__name__)
    module.half = half
    assert list(unsaid(module)) == [f"{__name__}.half lacks “{part}:”" for part in PARTS if part != "Formula"]
