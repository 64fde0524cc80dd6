"""A figure with what it was made from: plain JSON values, stored with the answer and shown by one page."""

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

from kits.bom.mending import Mend
from vehicles.physics.origin import Origin
from vehicles.physics.quantities import format_value

COST_HEADS = ("cost", "price")
Severity = Literal["blocks", "warns", "notes"]


@dataclass(frozen=True)
class Input:
    """A value a figure was made from: words, its text with the unit, where it comes from, where it is mended."""

    label: str
    text: str
    origin: str = ""
    where: str = ""


@dataclass(frozen=True)
class Figure:
    """One figure: its text with the unit, the function that gives it ("module:name"), and its inputs."""

    label: str
    text: str
    function: str
    inputs: tuple[Input, ...] = ()


@dataclass(frozen=True)
class Remark:
    """Something to mend or to know, told among the findings of the fitment: once by its code and place."""

    code: str
    severity: Severity
    where: str
    sentence: str
    mend: Mend | None = None
    """the field that mends it, where one does"""

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "Remark":
        """A stored remark; one that was stored before remarks named their field has none."""
        mend = stored.get("mend")
        return cls(**{**stored, "mend": Mend.from_json(mend) if mend else None})


@dataclass(frozen=True)
class Table:
    """Figures side by side: heads with their units, rows of texts."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def without_costs(self) -> "Table":
        """The table without its columns of costs: what is worked out goes to people who are not shown any.

        Answers stored in former times hold such a column, in a currency that may not be the workshop's.
        """
        kept = [i for i, head in enumerate(self.heads) if not head.lower().startswith(COST_HEADS)]
        if len(kept) == len(self.heads):
            return self
        return Table(
            self.caption,
            tuple(self.heads[i] for i in kept),
            tuple(tuple(row[i] for i in kept) for row in self.rows),
        )


@dataclass(frozen=True)
class Line:
    """A line of a diagram: x and y in the axes' units. Points are joined; `dots` draws them as measured ones.

    weight  "main" is what the picture is about, "other" stands beside it, "thin" is the ground it lies on
    """

    label: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    weight: Literal["main", "other", "thin"] = "main"
    dots: bool = False


@dataclass(frozen=True)
class Band:
    """What lies between two lines, such as what a healthy car reads."""

    label: str
    x: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class Spot:
    """A named place in a diagram, such as a crossing."""

    label: str
    x: float
    y: float


@dataclass(frozen=True)
class Bar:
    """A bar with its value as text; `mark` is a limit that is drawn across it, None where there is none."""

    label: str
    value: float
    text: str
    mark: float | None = None


@dataclass(frozen=True)
class Picture:
    """What a topic shows: lines over an axis, or bars; drawn from these numbers and nothing else.

    code   names the picture in its topic, for its address
    words  the same said in words, for those who don't see it
    Axes carry their unit in the label. bars stand alone: a picture has bars or lines.
    """

    code: str
    caption: str
    words: str
    x_label: str
    y_label: str = ""
    lines: tuple[Line, ...] = ()
    bands: tuple[Band, ...] = ()
    spots: tuple[Spot, ...] = ()
    bars: tuple[Bar, ...] = ()
    y_is_logarithmic: bool = False

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "Picture":
        """A stored picture."""
        lists = {
            "lines": tuple(Line(**{**v, "x": tuple(v["x"]), "y": tuple(v["y"])}) for v in stored["lines"]),
            "bands": tuple(
                Band(v["label"], tuple(v["x"]), tuple(v["low"]), tuple(v["high"])) for v in stored["bands"]
            ),
            "spots": tuple(Spot(**v) for v in stored["spots"]),
            "bars": tuple(Bar(**v) for v in stored["bars"]),
        }
        return cls(**{**stored, **lists})


@dataclass(frozen=True)
class Topic:
    """One topic of a fitment: the answer, figures, tables, pictures, remarks, and cautions that apply."""

    code: str
    title: str
    answer: str
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()
    remarks: tuple[Remark, ...] = ()
    cautions: tuple[str, ...] = ()
    pictures: tuple[Picture, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The topic as JSON values."""
        return asdict(self)

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "Topic":
        """A stored topic."""
        figures = tuple(
            Figure(**{**f, "inputs": tuple(Input(**i) for i in f["inputs"])}) for f in stored["figures"]
        )
        tables = tuple(
            Table(t["caption"], tuple(t["heads"]), tuple(tuple(r) for r in t["rows"]))
            for t in stored["tables"]
        )
        remarks = tuple(Remark.from_json(r) for r in stored["remarks"])
        # an answer stored before there were pictures has none
        pictures = tuple(Picture.from_json(p) for p in stored.get("pictures", ()))
        values = {**stored, "figures": figures, "tables": tables, "remarks": remarks, "pictures": pictures}
        return cls(**{**values, "cautions": tuple(stored["cautions"])})


def figure(
    label: str, name: str, value: float | None, function: Callable[..., Any], *inputs: Input
) -> Figure:
    """A figure of the value, whose name carries the unit ("charge_g"); None is told as not known."""
    text = "not known" if value is None else format_value(name, value)
    return Figure(label, text, f"{function.__module__}:{function.__qualname__}", inputs)


def given(
    label: str, name: str, value: float | str | None, origin: Origin | str = "", where: str = ""
) -> Input:
    """An input with its origin in words; its label begins with a capital, however it is written where it is made."""
    text = "not known" if value is None else value if isinstance(value, str) else format_value(name, value)
    return Input(label[:1].upper() + label[1:], text, in_words(origin), where)


def in_words(origin: Origin | str) -> str:
    """An origin as an input tells it."""
    if isinstance(origin, str):
        return origin
    return ", ".join(part for part in (origin.kind.value, origin.source) if part)
