"""What is recorded of a fitment: rows that are only added, and enter into the sizing of their own fitment alone."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from kits.exchange.values import Problem


@dataclass(frozen=True)
class Recorded:
    """The words of one kind of them.

    button: what is pressed; said: when it was done; reason: where nobody gives another, both of the row; origin: which
    it mostly has; whence: what is said to who leaves out where it comes from.
    """

    button: str
    said: Callable[[Mapping[str, Any]], str]
    reason: Callable[[Mapping[str, Any]], str]
    origin: str
    whence: str


RECORDED: Final[Mapping[str, Recorded]] = {
    "Lengths": Recorded(
        "Record the length",
        lambda row: (
            f"Length of route {row['route']} recorded: {row['length_mm']:g} mm. The cut length is worked out anew."
        ),
        lambda row: f"length of {row['route']}: {row['length_mm']:g} mm",
        "measured",
        "Say where the length comes from, such as a chassis number.",
    ),
    "Charges": Recorded(
        "Record the charge",
        lambda row: f"Charge recorded: {row['charge_g']:g} g.",
        lambda row: f"charge: {row['charge_g']:g} g",
        "weighed",
        "Say where the charge comes from, such as a chassis number.",
    ),
    "Air trials": Recorded(
        "Record the trial",
        lambda _row: "Trial recorded. The fitment is being sized again with it.",
        lambda row: f"air trial: {row['airflow_m3_h']:g} m³/h at {row['blower_static_pa']:g} Pa",
        "measured",
        "Say where the trial was made, such as a chassis number.",
    ),
}
"""By sheet."""


def contradictions(sheet: str, row: Mapping[str, Any]) -> Iterator[Problem]:
    """What of a row can't be meant as it stands beside its other values."""
    if sheet == "Lengths" and (row.get("spread_mm") or 0) > row["length_mm"]:
        yield Problem(sheet, None, "spread_mm", "The spread is larger than the length itself.")
    if sheet == "Charges" and (row.get("tolerance_g") or 0) >= row["charge_g"]:
        yield Problem(sheet, None, "tolerance_g", "The tolerance is as large as the charge itself.")
    if sheet in RECORDED and not row.get("origin_source"):
        yield Problem(sheet, None, "origin_source", RECORDED[sheet].whence)
