"""The winter state of a car: what the cabin loses at the winter target, and what warm cabin a matrix holds.

The sun is off, nobody but the driver is on board, the intake is open so that the panes stay clear, and its air
is taken at the outside temperature: the warm scuttle of the summer survey is not counted on.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

import numpy as np

from kits.sizing.case import Case, Duty
from kits.sizing.defaults import default_value
from kits.sizing.heating import (
    MatrixHeat,
    MatrixModel,
    RatedMatrixPoint,
    fit_matrix,
    matrix_conductance_w_k,
    matrix_heat,
)
from kits.sizing.record import DutyAnswer
from vehicles.heatload.defaults import default_value as load_default
from vehicles.heatload.inputs import AirSide, ClimateState, EngineTemperatures, LoadPoint
from vehicles.heatload.load import heating_load_w
from vehicles.heatload.prepare import Prepared, prepare
from vehicles.physics.arrays import FloatArray, IntArray
from vehicles.physics.newton import bracket_batch

STATES = ("cruise", "idle")

PlantData = Mapping[str, tuple[str, Mapping[str, Any], tuple[Mapping[str, float], ...], Decimal]]
"""The technical data of a resolved kit's parts, by kind."""


@dataclass(frozen=True)
class WinterPoint:
    """One state of the engine in winter: air and coolant as they are, and the cabin's side."""

    state: str
    road_speed_km_h: float
    airflow_m3_h: float
    coolant_l_min: float
    coolant_c: float
    load: LoadPoint


@dataclass(frozen=True)
class Winter:
    """Winter points ready for any cabin temperature, with the matrix; arrays have one row a point."""

    points: tuple[WinterPoint, ...]
    prepared: Prepared
    matrix: MatrixModel | None

    def column(self, name: str) -> FloatArray:
        """A number of each point."""
        return np.array([getattr(p, name) for p in self.points], dtype=np.float64)

    def inlet_c(self, cabin_c: FloatArray) -> FloatArray:
        """Air at the matrix, °C: outside and cabin air by share."""
        share = self.prepared.intake_share
        return share * self.prepared.intake_c + (1 - share) * cabin_c

    def each_k_w(self) -> FloatArray:
        """Heat the matrix gives for each kelvin between coolant and inlet; NaN where no coolant is known."""
        if self.matrix is None:
            return np.full(len(self.points), np.nan)
        return matrix_conductance_w_k(self.matrix, self.prepared.coil_air_kg_s, self.column("coolant_l_min"))

    def heat(self, cabin_c: FloatArray) -> MatrixHeat:
        """What the matrix gives at a cabin temperature; the winter state must have one."""
        if self.matrix is None:
            raise ValueError("This winter state has no heater matrix.")
        return matrix_heat(
            self.matrix,
            self.prepared.coil_air_kg_s,
            self.inlet_c(cabin_c),
            self.column("coolant_l_min"),
            self.column("coolant_c"),
        )


def matrix_of(plant: PlantData) -> MatrixModel | None:
    """The heater matrix of a resolved kit; None when it has none with rated points, ValueError when unusable."""
    held = plant.get("heater matrix")
    if held is None or not held[2]:
        return None
    names = ("airflow_m3_h", "coolant_flow_l_min", "air_in_c", "water_in_c", "heat_w")
    return _fitted(tuple(RatedMatrixPoint(*(float(p[name]) for name in names)) for p in held[2]))


@lru_cache(maxsize=64)
def _fitted(points: tuple[RatedMatrixPoint, ...]) -> MatrixModel:
    """One fit serves all fitments with the matrix."""
    return fit_matrix(points)


