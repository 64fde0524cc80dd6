"""Pull-down of a soaked cabin and warm-up of a cold one: cabin and vent over time.

Two nodes: the cabin's air, and the mass that lines and fills it (trim, seats, dash). Heat through the skin and of
the sun reaches the mass, heat of crossing air, people and blower reaches the air; both are straight lines of the
cabin's air temperature, so that a cabin left alone ends where the steady heat load is zero, and one under constant
cooling where load and cooling are equal.
"""

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, Refusal, answer, floats, scalar_or_array

J_PER_KJ = 1000.0
S_PER_MIN = 60.0
STEP_S = 5.0
NEARLY_ZERO = 1e-12


@dataclass(frozen=True, kw_only=True)
class Cabin:
    """A cabin of two nodes; heat into each is gain_w − loss_w_k·T, with T the cabin's air in °C.

    exchange_w_k  between air and mass
    """

    air_kj_k: float
    mass_kj_k: float
    exchange_w_k: float
    air_gain_w: float
    air_loss_w_k: float
    mass_gain_w: float
    mass_loss_w_k: float


class Line(NamedTuple):
    """Heat into the cabin's air as a straight line of its temperature, W and W/K: q = at_zero_w + per_k_w·T."""

    at_zero_w: float
    per_k_w: float


Supply = Callable[[float, float], Line]
"""(seconds since the start, cabin air °C) -> heat that plant and open windows bring into the air"""


@dataclass(frozen=True)
class Course:
    """Temperatures over time; step_error_k is the largest change of the air's curve when the step is halved."""

    seconds: FloatArray
    air_c: FloatArray
    mass_c: FloatArray
    step_error_k: float


def one_node_c(
    seconds: ArrayLike,
    start_c: ArrayLike,
    outside_c: ArrayLike,
    capacity_j_k: ArrayLike,
    ua_w_k: ArrayLike,
    heat_w: ArrayLike,
) -> FloatArray:
    """Temperature of one lumped body under constant heat: the limiting case of the two nodes.

    Formula: T = T_end + (T_0 − T_end)·exp(−t·UA/C); T_end = T_outside + Q/UA
    Parameters: seconds from the start, 0 or more; temperatures in °C; capacity_j_k J/K and ua_w_k W/K above 0; heat_w
        net heat into the body, W (cooling negative)
    Returns: °C
    Validity: one temperature all through; constant heat
    Source: lumped capacitance, first-order linear equation (any textbook of heat transfer)
    Check: pull-one-node of the reference cases

    >>> round(float(one_node_c(1e9, 60, 35, 50e3, 100, -1000)), 6)
    25.0
    """
    t, c, ua = floats(seconds), floats(capacity_j_k), floats(ua_w_k)
    valid = (t >= 0) & (c > 0) & (ua > 0)
    safe_c, safe_ua = np.where(valid, c, 1.0), np.where(valid, ua, 1.0)
    end = floats(outside_c) + floats(heat_w) / safe_ua
    found = end + (floats(start_c) - end) * np.exp(-np.where(valid, t, 0.0) * safe_ua / safe_c)
    sentence = "Time must be 0 or more, heat capacity and conductance above 0, temperatures and heat numbers."
    return answer(found, valid & np.isfinite(found), sentence)


def one_node_seconds(
    goal_c: ArrayLike,
    start_c: ArrayLike,
    outside_c: ArrayLike,
    capacity_j_k: ArrayLike,
    ua_w_k: ArrayLike,
    heat_w: ArrayLike,
) -> FloatArray:
    """Time until one lumped body under constant heat reaches a temperature.

    Formula: t = C/UA·ln((T_0 − T_end)/(T_goal − T_end)); T_end = T_outside + Q/UA
    Parameters: as one_node_c; goal_c in °C
    Returns: seconds; refused where the goal does not lie between start and end
    Validity: as one_node_c
    Source: lumped capacitance, first-order linear equation
    Check: pull-one-node of the reference cases

    >>> round(float(one_node_seconds(30, 40, 20, 100e3, 100, 0)))
    693
    """
    c, ua = floats(capacity_j_k), floats(ua_w_k)
    sound = (c > 0) & (ua > 0)
    end = floats(outside_c) + floats(heat_w) / np.where(sound, ua, 1.0)
    far, near = floats(start_c) - end, floats(goal_c) - end
    valid = sound & (far * near > 0) & (np.abs(near) <= np.abs(far))
    ratio = np.where(valid, far, 1.0) / np.where(valid, near, 1.0)
    found = c / np.where(sound, ua, 1.0) * np.log(np.where(valid, ratio, 1.0))
    sentence = (
        "The goal is not on the way from the start to where the temperature ends, or heat capacity and conductance "
        "do not lie above 0."
    )
    return answer(found, valid, sentence)


