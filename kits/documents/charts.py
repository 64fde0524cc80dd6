"""The chart of heat load by term beside capacity, as SVG text; curves have a module of their own.

It takes plain numbers and returns one SVG document, meant to be shown as an image (it carries
its own styles, which a page's content policy would refuse inline). Letters are drawn as outlines, so that
screen, PDF and a machine without our fonts show the same picture; the same input always gives the same
text. Its twin says the same in words. Hatches, numbers and words carry the meaning;
colour only repeats it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kits.documents.chart_key import KeyEntry, draw_key, laid_out
from kits.documents.chart_style import (
    TEXT_PX,
    WIDTH_PX,
    Inks,
    canvas,
    inks_for,
    kilowatts,
    svg_text,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_ROW_PX = 96.0  # one duty point: caption, load bar, capacity bar
_LOAD_PX, _CAPACITY_PX, _BAR_PX = 40.0, 64.0, 20.0  # upper edges within the row, and thickness
_VALUE_PX = 116.0  # room right of the longest bar for its value


@dataclass(frozen=True)
class DutyBars:
    """One duty point of the load chart.

    `terms` are (name, watts) in the order of the heat load; a negative term takes heat out. `capacity_w` is
    None while the fitment is not sized, `tolerance_w` the half width of its uncertainty. `verdict` is the
    word and margin to print, as the sizing gave it: nothing is judged here.
    """

    label: str
    terms: tuple[tuple[str, float], ...]
    capacity_w: float | None
    verdict: str
    tolerance_w: float = 0.0

    @property
    def load_w(self) -> float:
        """Sum of the terms, W."""
        return math.fsum(value for _, value in self.terms)


def load_and_capacity(
    points: Sequence[DutyBars], *, dark: bool = False, paper: bool = False, width_px: int = WIDTH_PX
) -> str:
    """Heat load by term, stacked, above the capacity, for each duty point.

    Parameters: points, at least one, terms and capacity in W; dark, for a dark page; paper, for a printed
    sheet; width_px, the width it is drawn for (NARROW_PX for a phone). Returns an SVG document. A line
    carries the load down over the capacity bar, so that what is missing or left over is seen at once;
    terms are numbered and named in a key below. Validity: any finite watts; ValueError when there is
    nothing to draw or a number is not finite.
    """
    _check_points(points)
    inks = inks_for(dark=dark, paper=paper)
    numbers = _term_numbers(points)
    fills = [(f"{n} {name}", inks.fills[(n - 1) % len(inks.fills)]) for name, n in numbers.items()]
    key, key_px = laid_out([KeyEntry(label, fill=fill) for label, fill in fills], width_px)
    bottom_px = 52.0 + key_px
    height_px = _ROW_PX * len(points) + bottom_px
    figure, axes = canvas(inks, width_px, height_px, left_px=10, right_px=10, top_px=0, bottom_px=bottom_px)
    low_w, high_w = _span_w(points, width_px - 20.0)
    w_per_px = (high_w - low_w) / (width_px - 20.0)
    axes.set(xlim=(low_w, high_w), ylim=(_ROW_PX * len(points), 0.0), yticks=[])
    axes.locator_params(axis="x", nbins=4 if width_px < 500 else 8)
    axes.xaxis.set_major_formatter(lambda value, _: f"{value / 1000:.1f}" if value else "0 kW")
    axes.axvline(0.0, color=inks.ink, linewidth=1.2, zorder=3)
    for index, point in enumerate(points):
        _draw_duty(axes, inks, point, numbers, _ROW_PX * index, w_per_px)
    draw_key(figure, inks, key, height_px - key_px - 6.0)
    return svg_text(figure, inks)


def load_and_capacity_text(points: Sequence[DutyBars]) -> str:
    """Say in words what `load_and_capacity` draws, for each duty point."""
    _check_points(points)
    return " ".join(_point_text(point) for point in points)


# ---- words


def _point_text(point: DutyBars) -> str:
    terms = ", ".join(
        f"{name} {kilowatts(value)}" for name, value in sorted(point.terms, key=lambda t: -abs(t[1]))
    )
    answer = f"load {kilowatts(point.load_w)}, {_capacity_words(point)}; {point.verdict}"
    return f"{point.label}: {answer}. Load by term: {terms}."


def _capacity_words(point: DutyBars) -> str:
    if point.capacity_w is None:
        return "capacity not sized"
    plus_minus = f" ± {kilowatts(point.tolerance_w)}" if point.tolerance_w else ""
    return f"capacity {kilowatts(point.capacity_w)}{plus_minus}"


# ---- load and capacity


def _check_points(points: Sequence[DutyBars]) -> None:
    if not points or not any(point.terms for point in points):
        raise ValueError("There is no heat load to draw.")
    for point in points:
        values = [value for _, value in point.terms] + [point.tolerance_w, point.capacity_w or 0.0]
        if not all(math.isfinite(value) for value in values):
            raise ValueError(f"{point.label}: a load or capacity is not a finite number.")
        if point.tolerance_w < 0.0:
            raise ValueError(f"{point.label}: the tolerance of the capacity is negative.")


def _term_numbers(points: Sequence[DutyBars]) -> dict[str, int]:
    """Each term's number in the key, by first appearance, the same for every duty point."""
    names = dict.fromkeys(name for point in points for name, _ in point.terms)
    return {name: number for number, name in enumerate(names, start=1)}


