"""A topic's picture as SVG text: the one function that draws all of them, bars or lines as its numbers are."""

from kits.documents.bar_charts import bars, check_bars
from kits.documents.chart_style import WIDTH_PX, inks_for
from kits.documents.curve_charts import check_curves, curves
from kits.topics.figure import Picture


def picture_svg(
    picture: Picture, *, dark: bool = False, paper: bool = False, width_px: int = WIDTH_PX
) -> str:
    """The picture as an SVG document.

    dark: for a dark page; paper: for a printed sheet; width_px: what it is drawn for (NARROW_PX for a phone).
    Raises ValueError with a sentence where there is nothing to draw or a number is not finite.
    """
    inks = inks_for(dark=dark, paper=paper)
    return (bars if picture.bars else curves)(picture, inks, width_px)


def can_be_drawn(picture: Picture) -> bool:
    """Whether the picture's numbers can be drawn: what the page asks before it shows one."""
    try:
        (check_bars if picture.bars else check_curves)(picture)
    except ValueError:
        return False
    return True
