"""Curves over a common axis with the places worth naming on them, as SVG text.

Like every chart of ours: an SVG document to be shown as an image, letters as outlines, the same input always
the same text, and a twin that says the same in words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kits.documents.chart_style import TEXT_PX, WIDTH_PX, Inks, canvas, inks_for, svg_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@dataclass(frozen=True)
class Curve:
    """One line of a diagram: its name and its points; `rated`: the points were measured, and one alone may stand."""

    label: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    rated: bool = False


@dataclass(frozen=True)
class Mark:
    """A place worth naming on a diagram, such as the operating point or a crossing."""

    label: str
    x: float
    y: float


def curves(
    lines: Sequence[Curve],
    *,
    x_label: str,
    y_label: str,
    marks: Sequence[Mark] = (),
    dark: bool = False,
    paper: bool = False,
    width_px: int = WIDTH_PX,
) -> str:
    """Lines over a common axis with named places, such as a blower on its system.

    Parameters: lines, at least one, each with two points or more, a rated one with one or more; x_label and
    y_label with their units; marks, places to name; dark, for a dark page; paper, for a printed sheet;
    width_px, the width it is drawn for. Returns an SVG document. Lines differ by dash as well as by ink and
    are named in a key.
    Validity: finite numbers; ValueError when there is nothing to draw or a number is not finite.
    """
    _check_lines(lines, marks)
    inks = inks_for(dark=dark, paper=paper)
    columns = 2 if width_px >= 500 else 1
    key_px = 22.0 * math.ceil(len(lines) / columns)
    height_px = (330.0 if columns == 2 else 270.0) + key_px
    figure, axes = canvas(
        inks, width_px, height_px, left_px=60, right_px=16, top_px=34 + key_px, bottom_px=50
    )
    axes.grid(color=inks.rule, linewidth=0.8)
    axes.margins(x=0.08, y=0.18)
    axes.locator_params(axis="x", nbins=5 if width_px < 500 else 9)
    axes.set_xlabel(x_label, fontsize=TEXT_PX, color=inks.ink)
    axes.set_title(y_label, fontsize=TEXT_PX, color=inks.ink, loc="left", pad=10 + key_px)
    for index, line in enumerate(lines):
        _draw_line(axes, inks, line, index)
    _draw_key(axes, inks, columns)
    for mark in marks:
        axes.plot([mark.x], [mark.y], "o", ms=11, mfc=inks.sheet, mec=inks.ink, mew=2, zorder=4)
        _name_mark(axes, inks, mark)
    return svg_text(figure)


def curves_text(lines: Sequence[Curve], *, x_label: str, y_label: str, marks: Sequence[Mark] = ()) -> str:
    """Say in words what `curves` draws: the axes, where each line begins and ends, and each named place."""
    _check_lines(lines, marks)
    said = [f"{y_label} against {x_label}."]
    said += [f"{c.label}: {_ends(c)}." for c in lines]
    said += [f"{mark.label}: {mark.y:g} at {mark.x:g}." for mark in marks]
    return " ".join(said)


def _ends(line: Curve) -> str:
    if len(line.x) == 1:
        return f"{line.y[0]:g} at {line.x[0]:g}"
    return f"from {line.y[0]:g} at {line.x[0]:g} to {line.y[-1]:g} at {line.x[-1]:g}"


def _check_lines(lines: Sequence[Curve], marks: Sequence[Mark]) -> None:
    if not lines:
        raise ValueError("There is no curve to draw.")
    for line in lines:
        if len(line.x) != len(line.y) or len(line.x) < (1 if line.rated else 2):
            raise ValueError(f"{line.label}: a curve needs two points or more, as many x as y.")
        if not all(math.isfinite(value) for value in (*line.x, *line.y)):
            raise ValueError(f"{line.label}: a point of the curve is not a finite number.")
    for mark in marks:
        if not (math.isfinite(mark.x) and math.isfinite(mark.y)):
            raise ValueError(f"{mark.label}: its place is not a finite number.")


def _draw_line(axes: Axes, inks: Inks, line: Curve, index: int) -> None:
    dashes = ("-", (0, (7, 3)), (0, (2, 2)), (0, (9, 3, 2, 3)))
    colour = inks.accent if index == 0 else inks.ink
    axes.plot(
        line.x,
        line.y,
        linestyle=dashes[index % 4],
        color=colour,
        linewidth=2.2,
        marker="s" if line.rated else "",
        ms=6,
        label=line.label,
    )


def _draw_key(axes: Axes, inks: Inks, columns: int) -> None:
    """The names of the lines with a piece of each, over the diagram, where no line can run into them."""
    axes.legend(
        loc="lower left",
        bbox_to_anchor=(0.0, 1.0),
        ncols=columns,
        frameon=False,
        fontsize=TEXT_PX,
        labelcolor=inks.ink,
        handlelength=3.2,
        borderpad=0.2,
        borderaxespad=0.0,
        columnspacing=2.0,
    )


def _name_mark(axes: Axes, inks: Inks, mark: Mark) -> None:
    """Name a place beside it, towards the middle: left and right of a crossing the wedges are free."""
    low, high = axes.get_xlim()
    left = mark.x > low + 0.55 * (high - low)
    axes.annotate(
        mark.label,
        (mark.x, mark.y),
        (-20 if left else 20, 0),
        textcoords="offset points",
        ha="right" if left else "left",
        va="center_baseline",
        fontsize=TEXT_PX,
        weight="bold",
        color=inks.ink,
        zorder=1.5,
        bbox=_backing(inks),
    )


def _backing(inks: Inks) -> dict[str, object]:
    """A patch of paper behind a name, so that grid lines do not run through it."""
    return {"facecolor": inks.sheet, "edgecolor": "none", "pad": 1.5}
