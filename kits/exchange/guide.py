"""The words of the workbook's first sheet: how it is filled, whose a sheet is, and an example."""

from typing import Final

from kits.bom.step_text import PLACEHOLDERS_TOLD
from kits.exchange.columns import LINE, Sheet

TITLE: Final = "One model line: its cars, and the kits and parts they use"
FACT_NOTES: Final = (
    "The code of the line. A new line's row stands on the sheet Model line too.",
    "Do not change this.",
    "yes: this line's own sheets are the full picture, and what they lack is removed. no: nothing is removed.",
)

# A word, and what there is to say about it.
HOW_TO_FILL: Final = (
    (
        "Sheets",
        "One sheet is one table, one row is one thing. You need not fill them all, or may send only some.",
    ),
    ("Heads", "The first row holds the heads, with the unit in brackets. Columns may stand in any order."),
    (
        "Key",
        "The darker heads tell one row from another, and other sheets name a row by them. Capitals don't count.",
    ),
    ("Must be filled", "A bold head must be filled. Anything else may stay empty until it is known."),
    ("Codes", "Codes, part numbers and revisions are text, so that no leading zero is lost."),
    ("Numbers", "Numbers are numbers, in the unit of the head. Dates are dates, such as 1961-05-01."),
    ("Drop-downs", "A cell with few possible values offers them; the sheet Lists shows all of them."),
    ("Text of a step", PLACEHOLDERS_TOLD),
    ("Origin", "Say where the values of a row come from: who measured or read them, when, and how."),
    (
        "This line's sheets",
        "They may remove: complete yes, and you confirm how many rows go. Nothing else removes.",
    ),
    ("Shared sheets", "They add and change. Other lines and kits may use the same rows; you are told which."),
    ("Only added", "Of lengths, charges and temperatures every value stays; the better one wins."),
    (
        "Unusual values",
        "A value that can be but is not usual is asked about before it is stored: correct it, or say that it is meant.",
    ),
    (
        "Refused",
        "Formulas, merged cells, hidden sheets, rows and columns, unknown sheets and heads, macros, links.",
    ),
    ("Passed over", "Comments and notes, pictures, colours, widths, the sheet Lists, and this text."),
)

# What is typed in an option column, and what it means.
OPTION_EXAMPLES: Final = (
    ("left", "only where the option is left"),
    ("left, right", "where it is left or right"),
    ("not electric", "everywhere but where it is electric"),
    ("", "everywhere"),
)

# One row as an example: sheet, head, what is typed.
EXAMPLE_SHEET: Final = "Surfaces"
EXAMPLE: Final = (
    ("cabin", "body", "the cabin with this code, on the sheet Cabins"),
    ("code", "roof-steel", "its own code, once in the cabin"),
    ("name", "Roof, steel", ""),
    ("kind", "opaque", "from the drop-down"),
    ("area [m²]", "2.4", "a number, without its unit"),
    ("option: Roof", "steel", "only on cars with the steel roof"),
    ("origin kind", "measured", "with origin by, on and instrument"),
)


def owner_words(sheet: Sheet) -> str:
    """Whose a sheet is, and what a workbook may do with its rows."""
    if sheet.append_only:
        return "this line's, only added"
    return "this line's" if sheet.owner == LINE else "shared"


def key_words(sheet: Sheet) -> str:
    """The heads that tell the sheet's rows apart."""
    if sheet.append_only:
        return "the whole row"
    return ", ".join(column.head for column in sheet.columns if column.key)
