"""Curves of a part's rated points: which quantities are drawn over which, one line for each state of the rest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kits.documents.topic_pictures import picture_svg
from kits.topics.figure import Line, Picture
from vehicles.physics.quantities import format_number, format_value, quantity_of

MOST_LINES = 8

Point = Mapping[str, object]


@dataclass(frozen=True, kw_only=True)
class RatedCurve:
    """A diagram of a kind of part. key: its word in an address; by: what tells one line from another, with words."""

    key: str
    title: str
    x: str
    y: str
    x_label: str
    y_label: str
    by: tuple[tuple[str, str], ...] = ()
    only: str = ""
    """the name of a lone line"""


RATED_CURVES: Mapping[str, tuple[RatedCurve, ...]] = {
    "compressor": tuple(
        RatedCurve(
            key=word,
            title=f"{word.capitalize()} efficiency over pressure ratio",
            x="pressure_ratio",
            y=f"{word}_effectiveness",
            x_label="pressure ratio",
            y_label=f"{word} efficiency",
            by=(("speed_rpm", ""),),
        )
        for word in ("volumetric", "isentropic")
    ),
    "evaporator": (
        RatedCurve(
            key="heat",
            title="Heat over air flow",
            x="airflow_m3_h",
            y="total_w",
            x_label="air flow, m³/h",
            y_label="total heat, W",
            by=(("air_in_c", "air"), ("relative_humidity", "humidity"), ("evaporating_c", "evaporating")),
        ),
    ),
    "condenser": (
        RatedCurve(
            key="heat",
            title="Heat over air flow",
            x="airflow_m3_h",
            y="heat_w",
            x_label="air flow, m³/h",
            y_label="heat, W",
            by=(("air_in_c", "air"), ("condensing_c", "condensing")),
        ),
    ),
    "heater matrix": (
        RatedCurve(
            key="heat",
            title="Heat over air flow",
            x="airflow_m3_h",
            y="heat_w",
            x_label="air flow, m³/h",
            y_label="heat, W",
            by=(("coolant_flow_l_min", "coolant"), ("water_in_c", "water"), ("air_in_c", "air")),
        ),
    ),
    "blower": (
        RatedCurve(
            key="pressure",
            title="Static pressure over air flow",
            x="airflow_m3_h",
            y="static_pa",
            x_label="air flow, m³/h",
            y_label="static pressure, Pa",
            only="at rated voltage, full step",
        ),
    ),
    "generator": (
        RatedCurve(
            key="current",
            title="Current over speed",
            x="generator_rpm",
            y="current_a",
            x_label="speed of the generator, rpm",
            y_label="current, A",
            only="hot",
        ),
    ),
}


@dataclass(frozen=True)
class Lines:
    """The lines of one diagram, at most MOST_LINES, and how many states had to be left out."""

    curve: RatedCurve
    lines: tuple[Line, ...]
    left_out: int = 0


def rated_lines(kind: str, points: Sequence[Point]) -> tuple[Lines, ...]:
    """The diagrams of a kind of part with a line for each state its points were rated in.

    kind: the part's kind; points: each rated point by field name. A point without x or y is left out, and a diagram
    without any point too. Lines are ordered by their state, points by x; states beyond MOST_LINES are counted.
    """
    found = []
    for curve in RATED_CURVES.get(kind, ()):
        lines = _lines(curve, points)
        if lines:
            found.append(Lines(curve, lines[:MOST_LINES], max(len(lines) - MOST_LINES, 0)))
    return tuple(found)


def _lines(curve: RatedCurve, points: Sequence[Point]) -> tuple[Line, ...]:
    groups: dict[tuple[float, ...], list[tuple[float, float]]] = {}
    for point in points:
        x, y = _number(point, curve.x), _number(point, curve.y)
        state = tuple(_number(point, name) for name, _ in curve.by)
        if x is not None and y is not None and None not in state:
            groups.setdefault(tuple(value for value in state if value is not None), []).append((x, y))
    lines = []
    for state in sorted(groups):
        x_values, y_values = zip(*sorted(groups[state]), strict=True)
        lines.append(Line(_name(curve, state) or curve.only, x_values, y_values, dots=True))
    return tuple(lines)


def _number(point: Point, name: str) -> float | None:
    value = point.get(name)
    return float(value) if isinstance(value, int | float) else None


def _name(curve: RatedCurve, state: Sequence[float]) -> str:
    said = []
    for (name, word), value in zip(curve.by, state, strict=True):
        text = (
            format_value(name, value)
            if quantity_of(name) is not None
            else f"{format_number(value * 100, 0)} %"  # the only one without a unit is a relative humidity
        )
        said.append(f"{word} {text}".strip())
    return ", ".join(said)


def rated_svg(lines: Lines, *, dark: bool = False, width_px: int) -> str:
    """The diagram as an SVG document."""
    picture = Picture(
        lines.curve.key,
        lines.curve.title,
        rated_words(lines),
        lines.curve.x_label,
        y_label=lines.curve.y_label,
        lines=lines.lines,
    )
    return picture_svg(picture, dark=dark, width_px=width_px)


def rated_words(lines: Lines) -> str:
    """The diagram in words: the axes, and where each line begins and ends."""
    said = [f"{lines.curve.y_label} against {lines.curve.x_label}."]
    said += [f"{line.label}: {_ends(line)}." for line in lines.lines]
    if lines.left_out:
        said.append(f"{lines.left_out} more states are in the table only.")
    return " ".join(said)


def _ends(line: Line) -> str:
    if len(line.x) == 1:
        return f"{line.y[0]:g} at {line.x[0]:g}"
    return f"from {line.y[0]:g} at {line.x[0]:g} to {line.y[-1]:g} at {line.x[-1]:g}"
