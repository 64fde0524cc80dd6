"""Powertrain rows to the heat load's engine temperatures."""

from vehicles.heatload.inputs import EngineTemperatures
from vehicles.powertrain import models
from vehicles.records.bridge import winning


def engine_temperatures(row: models.Powertrain) -> EngineTemperatures:
    """The best recorded temperature of each place by state; related rows must be prefetched."""
    by_place: dict[tuple[str, str], list[models.EngineTemperature]] = {}
    for t in row.engine_temperatures.all():
        by_place.setdefault((t.engine_state, t.boundary), []).append(t)
    by_state: dict[str, dict[str, float]] = {}
    for (state, boundary), rows in by_place.items():
        by_state.setdefault(state, {})[boundary] = winning(rows).temperature_c
    return EngineTemperatures(row.drive, by_state)
