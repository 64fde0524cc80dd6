"""The charging curve as a small drawing: current over engine speed, on paper of a fixed size."""

from collections.abc import Sequence
from dataclasses import dataclass

from vehicles.physics.quantities import in_unit

WIDTH, HEIGHT = 320, 190
LEFT, RIGHT, TOP, BOTTOM = 40, 308, 14, 152
STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
MOST_TICKS = 5


@dataclass(frozen=True)
class Tick:
    """A mark on an axis: where, and what it says."""

    at: float
    text: str


@dataclass(frozen=True, kw_only=True)
class Curve:
    """The drawing in its own units: the line, its points, the axes, and the same in words."""

    line: str
    points: tuple[tuple[float, float], ...]
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    idle_x: float | None
    load_y: float | None
    words: str


def ticks(top: float) -> list[float]:
    """Round numbers from 0 to at least ``top``, few enough to be read."""
    step = next((s for s in STEPS if top / s <= MOST_TICKS), STEPS[-1])
    found = [0.0]
    while found[-1] < top:
        found.append(found[-1] + step)
    return found


def curve_of(
    points: Sequence[tuple[float, float]], idle_rpm: float | None, load_a: float | None
) -> Curve | None:
    """The drawing of (engine_rpm, current_a) in order, with the idle speed and the car's load; None for none.

    What lies beyond the axes is not possible: they reach to the largest value.
    """
    if not points:
        return None
    rpm = ticks(max([speed for speed, _ in points] + [idle_rpm or 0, 1]))
    amps = ticks(max([current for _, current in points] + [load_a or 0, 1]))

    def x(speed: float) -> float:
        return round(LEFT + (RIGHT - LEFT) * speed / rpm[-1], 1)

    def y(current: float) -> float:
        return round(BOTTOM - (BOTTOM - TOP) * current / amps[-1], 1)

    places = tuple((x(speed), y(current)) for speed, current in points)
    words = "; ".join(f"{in_unit('a', a)} at {in_unit('rpm', speed)}" for speed, a in points)
    return Curve(
        line=" ".join(f"{px},{py}" for px, py in places),
        points=places,
        across=tuple(Tick(x(value), f"{value:,.0f}") for value in rpm),
        up=tuple(Tick(y(value), f"{value:.0f}") for value in amps),
        idle_x=None if idle_rpm is None else x(idle_rpm),
        load_y=None if load_a is None else y(load_a),
        words=f"Current of the generator: {words}.",
    )
