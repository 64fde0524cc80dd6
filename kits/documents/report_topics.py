"""A topic as it is printed: pictures and narrow tables two beside each other, figures with the appendix's numbers."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from kits.bom.resolved import Finding
from kits.documents.chart_style import svg_image
from kits.documents.drawn import drawn
from kits.documents.report_appendix import Explained, made_from
from kits.documents.report_names import ShortNames
from kits.documents.report_tables import TableOnPaper, on_paper
from kits.documents.topic_pictures import can_be_drawn, picture_svg
from kits.topics.figure import Picture, Topic

HALF_PX = 440
"""Pictures are drawn for half a sheet's width, so that their type comes out at 7 to 8 pt."""

MOST_BESIDE = 10
"""Figures that find room beside a picture."""


@dataclass(frozen=True)
class PictureOnPaper:
    """A picture in black on white, and the same in words."""

    caption: str
    words: str
    svg: str

    @property
    def address(self) -> str:
        """The picture as an address that holds it."""
        return svg_image(self.svg)


@dataclass(frozen=True)
class Piece:
    """A picture or a table."""

    picture: PictureOnPaper | None = None
    table: TableOnPaper | None = None

    @property
    def is_half(self) -> bool:
        """Whether half the sheet's width is enough."""
        return self.table is None or self.table.is_narrow


@dataclass(frozen=True)
class FigureLine:
    """A figure with the number of its explanation and those of its inputs."""

    label: str
    text: str
    how: int
    made_from: str


@dataclass(frozen=True, kw_only=True)
class TopicOnPaper:
    """A topic: the answer, remarks, strips of one or two pieces, and its figures in two columns, row by row."""

    code: str
    title: str
    answer: str
    remarks: tuple[Finding, ...]
    strips: tuple[tuple[Piece, ...], ...]
    figure_rows: tuple[tuple[FigureLine, ...], ...]
    figures_beside: bool
    """Whether the figures stand beside the first picture, since nothing else does."""


def topic_on_paper(
    topic: Topic, names: ShortNames, how: Mapping[str, Explained], inputs: Mapping[tuple[str, str, str], int]
) -> TopicOnPaper:
    """The topic with the appendix's numbers: how (of functions) and inputs (of label, text and origin)."""
    lines = [
        FigureLine(
            names.short(f.label), names.short(f.text), how[f.function].number, made_from(f.inputs, inputs)
        )
        for f in topic.figures
    ]
    pieces = [Piece(_drawn(picture, names)) for picture in topic.pictures if can_be_drawn(picture)]
    pieces += [Piece(table=on_paper(names.in_table(table))) for table in topic.tables]
    strips = in_strips(pieces)
    beside = bool(strips) and len(strips[0]) == 1 and bool(strips[0][0].picture) and len(lines) <= MOST_BESIDE
    rows = tuple((line,) for line in lines) if beside else in_two_columns(lines)
    return TopicOnPaper(
        code=topic.code,
        title=topic.title,
        answer=topic.answer,
        remarks=topic.remarks,
        strips=strips,
        figure_rows=rows,
        figures_beside=beside,
    )


def _drawn(picture: Picture, names: ShortNames) -> PictureOnPaper:
    what = f"The picture “{picture.caption}”"
    svg = drawn(what, lambda: picture_svg(picture, paper=True, width_px=HALF_PX), HALF_PX)
    return PictureOnPaper(names.short(picture.caption), names.short(picture.words), svg)


def in_strips(pieces: Iterable[Piece]) -> tuple[tuple[Piece, ...], ...]:
    """Pieces in their order, two halves that follow each other on one strip."""
    strips: list[tuple[Piece, ...]] = []
    for piece in pieces:
        last = strips[-1] if strips else ()
        if piece.is_half and len(last) == 1 and last[0].is_half:
            strips[-1] = (*last, piece)
        else:
            strips.append((piece,))
    return tuple(strips)


def in_two_columns(lines: Sequence[FigureLine]) -> tuple[tuple[FigureLine, ...], ...]:
    """Rows of one or two lines, to be read down the left column and then down the right one."""
    half = -(-len(lines) // 2)
    return tuple(tuple(lines[i::half][:2]) for i in range(half))
