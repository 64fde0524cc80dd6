"""Bars with their values and limits, as SVG text: one beneath the other, so that long names have room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kits.documents.chart_key import KeyEntry, draw_key, laid_out
from kits.documents.chart_style import (
    TEXT_PX,
    Inks,
    canvas,
    check_finite,
    svg_text,
    text_width_px,
    ticks_within,
    wrapped,
)
from kits.topics.figure import Bar, Picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_EDGE_PX, _TEXT_LINE_PX, _BAR_PX, _GAP_PX = 10.0, 17.0, 18.0, 12.0
_NARROW_PX = 500
MARK = "limit or aim"


def bars(picture: Picture, inks: Inks, width_px: int) -> str:
    """The SVG document of a picture with bars; ValueError with a sentence for a number that is not finite."""
    check_bars(picture)
    room_px = width_px - 2 * _EDGE_PX
    rows = [(bar, wrapped(bar.label, room_px)) for bar in picture.bars]
    heights = [_TEXT_LINE_PX * len(lines) + _BAR_PX + _GAP_PX for _, lines in rows]
    has_marks = any(bar.mark is not None for bar in picture.bars)
    mark_style = {"color": inks.ink, "linewidth": 2.4}
    key, key_px = laid_out([KeyEntry(MARK, line=mark_style)] if has_marks else [], width_px)
    x_label = wrapped(picture.x_label, room_px)
    top_px, bottom_px = 8.0 + key_px, 34.0 + _TEXT_LINE_PX * len(x_label)
    plot_px = sum(heights)
    figure, axes = canvas(
        inks, width_px, top_px + plot_px + bottom_px,
        left_px=_EDGE_PX, right_px=_EDGE_PX, top_px=top_px, bottom_px=bottom_px,
    )  # fmt: skip
    low, high = _span(picture, room_px)
    axes.set(xlim=(low, high), ylim=(plot_px, 0.0), yticks=[])
    ticks, texts = ticks_within(low, high, 5 if width_px < _NARROW_PX else 9)
    per_px = (high - low) / room_px
    # a number at the very edge would be cut
    shown = [
        (tick, text) for tick, text in zip(ticks, texts, strict=True)
        if low - 8 * per_px <= tick - text_width_px(text, 12.0) / 2 * per_px
        and tick + text_width_px(text, 12.0) / 2 * per_px <= high + 8 * per_px
    ]  # fmt: skip
    axes.set_xticks([tick for tick, _ in shown], [text for _, text in shown])
    y = 0.0
    for (bar, lines), height in zip(rows, heights, strict=True):
        _draw_bar(axes, inks, bar, lines, y, per_px)
        y += height
    for number, line in enumerate(x_label):
        place = height_of(figure) - top_px - plot_px - 28.0 - _TEXT_LINE_PX * (number + 0.5)
        figure.text(
            _EDGE_PX / width_px, place / height_of(figure), line, fontsize=TEXT_PX, color=inks.ink,
            va="center_baseline",
        )  # fmt: skip
    draw_key(figure, inks, key, 6.0)
    return svg_text(figure, inks)


def height_of(figure: object) -> float:
    """The sheet's height, px."""
    return float(figure.get_size_inches()[1] * 72.0)  # type: ignore[attr-defined]


def check_bars(picture: Picture) -> None:
    """Refuse what can't be drawn, with a sentence."""
    if not picture.bars:
        raise ValueError("There is no bar to draw.")
    for bar in picture.bars:
        check_finite(bar.label, (bar.value, bar.mark or 0.0))


def _span(picture: Picture, room_px: float) -> tuple[float, float]:
    """The ends of the axis: all bars and limits, with room for each value right of its bar."""
    values = [
        0.0,
        *(bar.value for bar in picture.bars),
        *(b.mark for b in picture.bars if b.mark is not None),
    ]
    low, high = min(values), max(values)
    if high <= low:
        return 0.0, 1.0
    text_px = max(text_width_px(bar.text) for bar in picture.bars) + 22.0
    low -= 0.01 * (high - low)
    return low, low + (high - low) * room_px / max(room_px - text_px, 0.3 * room_px)


def _draw_bar(axes: Axes, inks: Inks, bar: Bar, lines: tuple[str, ...], top: float, per_px: float) -> None:
    from matplotlib.patches import Rectangle

    left = axes.get_xlim()[0]
    for number, line in enumerate(lines):
        axes.text(
            left, top + _TEXT_LINE_PX * (number + 0.5), line, fontsize=TEXT_PX, color=inks.ink, va="center_baseline"
        )  # fmt: skip
    y = top + _TEXT_LINE_PX * len(lines) + 3.0
    tone, hatch = inks.fills[2]
    axes.add_artist(
        Rectangle(
            (0.0, y), bar.value, _BAR_PX, facecolor=tone, edgecolor=inks.ink, hatch=hatch, linewidth=1.0
        )
    )
    axes.plot([0.0, 0.0], [y, y + _BAR_PX], color=inks.ink, linewidth=1.2, zorder=3)
    start = max(bar.value, 0.0) + 8.0 * per_px
    if bar.mark is not None:
        axes.plot([bar.mark] * 2, [y - 2.0, y + _BAR_PX + 2.0], color=inks.ink, linewidth=2.4, zorder=4)
        wide = (text_width_px(bar.text) + 8.0) * per_px
        if start - 8.0 * per_px <= bar.mark <= start + wide:
            start = bar.mark + 8.0 * per_px
    axes.text(
        start, y + _BAR_PX / 2, bar.text, fontsize=TEXT_PX, weight="bold", color=inks.ink, va="center_baseline"
    )  # fmt: skip
