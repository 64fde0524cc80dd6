"""Powertrain rows to the heat load's engine temperatures."""

from vehicles.heatload.inputs import EngineTemperatures
from vehicles.physics.origin import best
from vehicles.powertrain import models
from vehicles.records.bridge import origin_of


def engine_temperatures(row: models.Powertrain) -> EngineTemperatures:
    """The best recorded temperature of each place by state; related rows must be prefetched."""
    by_place: dict[tuple[str, str], list[models.EngineTemperature]] = {}
    for t in row.engine_temperatures.all():
        by_place.setdefault((t.engine_state, t.boundary), []).append(t)
    by_state: dict[str, dict[str, float]] = {}
    for (state, boundary), rows in by_place.items():
        ordered = sorted(rows, key=lambda r: r.pk)
        origins = [origin_of(r) for r in ordered]
        winner = best(origins)
        # of equals the row recorded last wins
        last = [r for r, origin in zip(ordered, origins, strict=True) if origin == winner][-1]
        by_state.setdefault(state, {})[boundary] = last.temperature_c
    return EngineTemperatures(row.drive, by_state)
