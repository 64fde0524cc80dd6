"""The fit table as text for the terminal, from stored answers."""

from collections.abc import Sequence
from dataclasses import dataclass

from vehicles.physics.quantities import signed_percent

MARKS = {"strong enough": "+", "marginal": "~", "not enough": "-", "not sized": "?"}
HEAD = ("variant", "kit", "verdict", "margin", "limited by", "missing", "to fix")


@dataclass(frozen=True, kw_only=True)
class FitRow:
    """One fitment's stored answer."""

    kit: str
    line: str
    variant: str
    variant_name: str
    verdict: str
    margin_share: float | None
    limit: str
    missing_count: int
    blocking_count: int
    worst_duty_point: str
    as_of: str

    def cells(self) -> tuple[str, ...]:
        """The row's cells as text."""
        margin = "" if self.margin_share is None else signed_percent(self.margin_share)
        verdict = f"{MARKS[self.verdict]} {self.verdict}"
        missing, mend = (str(n) if n else "" for n in (self.missing_count, self.blocking_count))
        return self.variant_name, self.kit, verdict, margin, self.limit, missing, mend


def fit_text(rows: Sequence[FitRow]) -> str:
    """The table with aligned columns; a sentence when there is nothing."""
    if not rows:
        return "No kit is offered for any variant yet: import a model line's workbook first."
    table = [HEAD, *(row.cells() for row in rows)]
    widths = [max(len(cells[i]) for cells in table) for i in range(len(HEAD))]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()
        for cells in table
    ]
    return "\n".join([lines[0], "  ".join("-" * width for width in widths), *lines[1:]])