def mass_capacity_kj_k(volume_m3: ArrayLike, per_m3_kj_k: ArrayLike) -> FloatArray:
    """Heat capacity of what lines and fills a cabin.

    Formula: C = V·c
    Parameters: volume_m3 of the cabin; per_m3_kj_k from the defaults
    Returns: kJ/K
    Validity: closed cars with trim; a bare van has less
    Source: common practice, no source: 35 to 60 kJ/K in a coupé of 2.2 to 2.6 m³, 80 to 150 in a van of 6.5 to 7.5
    Check: both bands are met by the default

    >>> float(mass_capacity_kj_k(2.5, 20))
    50.0
    """
    volume, each = floats(volume_m3), floats(per_m3_kj_k)
    return answer(volume * each, (volume > 0) & (each > 0), "Volume and heat capacity must be above 0.")


@dataclass(frozen=True)
class CapacityLine:
    """Sensible capacity over the coil inlet, straight between (inlet °C, W) in rising order."""

    inlets_c: tuple[float, ...]
    heats_w: tuple[float, ...]

    def at(self, inlet_c: float) -> Line:
        """The line of capacity at an inlet: W at 0 °C and W/K."""
        i = bisect_left(self.inlets_c, inlet_c)
        if i == 0:
            return Line(0.0, 0.0)
        if i == len(self.inlets_c):
            return Line(self.heats_w[-1], 0.0)
        low_c, high_c = self.inlets_c[i - 1], self.inlets_c[i]
        slope = (self.heats_w[i] - self.heats_w[i - 1]) / (high_c - low_c)
        return Line(self.heats_w[i] - slope * high_c, slope)

    def heat_w(self, inlet_c: ArrayLike) -> FloatArray:
        """Capacity at inlets, W."""
        return scalar_or_array(np.interp(floats(inlet_c), self.inlets_c, self.heats_w))


def capacity_line(points: Sequence[tuple[float, float]], surface_c: float) -> CapacityLine:
    """Sensible capacity of the plant over the coil's inlet, from a solved duty point and its hot cabins.

    Formula: straight between the solved points (inlet, capacity); below the coldest on the line to nothing at the
        fins' temperature; above the hottest inlet as much as there
    Parameters: points (inlet °C, sensible capacity W); surface_c the fins where the freeze control holds them, °C
    Returns: CapacityLine
    Validity: the cabin is as humid at the duty point as the coil leaves it, in the hot cabins as the air outside;
        hotter inlets than solved are taken as giving no more. Both are on the slow side
    Source: the fitment's own balances; the rule between them is the house's
    Check: it gives each solved point back, and nothing with the inlet as cold as the fins

    >>> plant = capacity_line([(25.0, 2300.0)], 2.0)
    >>> [round(float(plant.heat_w(inlet)), 6) for inlet in (2.0, 13.5, 25.0, 40.0)]
    [0.0, 1150.0, 2300.0, 2300.0]
    """
    known = sorted({surface_c: 0.0, **dict(points)}.items())
    if not points or known[0] != (surface_c, 0.0) or not all(math.isfinite(v) for p in known for v in p):
        raise Refusal("A plant needs at least one solved point, and none as cold as its fins.")
    return CapacityLine(tuple(c for c, _ in known), tuple(w for _, w in known))


def two_node_course(
    cabin: Cabin, air_c: float, mass_c: float, supply: Supply, minutes: float, step_s: float = STEP_S
) -> Course:
    """Air and mass of a cabin over time.

    Formula: C_a·dT_a/dt = gain_a − loss_a·T_a + G·(T_m − T_a) + supply;
        C_m·dT_m/dt = gain_m − loss_m·T_a + G·(T_a − T_m); each step is the exact solution x = E·x0 + Φ·b of the
        linear pair, with the supply's line at the time of the step's middle and at the air there, as far as the
        line at the step's start foretells it
    Parameters: cabin; air_c and mass_c at the start, °C; supply of seconds and air temperature;
        minutes; step_s seconds
    Returns: Course, with the largest change of the air's curve on halving the step
    Validity: well-mixed air, one temperature of the mass
    Source: heat balance of two nodes; matrix exponential of a pair in closed form
    Check: one node under constant heat, no supply against the steady load, halved step

    >>> alone = Cabin(air_kj_k=3, mass_kj_k=45, exchange_w_k=60, air_gain_w=1000, air_loss_w_k=25, mass_gain_w=0,
    ...     mass_loss_w_k=0)
    >>> round(float(two_node_course(alone, 60.0, 60.0, lambda seconds, air_c: Line(0.0, 0.0), 600).air_c[-1]), 3)
    40.0
    """
    numbers = (cabin.air_kj_k, cabin.mass_kj_k, cabin.exchange_w_k, minutes, step_s)
    if not all(math.isfinite(v) and v > 0 for v in numbers):
        raise Refusal("Heat capacities, exchange, minutes and step must be above 0.")
    if not all(math.isfinite(v) for v in (air_c, mass_c, cabin.air_gain_w, cabin.mass_gain_w)):
        raise Refusal("Temperatures and gains must be numbers.")
    count = max(1, round(minutes * S_PER_MIN / step_s))
    coarse = _march(cabin, air_c, mass_c, supply, count, step_s)
    fine = _march(cabin, air_c, mass_c, supply, 2 * count, step_s / 2)
    error = float(np.max(np.abs(coarse[:, 0] - fine[::2, 0])))
    return Course(np.arange(2 * count + 1) * step_s / 2, fine[:, 0], fine[:, 1], error)


