"""Direct scalar solution of the refrigeration balance: the reference that the batch solver is held against.

It shares no line with the code under test: properties come straight from CoolProp (HEOS, exact flashes),
moist air is written out from ASHRAE Fundamentals ch. 1, the equations are solved by nested Brent searches.

Nesting. The outer search is over the condensing temperature, for the condenser's equation. At each condensing
temperature an inner search makes the pump agree with the coil: over the surface temperature at full flow (a
warmer surface gives denser suction gas and needs less flow), over the speed or the pressure behind a suction
regulator when the freeze control holds the surface. The inner functions rise all the way; at full flow the
outer one does too. The other order, surface outside, fails where the condenser's equation has a fold: the
surplus jumps there.

Searching needs a model that goes on a little beyond the range in which an answer is given: pressures,
isentropic efficiency and temperatures are held at floors ("search floor" in the remarks). Every floor lies
outside the ranges that `_range_reason` checks, so a floored state is never answered, and a point that does
not balance is an error, never an answer.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from CoolProp import CoolProp
from scipy.optimize import brentq, minimize_scalar

ZERO_C_K = 273.15
CONDENSER_AIR_CP_J_KG_K = 1007.0
FLUIDS = {"R-134a": "R134a", "R-1234yf": "R1234yf", "R-152a": "R152A"}
HIGHEST_CONDENSING_C = {"R-134a": 85.0, "R-1234yf": 80.0, "R-152a": 85.0}
MODES = ("cycling", "suction-regulated", "speed-controlled")
LOWEST_SEARCHED_C = 10.0  # condensing, outside the range of answers
XTOL_K = 1e-9
STEADY_NUMBERS = (
    "capacity_w",
    "sensible_w",
    "evaporating_c",
    "condensing_c",
    "surface_c",
    "flow_kg_s",
    "air_off_c",
    "air_off_w",
    "power_w",
    "discharge_c",
    "duty",
    "speed_rpm",
    "cop",
    "heat_rejected_w",
    "suction_pa",
    "discharge_pa",
)


@dataclass(frozen=True, kw_only=True)
class Plant:
    """The inputs of one operating point, SI unless the name says otherwise; pressures absolute."""

    displacement_m3: float
    speed_rpm: float
    speed_min_rpm: float
    speed_max_rpm: float
    electric: bool
    v0: float
    v1: float
    v2: float
    v3: float
    i0: float
    i1: float
    i2: float
    i3: float
    superheat_k: float
    subcooling_k: float
    suction_gain_k: float
    suction_length_m: float
    suction_bore_m: float
    suction_k: float
    discharge_length_m: float
    discharge_bore_m: float
    discharge_k: float
    evap_ua_air_w_k: float
    evap_ref_air_kg_s: float
    evap_ua_ref_w_k: float
    air_kg_s: float
    air_in_c: float
    air_in_w: float
    pressure_pa: float
    cond_ua_w_k: float
    cond_ref_air_kg_s: float
    cond_exponent: float
    cond_air_kg_s: float
    cond_air_in_c: float
    freeze_mode: str
    freeze_surface_c: float
    high_pressure_cut_out_pa: float
    discharge_limit_c: float


MUST_BE_POSITIVE = (
    "displacement_m3",
    "speed_rpm",
    "speed_min_rpm",
    "speed_max_rpm",
    "suction_bore_m",
    "discharge_bore_m",
    "evap_ua_air_w_k",
    "evap_ref_air_kg_s",
    "evap_ua_ref_w_k",
    "air_kg_s",
    "pressure_pa",
    "cond_ua_w_k",
    "cond_ref_air_kg_s",
    "cond_air_kg_s",
    "high_pressure_cut_out_pa",
)
MUST_NOT_BE_NEGATIVE = (
    "superheat_k",
    "subcooling_k",
    "suction_gain_k",
    "suction_length_m",
    "suction_k",
    "discharge_length_m",
    "discharge_k",
    "air_in_w",
)


# --- moist air, ASHRAE Fundamentals ch. 1 ---


def saturation_pressure_pa(dry_bulb_c: float) -> float:
    """Hyland-Wexler saturation pressure, over ice below 0 °C (eq. 5) and over water from 0 °C (eq. 6)."""
    t = dry_bulb_c + ZERO_C_K
    if dry_bulb_c < 0.0:
        polynomial = 6.3925247 + t * (
            -9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 + t * -9.484024e-13))
        )
        return math.exp(-5.6745359e3 / t + polynomial + 4.1635019 * math.log(t))
    polynomial = 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 + t * -1.4452093e-8))
    return math.exp(-5.8002206e3 / t + polynomial + 6.5459673 * math.log(t))


def saturation_humidity(dry_bulb_c: float, pressure_pa: float) -> float:
    """Humidity ratio of saturated air, kg/kg dry air."""
    vapour_pa = saturation_pressure_pa(dry_bulb_c)
    return 0.621945 * vapour_pa / (pressure_pa - vapour_pa)


def moist_air_enthalpy_j_kg(dry_bulb_c: float, humidity_ratio: float) -> float:
    """Enthalpy per kg dry air, zero for dry air at 0 °C."""
    return 1006.0 * dry_bulb_c + humidity_ratio * (2501000.0 + 1860.0 * dry_bulb_c)


@dataclass(frozen=True)
class Coil:
    """What the coil does to its air at one fin surface temperature."""

    surface_c: float
    capacity_w: float
    sensible_w: float
    air_off_c: float
    air_off_w: float
    evaporating_c: float


def coil(plant: Plant, surface_c: float) -> Coil:
    """Bypass-factor coil: the treated share of the air leaves at the surface state, the rest unchanged."""
    p = plant
    cp_air = 1006.0 + 1860.0 * p.air_in_w
    ua_air = p.evap_ua_air_w_k * (p.air_kg_s / p.evap_ref_air_kg_s) ** 0.8
    treated = 1.0 - math.exp(-ua_air / (p.air_kg_s * cp_air))
    h_in = moist_air_enthalpy_j_kg(p.air_in_c, p.air_in_w)
    w_surface = saturation_humidity(surface_c, p.pressure_pa)
    if w_surface < p.air_in_w:
        h_out = h_in - treated * (h_in - moist_air_enthalpy_j_kg(surface_c, w_surface))
        w_out = p.air_in_w - treated * (p.air_in_w - w_surface)
        t_out = (h_out - 2501000.0 * w_out) / (1006.0 + 1860.0 * w_out)
    else:
        w_out = p.air_in_w
        t_out = p.air_in_c - treated * (p.air_in_c - surface_c)
        h_out = moist_air_enthalpy_j_kg(t_out, w_out)
    capacity = p.air_kg_s * (h_in - h_out)
    sensible = p.air_kg_s * cp_air * (p.air_in_c - t_out)
    return Coil(surface_c, capacity, sensible, t_out, w_out, surface_c - capacity / p.evap_ua_ref_w_k)


# --- refrigerant ---


@cache
def _fluid(refrigerant: str) -> Any:
    return CoolProp.AbstractState("HEOS", FLUIDS[refrigerant])


def saturation_pa(refrigerant: str, temperature_c: float, quality: float) -> float:
    """Saturation pressure; quality 1 for the dew line, 0 for the bubble line."""
    state = _fluid(refrigerant)
    state.update(CoolProp.QT_INPUTS, quality, temperature_c + ZERO_C_K)
    return float(state.p())


def _at(refrigerant: str, pressure_pa: float, temperature_c: float, quality_if_saturated: float) -> Any:
    """State from pressure and temperature; exactly on the saturation line it takes the quality named."""
    state = _fluid(refrigerant)
    state.update(CoolProp.PQ_INPUTS, pressure_pa, quality_if_saturated)
    if abs(state.T() - ZERO_C_K - temperature_c) > 1e-7:
        state.update(CoolProp.PT_INPUTS, pressure_pa, temperature_c + ZERO_C_K)
    return state


def darcy_smooth(reynolds: float) -> float:
    """Darcy friction factor: Colebrook with no roughness, laminar 64/Re below 2300."""
    if reynolds < 2300.0:
        return 64.0 / reynolds

    def colebrook(x: float) -> float:  # x = 1/sqrt(f)
        return x + 2.0 * math.log10(2.51 * x / reynolds)

    return 1.0 / float(brentq(colebrook, 1.0, 60.0, xtol=1e-13, rtol=1e-14)) ** 2


def line_loss_pa(
    flow_kg_s: float, length_m: float, bore_m: float, loss_k: float, rho_kg_m3: float, mu_pa_s: float
) -> float:
    """Pressure loss of a smooth line with end losses, (f L/D + K) (m/A)^2 / (2 rho)."""
    mass_flux = flow_kg_s / (math.pi / 4.0 * bore_m**2)
    friction = darcy_smooth(mass_flux * bore_m / mu_pa_s)
    return (friction * length_m / bore_m + loss_k) * mass_flux**2 / (2.0 * rho_kg_m3)


@dataclass(frozen=True)
class Point:
    """The circuit at one (surface, condensing) pair, without regard to whether it balances."""

    coil: Coil
    condensing_c: float
    condensing_pa: float
    flow_kg_s: float
    pump_kg_s: float
    speed_rpm: float
    suction_pa: float  # at the compressor
    discharge_pa: float
    pressure_ratio: float
    eta_v: float
    eta_is: float
    h_coil_out: float
    h_1: float
    h_2: float
    h_3: float
    excess_w: float  # heat the condenser can reject minus heat it has to reject

    @property
    def surplus_kg_s(self) -> float:
        """What the compressor pumps beyond what the coil needs."""
        return self.pump_kg_s - self.flow_kg_s

    @property
    def balances_condenser(self) -> bool:
        """Whether the condenser rejects what it has to; not so at the end of a search without a root."""
        return abs(self.excess_w) <= 1e-3


def circuit(
    refrigerant: str, plant: Plant, coil_: Coil, condensing_c: float, speed_rpm: float, throttle: float
) -> Point:
    """Explicit pass around the circuit; throttle is compressor inlet over hose end pressure (1 = open)."""
    p = plant
    evaporating_c = max(coil_.evaporating_c, -45.0)  # search floor, outside the range of answers
    evaporating_pa = saturation_pa(refrigerant, evaporating_c, 1.0)
    condensing_pa = saturation_pa(refrigerant, condensing_c, 1.0)
    h_3 = float(_at(refrigerant, condensing_pa, condensing_c - p.subcooling_k, 0.0).hmass())
    vapour = _at(refrigerant, evaporating_pa, evaporating_c + p.superheat_k, 1.0)
    h_coil_out = float(vapour.hmass())
    flow = coil_.capacity_w / (h_coil_out - h_3)
    suction_loss = line_loss_pa(
        flow, p.suction_length_m, p.suction_bore_m, p.suction_k, vapour.rhomass(), vapour.viscosity()
    )
    # search floor: the pressure ratio is 30 or more
    lowest_pa = min(condensing_pa / 30.0, evaporating_pa / 2.0)
    hose_end_pa = max(evaporating_pa - suction_loss, lowest_pa)
    inlet_c = evaporating_c + p.superheat_k + p.suction_gain_k
    inlet = _at(refrigerant, hose_end_pa, inlet_c, 1.0)
    h_1 = float(inlet.hmass())
    inlet_pa = hose_end_pa
    if throttle < 1.0:
        inlet_pa = max(throttle * hose_end_pa, lowest_pa)
        inlet.update(CoolProp.HmassP_INPUTS, h_1, inlet_pa)
    rho_1, s_1 = float(inlet.rhomass()), float(inlet.smass())

    state = _fluid(refrigerant)
    state.update(CoolProp.PSmass_INPUTS, condensing_pa, s_1)
    discharge_pa = condensing_pa + line_loss_pa(
        flow, p.discharge_length_m, p.discharge_bore_m, p.discharge_k, state.rhomass(), state.viscosity()
    )
    state.update(CoolProp.PSmass_INPUTS, discharge_pa, s_1)
    ratio = discharge_pa / inlet_pa
    n = speed_rpm / 1000.0
    eta_v = p.v0 + p.v1 * ratio + p.v2 * n + p.v3 * n**2
    eta_is = p.i0 + p.i1 * ratio + p.i2 * n + p.i3 * n**2
    h_2 = h_1 + (float(state.hmass()) - h_1) / max(eta_is, 0.02)  # search floor, answers need 0.05
    capacity_rate = p.cond_air_kg_s * CONDENSER_AIR_CP_J_KG_K
    ua = p.cond_ua_w_k * (p.cond_air_kg_s / p.cond_ref_air_kg_s) ** p.cond_exponent
    can_reject = -math.expm1(-ua / capacity_rate) * capacity_rate * (condensing_c - p.cond_air_in_c)
    return Point(
        coil=coil_,
        condensing_c=condensing_c,
        condensing_pa=condensing_pa,
        flow_kg_s=flow,
        pump_kg_s=eta_v * p.displacement_m3 * speed_rpm / 60.0 * rho_1,
        speed_rpm=speed_rpm,
        suction_pa=inlet_pa,
        discharge_pa=discharge_pa,
        pressure_ratio=ratio,
        eta_v=eta_v,
        eta_is=eta_is,
        h_coil_out=h_coil_out,
        h_1=h_1,
        h_2=h_2,
        h_3=h_3,
        excess_w=can_reject - flow * (h_2 - h_3),
    )


def _lowest_balance(point_at: Callable[[float], Point], low: float, high: float) -> Point:
    """The point whose condenser rejects exactly what it has to, at the lowest condensing temperature.

    The excess rises with the condensing temperature, or rises and then falls; the lower of two roots is the
    stable one. Without a root the nearer end of the interval is returned, outside the range of answers.
    """

    def excess(condensing_c: float) -> float:
        return point_at(condensing_c).excess_w

    if excess(low) >= 0.0:
        return point_at(low)
    if excess(high) < 0.0:
        best = minimize_scalar(lambda t: -excess(t), bounds=(low, high), method="bounded")
        if -best.fun <= 0.0:
            return point_at(high)
        high = float(best.x)
    return point_at(float(brentq(excess, low, high, xtol=XTOL_K, rtol=1e-13)))


def _pump_balance(point_at: Callable[[float], Point], low: float, high: float) -> Point:
    """The point without surplus between low and high (surplus rising); the nearer end if there is none."""
    if point_at(low).surplus_kg_s >= 0.0:
        return point_at(low)
    if point_at(high).surplus_kg_s <= 0.0:
        return point_at(high)
    return point_at(float(brentq(lambda x: point_at(x).surplus_kg_s, low, high, xtol=1e-12, rtol=1e-13)))


def condensed(refrigerant: str, plant: Plant, coil_: Coil, speed_rpm: float) -> Point:
    """The circuit at a given coil and speed with its condenser in balance, whatever the compressor pumps."""
    low = max(LOWEST_SEARCHED_C, coil_.evaporating_c + 2.0)
    high = HIGHEST_CONDENSING_C[refrigerant] + 7.0
    return _lowest_balance(lambda t: circuit(refrigerant, plant, coil_, t, speed_rpm, 1.0), low, high)


def full_flow(refrigerant: str, plant: Plant) -> Point:
    """Both equations at full flow: at each condensing temperature the surface where coil and pump agree."""
    coldest = plant.freeze_surface_c - 20.0
    warmest = plant.air_in_c - 1e-4

    def pumped(condensing_c: float) -> Point:
        def room_k(surface_c: float) -> float:  # condensing must stay above evaporating
            return condensing_c - 2.0 - coil(plant, surface_c).evaporating_c

        high = warmest if room_k(warmest) >= 0.0 else float(brentq(room_k, coldest, warmest, xtol=XTOL_K))

        def at_surface(surface_c: float) -> Point:
            return circuit(refrigerant, plant, coil(plant, surface_c), condensing_c, plant.speed_rpm, 1.0)

        return _pump_balance(at_surface, coldest, high)

    return _lowest_balance(pumped, LOWEST_SEARCHED_C, HIGHEST_CONDENSING_C[refrigerant] + 7.0)


def at_freeze_limit(refrigerant: str, plant: Plant, cycling: Point) -> tuple[Point, float]:
    """The guarded point and its duty, from the point at full speed and the mode of control."""
    if plant.freeze_mode == "cycling":
        return cycling, cycling.flow_kg_s / cycling.pump_kg_s
    surface = cycling.coil
    high = HIGHEST_CONDENSING_C[refrigerant] + 7.0
    if plant.freeze_mode == "suction-regulated":

        def regulated(condensing_c: float) -> Point:
            def throttled(throttle: float) -> Point:
                return circuit(refrigerant, plant, surface, condensing_c, plant.speed_rpm, throttle)

            return _pump_balance(throttled, 0.01, 1.0)

        # throttling adds work, so condensing cannot be below that of the open valve
        return _lowest_balance(regulated, cycling.condensing_c, high), 1.0

    slowest = condensed(refrigerant, plant, surface, plant.speed_min_rpm)
    if slowest.surplus_kg_s >= 0.0:
        return slowest, slowest.flow_kg_s / slowest.pump_kg_s

    def slowed(condensing_c: float) -> Point:
        def at_speed(speed_rpm: float) -> Point:
            return circuit(refrigerant, plant, surface, condensing_c, speed_rpm, 1.0)

        return _pump_balance(at_speed, plant.speed_min_rpm, plant.speed_rpm)

    low = max(LOWEST_SEARCHED_C, surface.evaporating_c + 2.0)
    return _lowest_balance(slowed, low, high), 1.0


def _invalid_reason(refrigerant: str, plant: Plant) -> str:
    if refrigerant not in FLUIDS:
        return f"unknown refrigerant {refrigerant}"
    for field in fields(Plant):
        value = getattr(plant, field.name)
        if field.name == "freeze_mode":
            if value not in MODES:
                return f"unknown freeze control {value}"
        elif not math.isfinite(value):
            return f"{field.name} is not a finite number"
    for name in MUST_BE_POSITIVE:
        if getattr(plant, name) <= 0.0:
            return f"{name} must be above zero"
    for name in MUST_NOT_BE_NEGATIVE:
        if getattr(plant, name) < 0.0:
            return f"{name} must not be negative"
    if plant.speed_min_rpm > plant.speed_max_rpm:
        return "the lowest speed is above the highest"
    if plant.freeze_mode == "speed-controlled" and not plant.electric:
        return "a belt-driven compressor has no speed control"
    if saturation_pressure_pa(plant.air_in_c) >= plant.pressure_pa:
        return "the entering air is above the boiling point"
    if plant.air_in_w > saturation_humidity(plant.air_in_c, plant.pressure_pa) * (1.0 + 1e-9):
        return "the entering air is above saturation"
    return ""


def _range_reason(refrigerant: str, point: Point, discharge_c: float) -> str:
    """The first quantity that lies outside the range in which answers are given."""
    evaporating_c = point.coil.evaporating_c
    limits = (
        ("evaporating temperature", evaporating_c, -30.0, 30.0),
        (
            "condensing temperature",
            point.condensing_c,
            max(20.0, evaporating_c + 3.0),
            HIGHEST_CONDENSING_C[refrigerant],
        ),
        ("pressure ratio", point.pressure_ratio, 1.05, 15.0),
        ("volumetric efficiency", point.eta_v, 0.05, 1.0),
        ("isentropic efficiency", point.eta_is, 0.05, 1.0),
        ("discharge temperature", discharge_c, -math.inf, 160.0),
    )
    for what, value, lowest, highest in limits:
        if not lowest <= value <= highest:
            return f"{what} {value:.4g} is outside {lowest:.4g} to {highest:.4g}"
    return ""


def _without_numbers(status: str, reason: str) -> dict[str, Any]:
    return {"status": status, "reason": reason, **dict.fromkeys(STEADY_NUMBERS, math.nan)}


def _status(plant: Plant, point: Point, frozen: bool) -> tuple[str, str]:
    if point.condensing_pa >= plant.high_pressure_cut_out_pa:
        return "high pressure", "the condensing pressure reaches the high cut-out"
    if plant.speed_rpm > plant.speed_max_rpm:
        return "over speed", "the compressor turns faster than it may"
    if frozen:
        return "freeze-limited", "the freeze control holds the coil at its limit"
    if plant.electric and plant.speed_rpm >= plant.speed_max_rpm:
        return "speed-limited", "the electric compressor runs at its highest speed"
    return "full", ""


def solve_direct(refrigerant: str, **inputs: Any) -> dict[str, Any]:
    """Solve one operating point directly.

    Parameters: the fields of `Plant` by name; refrigerant "R-134a", "R-1234yf" or "R-152a".
    Returns: status, reason and STEADY_NUMBERS (NaN for invalid input, out of range, no solution).
    suction_pa and discharge_pa are at the compressor's own ports, behind a suction regulator if there is one.
    """
    plant = Plant(**inputs)
    reason = _invalid_reason(refrigerant, plant)
    if reason:
        return _without_numbers("invalid input", reason)
    if plant.speed_rpm < plant.speed_min_rpm:
        return _without_numbers("out of range", "the compressor turns slower than its lowest speed")
    if plant.air_in_c <= plant.freeze_surface_c:
        return _without_numbers(
            "no solution", "the entering air is colder than the freeze limit: nothing to cool"
        )
    held = coil(plant, plant.freeze_surface_c)
    point, duty = condensed(refrigerant, plant, held, plant.speed_rpm), 1.0
    frozen = point.surplus_kg_s >= 0.0 and point.balances_condenser
    if frozen:
        point, duty = at_freeze_limit(refrigerant, plant, point)
    else:
        point = full_flow(refrigerant, plant)
    state = _fluid(refrigerant)
    state.update(CoolProp.HmassP_INPUTS, point.h_2, point.discharge_pa)
    discharge_c = float(state.T()) - ZERO_C_K
    reason = _range_reason(refrigerant, point, discharge_c)
    if reason:
        return _without_numbers("out of range", reason)
    imbalance = abs(duty * point.pump_kg_s - point.flow_kg_s) / point.flow_kg_s
    if not point.balances_condenser or imbalance > 1e-7:
        raise ArithmeticError(f"the point found does not balance: {point}")
    status, reason = _status(plant, point, frozen)
    power = point.flow_kg_s * (point.h_2 - point.h_1)
    return {
        "status": status,
        "reason": reason,
        "capacity_w": point.coil.capacity_w,
        "sensible_w": point.coil.sensible_w,
        "evaporating_c": point.coil.evaporating_c,
        "condensing_c": point.condensing_c,
        "surface_c": point.coil.surface_c,
        "flow_kg_s": point.flow_kg_s,
        "air_off_c": point.coil.air_off_c,
        "air_off_w": point.coil.air_off_w,
        "power_w": power,
        "discharge_c": discharge_c,
        "duty": duty,
        "speed_rpm": point.speed_rpm,
        "cop": point.coil.capacity_w / power,
        "heat_rejected_w": point.flow_kg_s * (point.h_2 - point.h_3),
        "suction_pa": point.suction_pa,
        "discharge_pa": point.discharge_pa,
    }
