"""Pieces of half a sheet stand two beside each other; figures run down one column and then the next."""

import pytest

from kits.documents.report_tables import on_paper
from kits.documents.report_topics import FigureLine, PictureOnPaper, Piece, in_strips, in_two_columns
from kits.topics.figure import Table

HALF = Piece(PictureOnPaper("Course", "It cools.", "<svg/>"))
WHOLE = Piece(table=on_paper(Table("Wide", ("x" * 20,) * 5, ())))


@pytest.mark.parametrize(
    ("pieces", "expected"),
    [
        ([], ()),
        ([HALF], ((HALF,),)),
        ([HALF] * 3, ((HALF, HALF), (HALF,))),
        ([HALF, WHOLE, HALF], ((HALF,), (WHOLE,), (HALF,))),
        ([WHOLE, WHOLE], ((WHOLE,), (WHOLE,))),
    ],
)
def test_two_halves_that_follow_each_other_share_a_strip(pieces, expected):
    assert in_strips(pieces) == expected


@pytest.mark.parametrize(("number", "rows"), [(0, []), (1, ["0"]), (2, ["01"]), (5, ["03", "14", "2"])])
def test_figures_read_down_the_left_column_and_then_the_right(number, rows):
    lines = [FigureLine(str(n), "", 1, "") for n in range(number)]
    assert ["".join(line.label for line in row) for row in in_two_columns(lines)] == rows