def _march(
    cabin: Cabin, air_c: float, mass_c: float, supply: Supply, count: int, step_s: float
) -> FloatArray:
    """The pairs (air, mass) at each step's end, the start first."""
    ca, cm = cabin.air_kj_k * J_PER_KJ, cabin.mass_kj_k * J_PER_KJ
    g = cabin.exchange_w_k
    steps: dict[float, tuple[float, ...]] = {}

    def stepped(air: float, mass: float, brought: Line) -> tuple[float, float]:
        step = steps.get(brought.per_k_w)
        if step is None:
            a = (
                (brought.per_k_w - cabin.air_loss_w_k - g) / ca,
                g / ca,
                (g - cabin.mass_loss_w_k) / cm,
                -g / cm,
            )
            step = steps[brought.per_k_w] = _exact_step(a, step_s)
        e00, e01, e10, e11, f00, f01, f10, f11 = step
        b0, b1 = (cabin.air_gain_w + brought.at_zero_w) / ca, cabin.mass_gain_w / cm
        return e00 * air + e01 * mass + f00 * b0 + f01 * b1, e10 * air + e11 * mass + f10 * b0 + f11 * b1

    now = air_c, mass_c
    course = [now]
    for i in range(count):
        middle_s = (i + 0.5) * step_s
        brought = supply(middle_s, now[0])
        after = stepped(*now, brought)
        # a step that crosses into another piece of the capacity takes the piece of its middle
        there = supply(middle_s, (now[0] + after[0]) / 2)
        if there != brought:
            after = stepped(*now, there)
        now = after
        course.append(now)
    return np.array(course)


def _exact_step(a: tuple[float, float, float, float], step_s: float) -> tuple[float, ...]:
    """E = exp(A·t) and Φ = ∫exp(A·s)ds over the step, both by rows, of the pair x' = A·x + b.

    With s half the trace and d² = s² − det: E = e^(s·t)·(cosh(d·t)·I + sinh(d·t)/d·(A − s·I)), trigonometric where
    d² is negative; Φ = A⁻¹·(E − I), or t·I + (e^(tr·t) − 1 − tr·t)/tr²·A where A has no inverse.
    """
    a00, a01, a10, a11 = a
    trace, det = a00 + a11, a00 * a11 - a01 * a10
    s = trace / 2
    square = s * s - det
    d = math.sqrt(abs(square))
    if d * step_s < 1e-9:
        c, h = 1.0, step_s
    elif square > 0:
        c, h = math.cosh(d * step_s), math.sinh(d * step_s) / d
    else:
        c, h = math.cos(d * step_s), math.sin(d * step_s) / d
    grown = math.exp(s * step_s)
    e00, e01 = grown * (c + h * (a00 - s)), grown * h * a01
    e10, e11 = grown * h * a10, grown * (c + h * (a11 - s))
    if abs(det) < NEARLY_ZERO:
        k = (
            (math.expm1(trace * step_s) - trace * step_s) / trace**2
            if abs(trace) > NEARLY_ZERO
            else step_s**2 / 2
        )
        return e00, e01, e10, e11, step_s + k * a00, k * a01, k * a10, step_s + k * a11
    r00, r01, r10, r11 = a11 / det, -a01 / det, -a10 / det, a00 / det
    f00, f01 = r00 * (e00 - 1) + r01 * e10, r00 * e01 + r01 * (e11 - 1)
    f10, f11 = r10 * (e00 - 1) + r11 * e10, r10 * e01 + r11 * (e11 - 1)
    return e00, e01, e10, e11, f00, f01, f10, f11


def minutes_to_reach(course: Course, goal_c: float) -> float | None:
    """Minutes until the cabin's air first reaches a temperature, from either side.

    Formula: straight between the two steps on both sides of the goal
    Parameters: course; goal_c in °C
    Returns: minutes (0 when it starts there), None when it is not reached within the course
    Validity: within the course
    Source: the course itself
    Check: one_node_seconds

    >>> course = Course(np.array([0.0, 60.0, 120.0]), np.array([60.0, 40.0, 30.0]), np.array([60.0, 55.0, 50.0]), 0.0)
    >>> minutes_to_reach(course, 35.0)
    1.5
    """
    falls = course.air_c[0] > goal_c
    beyond = course.air_c <= goal_c if falls else course.air_c >= goal_c
    if not beyond.any():
        return None
    i = int(np.argmax(beyond))
    if i == 0:
        return 0.0
    before, after = course.air_c[i - 1], course.air_c[i]
    share = (goal_c - before) / (after - before) if after != before else 1.0
    return float((course.seconds[i - 1] + share * (course.seconds[i] - course.seconds[i - 1])) / S_PER_MIN)
