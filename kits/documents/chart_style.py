"""Inks, type and canvas of our charts, and their way out as SVG text.

Pixels throughout: a figure of W x H pixels is made at 72 dots per inch, so that one point is one pixel of
the SVG. matplotlib is imported inside the functions, since it takes a noticeable part of a second.
"""

from __future__ import annotations

import base64
import io
import math
import re
import textwrap
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from vehicles.physics.quantities import format_number

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FONTS = Path(__file__).resolve().parent.parent / "static" / "kitwright" / "fonts"
WIDTH_PX = 760
NARROW_PX = 360  # for a phone
TEXT_PX = 13.0
# Mean advance of Inter over running text, in parts of its size; enough to break a key into lines.
MEAN_ADVANCE = 0.56
# The setting of letters belongs to the whole process.
_ONE_AT_A_TIME = Lock()
# Two threads that import matplotlib at once can find it half made.
_ONE_PREPARES = Lock()
_BEFORE_UNIT = re.compile(
    r"(\d) (?=(?:[kmc]?[WgmV]|°C|K|A|Pa|bar|min|rpm|%|m³/h|m/s|km/h|kJ/kg|g/kg)(?![a-z]))"
)


@dataclass(frozen=True)
class Inks:
    """The colours of one theme; fills are (tone, hatch), and neighbours differ in both for mono print."""

    sheet: str
    ink: str
    soft: str
    rule: str
    accent: str
    fills: tuple[tuple[str, str], ...]


_HATCHES = ("", "////", "", "||||", "\\\\\\\\", "---", "", "xxxx")


def _fills(*tones: str) -> tuple[tuple[str, str], ...]:
    return tuple(zip(tones, _HATCHES, strict=True))


LIGHT = Inks(
    sheet="#faf7f0",
    ink="#1b1c19",
    soft="#57534a",
    rule="#d3cbba",
    accent="#1d5740",
    fills=_fills("#d9cfb8", "#f6f1e4", "#b3a98f", "#f6f1e4", "#d9cfb8", "#f6f1e4", "#958b74", "#f6f1e4"),
)
DARK = Inks(
    sheet="#191a17",
    ink="#ece8dd",
    soft="#b6b1a3",
    rule="#3d3f37",
    accent="#86c9a6",
    fills=_fills("#57533f", "#26281f", "#68634d", "#26281f", "#57533f", "#26281f", "#403d2e", "#26281f"),
)


PAPER = replace(LIGHT, sheet="#ffffff", ink="#000000", soft="#333333", rule="#999999", accent="#333333")


def inks_for(*, dark: bool, paper: bool) -> Inks:
    """The inks of a light page, a dark page, or white paper, which wins."""
    return PAPER if paper else DARK if dark else LIGHT


def kilowatts(value_w: float) -> str:
    """To 0.1 kW, which is as far as an estimate goes, with a true minus: 2.3 kW."""
    if 0 < abs(value_w) < 50:
        return "under 0.1\u202fkW"
    return f"{value_w / 1000:.1f}\u202fkW".replace("-", "−")


def text_width_px(text: str, size_px: float = TEXT_PX) -> float:
    """Rough width of a text, px; for layout only."""
    return len(text) * size_px * MEAN_ADVANCE


def wrapped(text: str, room_px: float, size_px: float = TEXT_PX) -> tuple[str, ...]:
    """The text in lines that fit the room, a number with its unit; a word that is longer than a line is broken."""
    most = max(int(room_px / (size_px * MEAN_ADVANCE)), 4)
    together = _BEFORE_UNIT.sub("\\1\N{NO-BREAK SPACE}", text)
    return tuple(textwrap.wrap(together, most)) or ("",)


def axis_number(value: float, step: float) -> str:
    """A number at an axis as people read it: no more decimals than the step needs, thousands, a true minus."""
    decimals = 0
    while decimals < 6 and not math.isclose(
        step * 10**decimals, round(step * 10**decimals), rel_tol=1e-6, abs_tol=1e-9
    ):
        decimals += 1
    return format_number(value, decimals)


