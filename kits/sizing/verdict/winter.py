"""The winter state of a car: what the cabin loses at the winter target, and what warm cabin a matrix holds.

A winter duty point states its weather, people and air. Where none is asked, the weather is that of the defaults: the
sun is off, nobody but the driver is on board, and the intake is open so that the panes stay clear. The intake's air is
taken at the outside temperature: the warm scuttle of the summer survey is not counted on.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kits.sizing.case.case import Case, Duty
from kits.sizing.heat.heating import MatrixHeat, MatrixModel, matrix_conductance_w_k, matrix_heat
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value
from vehicles.heatload.defaults import default_value as load_default
from vehicles.heatload.inputs import AirSide, ClimateState, EngineTemperatures, LoadPoint
from vehicles.heatload.load import heating_load_w
from vehicles.heatload.prepare import Prepared, prepare
from vehicles.physics.arrays import FloatArray, IntArray
from vehicles.physics.newton import bracket_batch

STATE_WORDS = {"cruise": "at cruise", "idle": "at idle"}


@dataclass(frozen=True, kw_only=True)
class WinterPoint:
    """One winter point: air and coolant as they are, and the cabin's side.

    words     name it behind a figure
    is_asked  a duty point, not the weather of the defaults
    """

    code: str
    words: str
    is_asked: bool
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
    """The winter duty points that were answered, or one for each engine state whose air flow was worked out."""
    flows = {a.code: a.airflow_m3_h for a in answers if a.airflow_m3_h}
    known = [d for d in case.duties if d.code in flows]
    asked = [asked_point(case, d, float(flows[d.code] or 0.0)) for d in known if d.climate.is_heating]
    if asked:
        return tuple(asked)
    found = []
    for state, words in STATE_WORDS.items():
        duty = next((d for d in known if d.engine_state == state), None)
        if duty is not None:
            flow = float(flows[duty.code] or 0.0)
            found.append(_point(case, state, words, False, winter_climate(duty), flow))
    return tuple(found)


def asked_point(case: Case, duty: Duty, airflow_m3_h: float) -> WinterPoint:
    """A winter duty point with the air that the heater's blower moves."""
    return _point(case, duty.code, f"at “{duty.name}”", True, duty.climate, airflow_m3_h)


def _point(
    case: Case, code: str, words: str, is_asked: bool, climate: ClimateState, airflow_m3_h: float
) -> WinterPoint:
    """A winter point; coolant not known is NaN."""
    car, engine_state = case.car, climate.engine_state
    load = LoadPoint(
        replace(car.cabin, intake_rise_k=0.0),
        _in_winter(car.engine),
        climate,
        AirSide(airflow_m3_h, 0.0, 0.0, 0.0),
    )
    speed = float(climate.road_speed_km_h or 0.0)
    litres, coolant_c = car.coolant_flow_l_min.get(engine_state), car.coolant_c.get(engine_state)
    water = [float("nan") if value is None else value for value in (litres, coolant_c)]
    return WinterPoint(
        code=code,
        words=words,
        is_asked=is_asked,
        road_speed_km_h=speed,
        airflow_m3_h=airflow_m3_h,
        coolant_l_min=water[0],
        coolant_c=water[1],
        load=load,
    )


def _in_winter(engine: EngineTemperatures) -> EngineTemperatures:
    """Engine-side temperatures that fall with the outside one; without a note of it they were taken on a hot day."""
    taken_c = engine.outside_c if engine.outside_c is not None else load_default("reference_outside_c")
    return replace(engine, outside_c=taken_c)


def winter(points: Sequence[WinterPoint], matrix: MatrixModel | None) -> Winter:
    """Winter points prepared for their heat load."""
    return Winter(tuple(points), prepare([p.load for p in points]), matrix)


def need_w(state: Winter) -> FloatArray:
    """Heat that the cabin loses at the winter target: what the heater must give.

    Formula: the heat load's terms with the sign turned; air, sun and people as the winter point states them
    Parameters: the winter state of the car
    Returns: W, one for each point; NaN where the cabin's data are not complete
    Validity: steady state; blower motor and ducts count nothing
    Source: as the heat load; without a winter duty point weather and target from the defaults
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