def winter_climate(duty: Duty) -> ClimateState:
    """The duty point's driving in the winter weather of the defaults."""
    return replace(
        duty.climate,
        outside_c=default_value("winter_outside_c"),
        rh=default_value("winter_humidity_share"),
        beam_normal_w_m2=0.0,
        diffuse_horizontal_w_m2=0.0,
        sun_altitude_deg=0.0,
        heading_deg=0.0,
        occupants=min(1, duty.climate.occupants or 0),
        air_mode="fresh",
        fresh_share=None,
        target_c=default_value("winter_target_c"),
        is_heating=True,
    )


def winter_points(case: Case, answers: Sequence[DutyAnswer]) -> tuple[WinterPoint, ...]:
    """A winter point for each engine state whose air flow was worked out; coolant not known is NaN."""
    flows = {a.code: a.airflow_m3_h for a in answers if a.airflow_m3_h}
    found = []
    for state in STATES:
        duty = next((d for d in case.duties if d.engine_state == state and d.code in flows), None)
        coolant_c, coolant_l_min = case.car.coolant_c.get(state), case.car.coolant_flow_l_min.get(state)
        if duty is None:
            continue
        flow = flows[duty.code]
        cabin = replace(case.car.cabin, intake_rise_k=0.0)
        load = LoadPoint(
            cabin, _in_winter(case.car.engine), winter_climate(duty), AirSide(flow, 0.0, 0.0, 0.0)
        )
        speed = float(duty.climate.road_speed_km_h or 0.0)
        water = [float("nan") if value is None else value for value in (coolant_l_min, coolant_c)]
        found.append(WinterPoint(state, speed, float(flow or 0.0), water[0], water[1], load))
    return tuple(found)


def _in_winter(engine: EngineTemperatures) -> EngineTemperatures:
    """Engine-side temperatures that fall with the outside one; without a note of it they were taken on a hot day."""
    taken_c = engine.outside_c if engine.outside_c is not None else load_default("reference_outside_c")
    return replace(engine, outside_c=taken_c)


def winter(points: Sequence[WinterPoint], matrix: MatrixModel | None) -> Winter:
    """Winter points prepared for their heat load."""
    return Winter(tuple(points), prepare([p.load for p in points]), matrix)


def need_w(state: Winter) -> FloatArray:
    """Heat that the cabin loses at the winter target: what the heater must give.

    Formula: the heat load's terms with the sign turned; fresh air through the intake, no sun, one person
    Parameters: the winter state of the car
    Returns: W, one for each point; NaN where the cabin's data are not complete
    Validity: steady state; blower motor and ducts count nothing
    Source: as the heat load; winter weather and target from the defaults
    Check: it grows as the target rises or the outside falls, and is about 0 with the cabin as cold as outside
    """
    return heating_load_w(state.prepared, state.prepared.target_c)


def held_c(state: Winter) -> FloatArray:
    """The cabin temperature at which the matrix gives just what the cabin loses.

    Formula: root of q·(T_coolant − T_in(T)) − need(T) between the outside air and the coolant
    Parameters: the winter state of the car
    Returns: °C, one for each point; NaN where there is none
    Validity: steady state, within the matrix's validity
    Source: heat balance of the cabin
    Check: heat and need agree there within 1 W
    """
    each_k = state.each_k_w()
    coolant_c = state.column("coolant_c")

    def surplus_w(cabin_c: FloatArray, rows: IntArray) -> FloatArray:
        every = np.array(state.prepared.outside_c)
        every[rows] = cabin_c
        surplus = each_k * (coolant_c - state.inlet_c(every)) - heating_load_w(state.prepared, every)
        found: FloatArray = surplus[rows]
        return found

    rows = np.flatnonzero(np.isfinite(each_k * coolant_c) & state.prepared.is_complete)
    found = np.full(len(state.points), np.nan)
    if rows.size:
        root = bracket_batch(
            lambda x, part: surplus_w(x, rows[part]), state.prepared.outside_c[rows], coolant_c[rows],
            x_tolerance=1e-4, f_tolerance=0.5,
        )  # fmt: skip
        found[rows] = np.where(root.converged, root.x, np.nan)
    return found