def ticks_within(low: float, high: float, most: int) -> tuple[list[float], list[str]]:
    """Round numbers within an axis, at most about `most`, with their texts."""
    _prepare()
    from matplotlib.ticker import MaxNLocator

    steps = MaxNLocator(nbins=most, steps=[1, 2, 5, 10]).tick_values(low, high)
    found = [float(tick) for tick in steps if low - 1e-9 <= tick <= high + 1e-9]
    step = float(steps[1] - steps[0])
    return found, [axis_number(tick, step) for tick in found]


def log_ticks_within(low: float, high: float) -> tuple[list[float], list[str]]:
    """1, 2 and 5 of each decade within a logarithmic axis, with their texts."""
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    found = [m * 10.0**d for d in decades for m in (1, 2, 5) if low <= m * 10.0**d <= high]
    return found, [axis_number(tick, tick) for tick in found]


def check_finite(label: str, *values: Sequence[float]) -> None:
    """Refuse a number that can't be drawn: ValueError with what it belongs to."""
    if not all(math.isfinite(value) for some in values for value in some):
        raise ValueError(f"{label}: a value of the picture is not a finite number.")


def _prepare() -> None:
    """Import matplotlib, make our fonts known and the output repeatable; once per process, by one thread."""
    with _ONE_PREPARES:
        _prepare_once()


@lru_cache(maxsize=1)
def _prepare_once() -> None:
    import matplotlib
    from matplotlib import font_manager

    for name in ("Inter-Regular.ttf", "Inter-Bold.ttf", "DejaVuSans.ttf"):
        font_manager.fontManager.addfont(FONTS / name)
    matplotlib.rcParams.update(
        {
            "font.family": ["Inter", "DejaVu Sans"],
            "svg.fonttype": "path",
            "svg.hashsalt": "kitwright",
            "hatch.linewidth": 0.9,
            "axes.unicode_minus": True,
            # names are what people typed, not mathematics
            "text.parse_math": False,
        }
    )


def canvas(
    inks: Inks,
    width_px: float,
    height_px: float,
    *,
    left_px: float,
    right_px: float,
    top_px: float,
    bottom_px: float,
) -> tuple[Figure, Axes]:
    """An empty sheet with one set of axes, inset by the margins in px, only its bottom line drawn."""
    _prepare()
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width_px / 72.0, height_px / 72.0), dpi=72, facecolor=inks.sheet)
    axes = figure.add_axes(
        (
            left_px / width_px,
            bottom_px / height_px,
            1.0 - (left_px + right_px) / width_px,
            1.0 - (top_px + bottom_px) / height_px,
        ),
        facecolor="none",
    )
    for side in ("left", "right", "top"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(inks.ink)
    axes.tick_params(colors=inks.soft, labelsize=12, length=4)
    return figure, axes


def svg_text(figure: Figure, inks: Inks) -> str:
    """The figure as one SVG document, without date or maker, its size in plain pixels.

    A browser lends a picture no fonts, so its letters are drawn as outlines. The PDF maker has the fonts, and sets
    letters in a quarter of the time.
    """
    import matplotlib

    out = io.StringIO()
    letters = matplotlib.rc_context({"svg.fonttype": "none" if inks == PAPER else "path"})
    with _ONE_AT_A_TIME, letters, warnings.catch_warnings():
        # a name may hold a sign that our fonts lack: it is drawn as a box
        warnings.filterwarnings("ignore", "Glyph .* missing from font", UserWarning)
        figure.savefig(
            out, format="svg", facecolor=figure.get_facecolor(), metadata={"Date": None, "Creator": None}
        )
    return re.sub(r'((?:width|height)="[\d.]+)pt"', r'\1"', out.getvalue(), count=2)


def svg_image(svg: str) -> str:
    """An SVG text as an address that holds it."""
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()
