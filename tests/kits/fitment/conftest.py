"""The first line of the demonstration as plain values, from the load that all tests share."""

from dataclasses import replace

import pytest

from kits.fitment.bridge import case_of
from tests.kits.exchange.demonstration.world import ON

__all__ = ["ON"]
LINE = "S4"


@pytest.fixture(scope="session")
def catalogue(world):
    """The fitments of the line."""
    whole = world.catalogue
    return replace(whole, fitments=tuple(f for f in whole.fitments if f.variant.line == LINE))


@pytest.fixture(scope="session")
def kits(world):
    """The resolved kit of each variant, by variant code."""
    return {key[2]: world.kits[key] for key in world.of_line(LINE)}


@pytest.fixture(scope="session")
def records(world):
    """The sizing record of each variant, by variant code."""
    return {key[2]: world.records[key] for key in world.of_line(LINE)}


@pytest.fixture(scope="session")
def cases(catalogue, kits):
    """The case of each variant that has a plant."""
    found = {}
    for fitment in catalogue.fitments:
        case, _ = case_of(fitment, kits[fitment.variant.code])
        if case is not None:
            found[fitment.variant.code] = case
    return found
