"""What a sheet and a column of the workbook are.

Heads are the field's words with the unit in brackets: `area_m2` is "area [m²]".
"""

from collections.abc import Iterable, Mapping
from dataclasses import KW_ONLY, dataclass, replace
from decimal import Decimal
from typing import Final

from vehicles.physics.quantities import is_share, quantity_of

OPTION_HEAD: Final = "option: "

TEXT: Final = "text"
NUMBER: Final = "number"
WHOLE: Final = "whole number"
DECIMAL: Final = "decimal"
DATE: Final = "date"
YES_NO: Final = "yes/no"
CHOICE: Final = "choice"
LIST: Final = "list"
OPTIONS: Final = "options"
NUMERIC: Final = frozenset({NUMBER, WHOLE, DECIMAL})

LINE: Final = "line"
SHARED: Final = "shared"

# How a sheet uses its option columns, one a feature: not at all, exactly one option ("left"), several
# ("left, right"), or terms ("left", "left, right", "not electric", blank for any).
NO_OPTIONS: Final = ""
ONE_EACH: Final = "one option a feature"
SEVERAL: Final = "several options"
TERMS: Final = "terms"

OF_ONE: Final = " [0 to 1]"
"""Ends the head of a share; workbooks of before this stood there have the words alone, which are read too."""

HEADS: Final = {
    "engine_rpm_per_km_h": "engine speed per road speed [rpm per km/h]",
    "minutes_min": "time [min]",
    "u_w_m2k": "U [W/m²K]",
    "shade_factor": "shade factor [0 to 1]",
    "utc_offset_h": "UTC offset [h]",
    "position_a": "position A",
    "port_a": "port A",
    "position_b": "position B",
    "port_b": "port B",
    "end_a": "end A",
    "end_b": "end B",
    "step_key": "step",
}


@dataclass(frozen=True)
class Column:
    """One column: the field it fills, its head, what a cell holds, whether a cell may be blank."""

    field: str
    head: str
    kind: str
    _: KW_ONLY
    required: bool = False
    key: bool = False
    choices: tuple[str, ...] = ()
    max_length: int | None = None
    decimals: int | None = None
    low: int | None = None
    high: int | None = None
    pattern: str = ""
    pattern_says: str = ""
    default: str | float | Decimal | bool | None = None


@dataclass(frozen=True)
class Reference:
    """The model's `field` points at the row of `sheet` whose key stands in these columns."""

    field: str
    sheet: str
    columns: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One table: who owns it, its columns and what they point at.

    `purpose`: what it is for, as the first sheet tells the people who fill it. `of_line`: the model has a field
    `line`, filled from the first sheet. `append_only`: rows are only added, each known by all its columns.
    `options`: how the option columns are used; the rows of `option_model` carry them, by its field `option_owner`.
    """

    name: str
    model: str
    owner: str
    purpose: str
    columns: tuple[Column, ...]
    references: tuple[Reference, ...] = ()
    of_line: bool = False
    append_only: bool = False
    options: str = NO_OPTIONS
    option_model: str = ""
    option_owner: str = ""

    @property
    def key(self) -> tuple[str, ...]:
        """The fields that tell one row from another."""
        return tuple(column.field for column in self.columns if column.key)

    @property
    def by_field(self) -> dict[str, Column]:
        """The columns by field."""
        return {column.field: column for column in self.columns}

    @property
    def parent(self) -> Reference | None:
        """The first reference that is part of the row's key: the row belongs to what it points at."""
        key = set(self.key)
        return next((r for r in self.references if set(r.columns) <= key), None)

    def reference_of(self, field: str) -> Reference | None:
        """The first reference a column is part of, or None for a field of the row itself."""
        return next((r for r in self.references if field in r.columns), None)


def head_of(field: str, kind: str) -> str:
    """The head of a field: its words, and in brackets the unit of a number that has one, or that it is a share."""
    if field in HEADS:
        return HEADS[field]
    if kind in NUMERIC and is_share(field):
        return f"{field.replace('_', ' ')}{OF_ONE}"
    quantity = quantity_of(field) if kind in NUMERIC else None
    if quantity is None:
        return field.replace("_", " ")
    words = field.removesuffix("_" + quantity.key).replace("_", " ")
    return f"{words} [{quantity.unit}]"


def option_field(feature_code: str) -> str:
    """The field of a feature's column."""
    return OPTION_HEAD.strip() + feature_code.casefold()


@dataclass(frozen=True)
class FeatureOptions:
    """A feature with its options by folded code."""

    code: str
    name: str
    options: Mapping[str, str]


def with_options(sheet: Sheet, features: Iterable[FeatureOptions]) -> Sheet:
    """The sheet with one column for each feature, when it uses them."""
    if not sheet.options:
        return sheet
    more = tuple(
        Column(
            option_field(feature.code),
            OPTION_HEAD + feature.name,
            OPTIONS,
            choices=tuple(feature.options.values()),
            default="",
        )
        for feature in features
    )
    return replace(sheet, columns=sheet.columns + more)
