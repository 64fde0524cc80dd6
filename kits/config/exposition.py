"""The text in which an operator's program reads figures.

Source: Prometheus text-based exposition format, version 0.0.4.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"


@dataclass(frozen=True)
class Gauge:
    """A figure that may rise and fall: its name with the unit at its end, what it says, and its samples by labels."""

    name: str
    says: str
    samples: tuple[tuple[Mapping[str, str], float], ...]


def gauge(name: str, says: str, value: float | None) -> Gauge:
    """A figure without labels; None: it is not known, so it has no sample."""
    return Gauge(name, says, () if value is None else (({}, value),))


def by_label(name: str, says: str, label: str, values: Mapping[str, float]) -> Gauge:
    """A figure for each value of a label."""
    return Gauge(name, says, tuple(({label: told}, value) for told, value in values.items()))


def exposed(gauges: Iterable[Gauge]) -> str:
    """The figures as text; one without samples is left out."""
    return "".join(_lines(one) for one in gauges if one.samples)


def _lines(one: Gauge) -> str:
    says = one.says.replace("\\", r"\\").replace("\n", r"\n")
    samples = "".join(f"{one.name}{_labels(labels)} {_number(value)}\n" for labels, value in one.samples)
    return f"# HELP {one.name} {says}\n# TYPE {one.name} gauge\n{samples}"


def _labels(labels: Mapping[str, str]) -> str:
    told = ",".join(f'{name}="{_escaped(value)}"' for name, value in labels.items())
    return f"{{{told}}}" if told else ""


def _escaped(value: str) -> str:
    return value.replace("\\", r"\\").replace('"', r"\"").replace("\n", r"\n")


def _number(value: float) -> str:
    if math.isnan(value):
        return "NaN"
    if math.isinf(value):
        return "+Inf" if value > 0 else "-Inf"
    return repr(value)
