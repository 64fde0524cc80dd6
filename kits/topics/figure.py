"""A figure with what it was made from, and the topic that shows it: worked out when its page is opened."""

from collections.abc import Callable
from dataclasses import KW_ONLY, asdict, dataclass
from typing import Any, Literal

from kits.bom.resolved import Finding
from vehicles.physics.origin import Origin
from vehicles.physics.quantities import in_unit


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
class Table:
    """Figures side by side: heads with their units, rows of texts."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


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
    _: KW_ONLY
    y_label: str = ""
    lines: tuple[Line, ...] = ()
    bands: tuple[Band, ...] = ()
    spots: tuple[Spot, ...] = ()
    bars: tuple[Bar, ...] = ()
    y_is_logarithmic: bool = False


@dataclass(frozen=True)
class Topic:
    """One topic of a fitment: the answer, figures, tables, pictures, remarks, and cautions that apply."""

    code: str
    title: str
    answer: str
    _: KW_ONLY
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()
    remarks: tuple[Finding, ...] = ()
    cautions: tuple[str, ...] = ()
    pictures: tuple[Picture, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The topic as JSON values."""
        return asdict(self)


def figure(
    label: str, unit: str, value: float | None, function: Callable[..., Any], *inputs: Input
) -> Figure:
    """A figure of the value, in the unit of this key ("bar_g"; empty: none); None is told as not known."""
    text = "not known" if value is None else in_unit(unit, value)
    return Figure(label, text, f"{function.__module__}:{function.__qualname__}", inputs)


def given(
    label: str, unit: str, value: float | str | None, origin: Origin | str = "", where: str = ""
) -> Input:
    """An input with its origin in words; its label begins with a capital, however it is written where it is made."""
    text = "not known" if value is None else value if isinstance(value, str) else in_unit(unit, value)
    return Input(label[:1].upper() + label[1:], text, in_words(origin), where)


def in_words(origin: Origin | str) -> str:
    """An origin as an input tells it."""
    if isinstance(origin, str):
        return origin
    return ", ".join(part for part in (origin.kind.value, origin.source) if part)
