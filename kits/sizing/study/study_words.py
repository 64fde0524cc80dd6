"""A study in words: what was changed, and its answer beside the stored one."""

from collections.abc import Callable
from dataclasses import dataclass

from kits.sizing.case.case import Case
from kits.sizing.case.levers import levers
from kits.sizing.study.study import Question, duty_of, stored_values
from kits.sizing.verdict.record import DutyAnswer
from vehicles.physics.quantities import (
    celsius,
    format_number,
    in_unit,
    kelvin,
    kw,
    signed_percent,
)

NONE = "–"
SAME = "no change"


@dataclass(frozen=True)
class Asked:
    """Something that can be asked about: its name on screen, its unit, a value as an example."""

    label: str
    unit: str
    example: str


ASKED: dict[str, Asked] = {
    "outside_c": Asked("Outside temperature", "°C", "38"),
    "humidity_pct": Asked("Relative humidity outside", "%", "50"),
    "sun_pct": Asked("Sun, of the duty point’s own", "%", "80"),
    "road_speed_km_h": Asked("Road speed", "km/h", "50"),
    "engine_rpm": Asked("Engine speed", "rpm", "1500"),
    "compressor_rpm": Asked("Compressor’s highest speed", "rpm", "4000"),
    "blower_pct": Asked("Blower, of its voltage", "%", "70"),
    "blower_step": Asked("Blower step", "", "2"),
    "air_mode": Asked("Air mode", "", "fresh"),
    "fresh_pct": Asked("Fresh air when mixed", "%", "30"),
    "occupants": Asked("People in the car", "", "2"),
    "target_c": Asked("Cabin temperature asked for", "°C", "25"),
}


@dataclass(frozen=True)
class Change:
    """One thing changed; was is empty for a change to car or kit."""

    label: str
    was: str
    now: str


def changes(case: Case, question: Question) -> tuple[Change, ...]:
    """What a question changes, in the order in which it is asked."""
    stored = stored_values(case, duty_of(case, question))
    found = [
        Change(asked.label, _text(stored[name], asked.unit), _text(getattr(question, name), asked.unit))
        for name, asked in ASKED.items()
        if getattr(question, name) is not None
    ]
    found += [Change(lever.name, "", "done") for lever in levers() if lever.code in question.levers]
    return tuple(found)


def _text(value: float | int | str | None, unit: str) -> str:
    if value is None:
        return NONE
    if isinstance(value, str):
        return value
    return f"{format_number(value, 0 if float(value).is_integer() else 1)} {unit}".strip()


@dataclass(frozen=True)
class Compared:
    """One row of the answer: as stored, with the change, and what the change brings."""

    label: str
    stored: str
    changed: str
    difference: str

    @property
    def is_different(self) -> bool:
        """Whether both have the figure and it is not the same to what is shown of it."""
        return self.difference not in (NONE, SAME)


@dataclass(frozen=True)
class _Row:
    label: str
    name: str
    show: Callable[[float], str]
    differ: Callable[[float], str]


def _points(share: float) -> str:
    return f"{format_number(100 * share, 0)} points"


def _as(unit: str) -> Callable[[float], str]:
    return lambda value: in_unit(unit, value)


_ROWS = (
    _Row("Margin", "margin_share", signed_percent, _points),
    _Row("Load", "load_w", kw, kw),
    _Row("Capacity", "capacity_w", kw, kw),
    _Row("Air at the vents", "vent_c", celsius, kelvin),
    _Row("Air flow", "airflow_m3_h", _as("m3_h"), _as("m3_h")),
    _Row("Low side", "low_side_bar_g", _as("bar_g"), lambda bar: f"{format_number(bar, 1)} bar"),
    _Row("High side", "high_side_bar_g", _as("bar_g"), lambda bar: f"{format_number(bar, 1)} bar"),
    _Row("Discharge gas", "discharge_c", celsius, kelvin),
    _Row("Compressor", "compressor_rpm", _as("rpm"), _as("rpm")),
    _Row("Power at the shaft", "power_w", kw, kw),
)
_HOLDS = _Row("Cabin it holds", "holds_c", celsius, kelvin)


def compared(stored: DutyAnswer | None, changed: DutyAnswer) -> tuple[Compared, ...]:
    """The figures of two answers side by side; a figure that neither has is left out."""
    rows = [_compared(row, stored, changed) for row in _ROWS]
    return tuple(row for row in rows if {row.stored, row.changed} != {NONE})


def compared_holds(stored: DutyAnswer | None, changed: DutyAnswer) -> Compared:
    """The cabin temperature at which load and capacity balance, in both answers."""
    return _compared(_HOLDS, stored, changed)


def _compared(row: _Row, stored: DutyAnswer | None, changed: DutyAnswer) -> Compared:
    before = getattr(stored, row.name) if stored is not None else None
    after = getattr(changed, row.name)
    return Compared(
        row.label,
        NONE if before is None else row.show(before),
        NONE if after is None else row.show(after),
        NONE if before is None or after is None else _difference(row, after - before),
    )


def _difference(row: _Row, difference: float) -> str:
    text = row.differ(difference)
    if not any(digit in text for digit in "123456789"):
        return SAME
    return text if text.startswith("−") else f"+{text}"
