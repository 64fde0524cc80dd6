"""What a sheet and a column of the workbook are, and how the sheets are written down.

Choices, lengths and bounds of the columns come from the models (kits.exchange.bridge completes them), so that
they are written down once. Heads are the field's words with the unit in brackets: `area_m2` is
"area [m²]".
"""

from collections.abc import Iterable, Mapping
from dataclasses import KW_ONLY, dataclass, replace
from decimal import Decimal
from typing import Final

from vehicles.physics.quantities import is_dimensionless, is_share, quantity_of

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

ORIGIN: Final = (
    "origin_kind:choice origin_source origin_by origin_on:date origin_instrument origin_uncertainty "
    "origin_note"
)

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
    "fits_positions": "fits positions",
    "joins_joints": "joins joints",
    "wires_circuits": "wires circuits",
    "step_key": "step",
    "free_area_cm2": "free area [cm²]",
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


def _column(word: str, all_key: bool) -> Column:
    name, _, kind = word.partition(":")
    field = name.rstrip("*!")
    if not kind:
        kind = NUMBER if quantity_of(field) or is_dimensionless(field) else TEXT
    kind = {"whole": WHOLE, "yes": YES_NO}.get(kind, kind)
    key = name.endswith("*")
    return Column(field, head_of(field, kind), kind, required=key or name.endswith("!"), key=key or all_key)


def sheet_of(
    name: str,
    model: str,
    owner: str,
    columns: str,
    references: Mapping[str, tuple[str, str]] | None = None,
    *,
    purpose: str,
    of_line: bool = False,
    append_only: bool = False,
    options: tuple[str, str, str] = (NO_OPTIONS, "", ""),
) -> Sheet:
    """A sheet from its columns in one string: `field:kind`, `*` after a key, `!` after a required field."""
    kind, model_of_options, owner_of_options = options
    return Sheet(
        name=name,
        model=model,
        owner=owner,
        purpose=purpose,
        columns=tuple(_column(word, append_only) for word in columns.split()),
        references=tuple(
            Reference(f, sheet, tuple(cols.split())) for f, (sheet, cols) in (references or {}).items()
        ),
        of_line=of_line,
        append_only=append_only,
        options=kind,
        option_model=model_of_options,
        option_owner=owner_of_options,
    )


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
