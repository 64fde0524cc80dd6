"""Duty points by their codes: in tables and labels of the report the code stands for a long name."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from kits.sizing.verdict.record import DutyAnswer
from kits.topics.figure import Figure, Input, Table, Topic

LONG_FROM_LETTERS = 16
"""A shorter name stays as it is: it takes little room, and may be a word of its own."""


@dataclass(frozen=True)
class ShortNames:
    """Codes by the long names they stand for."""

    code_by_name: dict[str, str]

    @cached_property
    def _pattern(self) -> re.Pattern[str]:
        # the longest first: one name may begin another
        names = sorted(self.code_by_name, key=len, reverse=True)
        return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, names))})(?!\w)")

    def short(self, text: str) -> str:
        """The text with codes in place of long names."""
        return (
            self._pattern.sub(lambda found: self.code_by_name[found[0]], text) if self.code_by_name else text
        )

    def in_table(self, table: Table) -> Table:
        """The table with codes in caption, heads and cells."""
        heads = tuple(self.short(head) for head in table.heads)
        rows = tuple(tuple(self.short(cell) for cell in row) for row in table.rows)
        return Table(self.short(table.caption), heads, rows)

    def in_inputs(self, topic: Topic) -> Topic:
        """The topic with codes in what its figures were made from."""
        return replace(topic, figures=tuple(self._in_figure(figure) for figure in topic.figures))

    def _in_figure(self, figure: Figure) -> Figure:
        return replace(figure, inputs=tuple(self._in_input(one) for one in figure.inputs))

    def _in_input(self, one: Input) -> Input:
        return replace(
            one, label=self.short(one.label), text=self.short(one.text), origin=self.short(one.origin)
        )


def short_names(duties: Sequence[DutyAnswer]) -> ShortNames:
    """The codes of the duty points that have a long name."""
    return ShortNames({d.name: d.code for d in duties if len(d.name) >= LONG_FROM_LETTERS})
