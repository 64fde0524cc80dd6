"""Lines, bands and named places over two axes, as SVG text.

Like every chart of ours: an SVG document to be shown as an image, letters as outlines, the same input always
the same text. Lines differ by dash as well as by ink; what is named lies on nothing else, or is numbered and
named in the key.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from kits.documents.chart_key import KeyEntry, draw_key, laid_out
from kits.documents.chart_style import (
    NARROW_PX,
    TEXT_PX,
    Inks,
    canvas,
    check_finite,
    log_ticks_within,
    svg_text,
    text_width_px,
    ticks_within,
    wrapped,
)
from kits.documents.curve_names import MOST_DASHES, TEXT_LINE_PX, Frame, Name, Names
from kits.documents.label_places import Box
from kits.topics.figure import Band, Line, Picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_DASHES = ("-", (0, (7, 3)), (0, (2, 2)), (0, (9, 3, 2, 3)))
_WIDTHS = {"main": 2.2, "other": 1.6, "thin": 1.0}
_PLOT_PX, _NARROW_PLOT_PX = 300.0, 240.0
_EDGE_PX = 10.0


def curves(picture: Picture, inks: Inks, width_px: int) -> str:
    """The SVG document of a picture with lines, bands or spots.

    A line needs two points, one with dots one. Raises ValueError with a sentence for nothing to draw, for a number
    that is not finite and, on a logarithmic axis, one that is not above zero.
    """
    check_curves(picture)
    narrow = width_px < 1.5 * NARROW_PX
    x_low_high, y_low_high = _limits(picture)
    x_ticks, x_texts = ticks_within(*x_low_high, 5 if narrow else 9)
    y_ticks, y_texts = (
        log_ticks_within(*y_low_high) if picture.y_is_logarithmic else ticks_within(*y_low_high, 7)
    )
    left_px = 16.0 + max(text_width_px(text, 12.0) for text in y_texts or ("",))
    right_px = 12.0 + text_width_px(x_texts[-1], 12.0) / 2 if x_texts else 16.0
    plot_px = _NARROW_PLOT_PX if narrow else _PLOT_PX
    frame = Frame(x_low_high, y_low_high, width_px - left_px - right_px, plot_px, picture.y_is_logarithmic)
    names = Names(picture, frame)
    key, key_px = laid_out(_key(picture, inks, names), width_px)
    y_label = wrapped(picture.y_label, width_px - 2 * _EDGE_PX)
    x_label = wrapped(picture.x_label, width_px - 2 * _EDGE_PX)
    head_px = 12.0 + TEXT_LINE_PX * len(y_label)
    top_px, bottom_px = head_px + key_px + 12.0, 34.0 + TEXT_LINE_PX * len(x_label)
    figure, axes = canvas(
        inks, width_px, top_px + plot_px + bottom_px,
        left_px=left_px, right_px=right_px, top_px=top_px, bottom_px=bottom_px,
    )  # fmt: skip
    if picture.y_is_logarithmic:
        axes.set_yscale("log")
        axes.minorticks_off()
    axes.set(xlim=x_low_high, ylim=y_low_high)
    axes.set_xticks(x_ticks, x_texts)
    axes.set_yticks(y_ticks, y_texts)
    axes.grid(color=inks.rule, linewidth=0.8)
    axes.set_axisbelow(True)
    _draw_bands(axes, inks, picture.bands)
    for line, style in zip(picture.lines, line_styles(picture.lines, inks), strict=True):
        axes.plot(line.x, line.y, **style)
    _draw_names(axes, inks, picture, names)
    for lines, top in ((y_label, 8.0), (x_label, top_px + plot_px + 28.0)):
        _label(figure, inks, lines, top, left_px if lines is x_label else _EDGE_PX)
    draw_key(figure, inks, key, head_px)
    return svg_text(figure, inks)


def check_curves(picture: Picture) -> None:
    """Refuse what can't be drawn, with a sentence."""
    if not (picture.lines or picture.bands):
        raise ValueError("There is no curve to draw.")
    for line in picture.lines:
        if len(line.x) != len(line.y) or len(line.x) < (1 if line.dots else 2):
            raise ValueError(f"{line.label}: a curve needs two points or more, as many x as y.")
        check_finite(line.label, line.x, line.y)
    for band in picture.bands:
        if not len(band.x) == len(band.low) == len(band.high) >= 2:
            raise ValueError(f"{band.label}: a band needs two points or more, as many x as low and high.")
        check_finite(band.label, band.x, band.low, band.high)
    for spot in picture.spots:
        check_finite(spot.label, (spot.x, spot.y))
    if picture.y_is_logarithmic and min(_all_y(picture)) <= 0:
        raise ValueError("A logarithmic axis needs numbers above zero.")


