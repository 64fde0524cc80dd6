"""A picture that can't be drawn says so in its place, and spoils neither its page nor its paper."""

from collections.abc import Callable
from html import escape

from kits.documents.chart_style import WIDTH_PX
from vehicles.records.guard import Fault, guarded

CHART = "The chart of load and capacity"
HEIGHT_PX = 60


def drawn(what: str, draw: Callable[[], str], width_px: int = WIDTH_PX) -> str:
    """The SVG that `draw` gives; else one that says, in a line, that it could not be drawn.

    what: what is drawn, in words that begin a sentence; width_px: of the picture that says so.
    """
    found = guarded(what, draw)
    return _told(found.sentence, width_px) if isinstance(found, Fault) else found


def _told(sentence: str, width_px: int) -> str:
    # grey that can be read on white and on black
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width_px} {HEIGHT_PX}" width="{width_px}" '
        f'height="{HEIGHT_PX}"><text x="8" y="34" font-family="sans-serif" font-size="13" fill="#767676">'
        f"{escape(sentence)}</text></svg>"
    )