def _span_w(points: Sequence[DutyBars], room_px: float) -> tuple[float, float]:
    """Ends of the watt axis: the longest bar, and room for its value to the right of it."""
    low = min(math.fsum(v for _, v in p.terms if v < 0.0) for p in points)
    tops = [math.fsum(v for _, v in p.terms if v > 0.0) for p in points]
    tops += [p.capacity_w + p.tolerance_w for p in points if p.capacity_w is not None]
    reach = max(max(tops), 1.0) - low
    return low - reach * 0.01, low + reach * room_px / (room_px - _VALUE_PX)


def _draw_duty(
    axes: Axes, inks: Inks, point: DutyBars, numbers: Mapping[str, int], top: float, w_per_px: float
) -> None:
    """Caption, load bar, capacity bar and the line between them; `top` is the row's upper edge."""
    load_y, capacity_y = top + _LOAD_PX, top + _CAPACITY_PX
    axes.text(
        5.0 * w_per_px, top + 22.0, point.label, fontsize=14, weight="bold", color=inks.ink, va="baseline"
    )
    right_w = axes.get_xlim()[1]
    axes.text(right_w, top + 22.0, point.verdict, fontsize=14, color=inks.ink, va="baseline", ha="right")
    end_w = _draw_terms(axes, inks, point, numbers, load_y, w_per_px)
    _value(axes, inks, end_w + 8.0 * w_per_px, load_y, f"load {kilowatts(point.load_w)}")
    end_w = _draw_capacity(axes, inks, point, capacity_y)
    axes.plot(
        [point.load_w] * 2, [load_y, capacity_y + _BAR_PX + 5.0], color=inks.ink, linewidth=2.0, zorder=4
    )
    _value(axes, inks, max(end_w, point.load_w) + 8.0 * w_per_px, capacity_y, _capacity_label(point))


def _capacity_label(point: DutyBars) -> str:
    return "capacity not sized" if point.capacity_w is None else f"capacity {kilowatts(point.capacity_w)}"


def _value(axes: Axes, inks: Inks, x_w: float, y: float, text: str) -> None:
    axes.text(x_w, y + _BAR_PX / 2.0, text, fontsize=TEXT_PX, color=inks.ink, va="center_baseline")


def _draw_terms(
    axes: Axes, inks: Inks, point: DutyBars, numbers: Mapping[str, int], y: float, w_per_px: float
) -> float:
    """The stacked bar, heat in to the right of zero and heat out to the left; returns its right end, W."""
    right_w = left_w = 0.0
    clear_w = -math.inf  # where the last number above the bar ends
    for name, value in point.terms:
        if value == 0.0:
            continue
        start_w = right_w if value >= 0.0 else left_w
        tone, hatch = inks.fills[(numbers[name] - 1) % len(inks.fills)]
        _bar(axes, y, start_w, value, facecolor=tone, edgecolor=inks.ink, hatch=hatch)
        middle_w = start_w + value / 2.0
        wide = abs(value) >= 18.0 * w_per_px
        if not wide:
            middle_w = clear_w = max(middle_w, clear_w + 13.0 * w_per_px)
        _number(
            axes,
            inks,
            numbers[name],
            middle_w,
            y + _BAR_PX / 2.0 if wide else y - 6.0,
            plain=hatch == "" or not wide,
        )
        if value >= 0.0:
            right_w += value
        else:
            left_w += value
    return right_w


def _bar(axes: Axes, y: float, start_w: float, value_w: float, **style: object) -> None:
    """One bar, as a plain rectangle: `barh` measures the axes anew for each and takes its time."""
    from matplotlib.patches import Rectangle

    axes.add_artist(Rectangle((start_w, y), value_w, _BAR_PX, linewidth=1.0, **style))  # type: ignore[arg-type]


def _number(axes: Axes, inks: Inks, number: int, x_w: float, y: float, *, plain: bool) -> None:
    box = None if plain else {"facecolor": inks.sheet, "edgecolor": "none", "pad": 1.2}
    axes.text(
        x_w,
        y,
        str(number),
        fontsize=11.5,
        color=inks.ink,
        ha="center",
        va="center_baseline",
        bbox=box,
        zorder=5,
    )


def _draw_capacity(axes: Axes, inks: Inks, point: DutyBars, y: float) -> float:
    """The capacity bar with its uncertainty; returns its right end, W."""
    if point.capacity_w is None:
        _bar(axes, y, 0.0, max(point.load_w, 0.0), fill=False, edgecolor=inks.soft, linestyle=(0, (3, 3)))
        return point.load_w
    _bar(axes, y, 0.0, point.capacity_w, facecolor=inks.accent, edgecolor=inks.ink)
    if point.tolerance_w:
        low, high = point.capacity_w - point.tolerance_w, point.capacity_w + point.tolerance_w
        middle = y + _BAR_PX / 2.0
        for colour, width in ((inks.sheet, 4.5), (inks.ink, 1.8)):  # a light halo keeps it visible on the bar
            axes.plot(
                [low, high],
                [middle] * 2,
                color=colour,
                linewidth=width,
                marker="|",
                ms=12,
                mew=width,
                zorder=3,
            )
    return point.capacity_w + point.tolerance_w