def line_styles(lines: Sequence[Line], inks: Inks) -> list[dict[str, Any]]:
    """How each line is drawn: heavy ones with dashes of their own, those of the ground thin and soft."""
    colours = {"main": inks.accent, "other": inks.ink, "thin": inks.soft}
    turn = {False: 0, True: 0}
    styles: list[dict[str, Any]] = []
    for line in lines:
        thin = line.weight == "thin"
        dash = _DASHES[turn[thin] % MOST_DASHES]
        # several thin lines are told apart by the names that stand at them
        turn[thin] += 0 if thin else 1
        style: dict[str, Any] = {
            "linestyle": dash, "color": colours[line.weight], "linewidth": _WIDTHS[line.weight],
        }  # fmt: skip
        if line.dots:
            style |= {"marker": "s", "ms": 6}
        styles.append(style)
    return styles


def _all_x(picture: Picture) -> list[float]:
    drawn = [line.x for line in picture.lines] + [band.x for band in picture.bands]
    return [v for x in drawn for v in x] + [s.x for s in picture.spots]


def _all_y(picture: Picture) -> list[float]:
    bands = [v for band in picture.bands for v in (*band.low, *band.high)]
    return [v for line in picture.lines for v in line.y] + bands + [s.y for s in picture.spots]


def _limits(picture: Picture) -> tuple[tuple[float, float], tuple[float, float]]:
    """The ends of both axes: all there is with a little room; from zero where zero is near."""
    y = _all_y(picture)
    if picture.y_is_logarithmic:
        low, high = math.log(min(y)), math.log(max(y))
        room = 0.06 * (high - low) or 0.1
        return _linear(_all_x(picture), 0.03), (math.exp(low - room), math.exp(high + room))
    return _linear(_all_x(picture), 0.03), _linear(y, 0.09)


def _linear(values: Sequence[float], room_share: float) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = room_share * (high - low) or max(abs(high), 1.0) * 0.1
    # an axis that begins near zero begins at zero
    start = 0.0 if 0 <= low < 0.35 * high else low - room
    end = 0.0 if low < 0 and 0.35 * low < high <= 0 else high + room
    return start, end


def _key(picture: Picture, inks: Inks, names: Names) -> list[KeyEntry]:
    """What the key has to say: lines without a name of their own, bands, and numbered places."""
    found = [
        KeyEntry(line.label, line=style)
        for line, style, named in zip(
            picture.lines, line_styles(picture.lines, inks), names.lines, strict=True
        )
        if named is None and line.label
    ]
    found += [KeyEntry(band.label, fill=_fill(inks, i)) for i, band in enumerate(picture.bands)]
    found += [KeyEntry(label, number=str(n)) for n, label in enumerate(names.numbered, 1)]
    return found


def _fill(inks: Inks, index: int) -> tuple[str, str]:
    return inks.fills[index % len(inks.fills)]


def _draw_bands(axes: Axes, inks: Inks, bands: Sequence[Band]) -> None:
    for index, band in enumerate(bands):
        tone, hatch = _fill(inks, index)
        axes.fill_between(
            band.x, band.low, band.high, facecolor=tone, edgecolor=inks.ink, hatch=hatch, linewidth=1.0, zorder=1.5
        )  # fmt: skip


def _draw_names(axes: Axes, inks: Inks, picture: Picture, names: Names) -> None:
    for spot in picture.spots:
        axes.plot(
            [spot.x], [spot.y], "o", ms=10, mfc=inks.sheet, mec=inks.ink, mew=1.8, zorder=4, clip_on=False
        )
    for name in names.spots:
        if name.leads_to is not None:
            _leader(axes, inks, name.box, name.leads_to)
        _write(axes, inks, name, "bold")
    for line in names.lines:
        if line is not None:
            _write(axes, inks, line, "normal")


def _leader(axes: Axes, inks: Inks, box: Box, to: tuple[float, float]) -> None:
    """A thin line from a name to the place it belongs to."""
    near = min(max(to[0], box[0]), box[2]), min(max(to[1], box[1]), box[3])
    axes.annotate(
        "", to, near, xycoords="axes points", textcoords="axes points",
        arrowprops={"arrowstyle": "-", "color": inks.soft, "linewidth": 1.0, "shrinkA": 1, "shrinkB": 6}, zorder=3,
    )  # fmt: skip


def _write(axes: Axes, inks: Inks, name: Name, weight: str) -> None:
    """A name in its box, with paper behind it where a line runs through."""
    box = {"facecolor": inks.sheet, "edgecolor": "none", "pad": 1.0, "alpha": 0.85} if name.on_line else None
    for number, line in enumerate(name.lines):
        axes.annotate(
            line, (0, 0), (name.box[0], name.box[3] - TEXT_LINE_PX * (number + 0.5) + 1),
            xycoords="axes points", textcoords="axes points", annotation_clip=False,
            va="center_baseline", fontsize=TEXT_PX - 1, weight=weight, color=inks.ink, zorder=5, bbox=box,
        )  # fmt: skip


def _label(figure: Any, inks: Inks, lines: Sequence[str], top_px: float, left_px: float) -> None:
    width_px, height_px = figure.get_size_inches() * 72.0
    for number, line in enumerate(lines):
        y = height_px - top_px - TEXT_LINE_PX * (number + 0.5)
        figure.text(
            left_px / width_px, y / height_px, line, fontsize=TEXT_PX, color=inks.ink, va="center_baseline"
        )
