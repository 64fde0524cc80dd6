"""The key of a chart: a sample of each line or fill with its name, broken into lines that fit the sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from kits.documents.chart_style import TEXT_PX, Inks, text_width_px, wrapped

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LINE_PX = 22.0
_SAMPLE_PX, _BETWEEN_PX = 28.0, 18.0
_TEXT_LINE_PX = 17.0
_EDGE_PX = 10.0


@dataclass(frozen=True)
class KeyEntry:
    """What a name stands for: a line (its style), a fill (tone, hatch), or a number at a place."""

    label: str
    line: Mapping[str, Any] | None = None
    fill: tuple[str, str] | None = None
    number: str = ""


@dataclass(frozen=True)
class Placed:
    """An entry at its place: from the left and from the key's upper edge, px, its name in lines."""

    entry: KeyEntry
    x_px: float
    y_px: float
    lines: tuple[str, ...]


def laid_out(entries: Sequence[KeyEntry], width_px: float) -> tuple[tuple[Placed, ...], float]:
    """The entries placed side by side on a sheet of this width, and the height they take, px."""
    room_px = width_px - 2 * _EDGE_PX
    placed: list[Placed] = []
    x = y = row_px = 0.0
    for entry in entries:
        lines = wrapped(entry.label, room_px - _SAMPLE_PX)
        width = _SAMPLE_PX + max(text_width_px(line) for line in lines)
        if x and x + width > room_px:
            x, y, row_px = 0.0, y + row_px, 0.0
        placed.append(Placed(entry, _EDGE_PX + x, y, lines))
        row_px = max(row_px, LINE_PX + _TEXT_LINE_PX * (len(lines) - 1))
        x += width + _BETWEEN_PX
    return tuple(placed), y + row_px


def draw_key(figure: Figure, inks: Inks, placed: Sequence[Placed], top_px: float) -> None:
    """Draw a key; top_px: its upper edge from the sheet's upper edge."""
    width_px, height_px = figure.get_size_inches() * 72.0
    for one in placed:
        y = height_px - top_px - one.y_px - LINE_PX / 2
        _draw_sample(
            figure=figure, inks=inks, entry=one.entry, x=one.x_px, y=y, width_px=width_px, height_px=height_px
        )
        for number, line in enumerate(one.lines):
            figure.text(
                (one.x_px + _SAMPLE_PX) / width_px,
                (y - number * _TEXT_LINE_PX) / height_px,
                line,
                fontsize=TEXT_PX,
                color=inks.ink,
                va="center_baseline",
            )


def _draw_sample(
    *, figure: Figure, inks: Inks, entry: KeyEntry, x: float, y: float, width_px: float, height_px: float
) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Rectangle

    if entry.fill is not None:
        tone, hatch = entry.fill
        corner, size = (x / width_px, (y - 6.5) / height_px), (22.0 / width_px, 13.0 / height_px)
        figure.add_artist(
            Rectangle(corner, *size, facecolor=tone, edgecolor=inks.ink, hatch=hatch, linewidth=1.0)
        )
    if entry.line is not None:
        ends = [x / width_px, (x + 22.0) / width_px], [y / height_px] * 2
        figure.add_artist(Line2D(*ends, **entry.line))
    if entry.number:
        place = (x + 11.0) / width_px, y / height_px
        figure.text(
            *place,
            entry.number,
            fontsize=TEXT_PX,
            weight="bold",
            color=inks.ink,
            ha="center",
            va="center_baseline",
        )
