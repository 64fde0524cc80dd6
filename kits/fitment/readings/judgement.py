"""A set of readings held against the bands of a healthy car: what is in its band, and what the pattern speaks for."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from kits.sizing.gas.readings import (
    SIGN_WORDS,
    Bands,
    CommissioningState,
    Judged,
    Pattern,
    Readings,
    expected_bands,
    humidity_beyond,
    judge_readings,
    not_comparable,
    rest_pressure_bar_g,
    table,
)
from vehicles.physics.quantities import format_value

MARKS: Final = {-1: "warns", 0: "done", 1: "warns"}
NAMES: Final = {
    "low_bar_g": "Low side",
    "high_bar_g": "High side",
    "vent_c": "Air at the vents",
    "subcooling_k": "Subcooling at the condenser’s end",
    "superheat_k": "Superheat at the coil’s end",
    "matrix_hose_over_air_k": "Heater’s outlet hose over the air",
    "rest_excess_bar": "Pressure at rest over the gas’s own",
}
COOL_C: Final = 25.0
"""Up to here the table's rows say whether a healthy compressor cycles at middling humidity."""


@dataclass(frozen=True)
class PlantAtHand:
    """What of the fitment the judgement asks: its gas, whether its compressor is electric, where its fan starts."""

    refrigerant: str
    is_electric: bool
    fan_on_bar_g: float | None


@dataclass(frozen=True, kw_only=True)
class Taken:
    """What was typed: the state, and what was read in it; None for what was not read.

    fan: "running", "standing" or ""; cycling: "steady", "cycling" or "".
    """

    ambient_c: float
    humidity_pct: float
    air: str
    blower: str
    doors: str
    minutes: float
    low_bar_g: float
    high_bar_g: float
    vent_c: float
    engine_rpm: float | None = None
    fan: str = ""
    cycling: str = ""
    subcooling_k: float | None = None
    superheat_k: float | None = None
    rest_bar_g: float | None = None
    matrix_hose_over_air_k: float | None = None


@dataclass(frozen=True)
class Line:
    """One reading beside its band."""

    name: str
    read: str
    expected: str
    word: str
    mark: str


@dataclass(frozen=True)
class Judgement:
    """The answer in words, or why there is none; the readings beside their bands; the faults they speak for."""

    answer: str
    mark: str
    reasons: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    likely: tuple[Pattern, ...] = ()
    notes: tuple[str, ...] = ()


def judged(taken: Taken, plant: PlantAtHand) -> Judgement:
    """Hold readings against the bands of their state; readings of another state are not judged, and it is said why."""
    reasons = list(_not_comparable(taken, plant))
    bands = None
    try:
        if plant.refrigerant:
            bands = expected_bands(taken.ambient_c, taken.humidity_pct / 100, plant.refrigerant)
    except ValueError as outside:
        reasons.append(_plain(str(outside)))
    if reasons or bands is None:
        return Judgement(
            "These readings can’t be judged.", "unsized", tuple(reasons), notes=tuple(_fan(taken, plant))
        )
    excess, rest_notes = _rest_excess(taken, plant.refrigerant)
    readings = Readings(
        low_bar_g=taken.low_bar_g,
        high_bar_g=taken.high_bar_g,
        vent_c=taken.vent_c,
        subcooling_k=taken.subcooling_k,
        superheat_k=taken.superheat_k,
        matrix_hose_over_air_k=taken.matrix_hose_over_air_k,
        blower_flow_share=None,
        rest_excess_bar=excess,
    )
    found = judge_readings(readings, bands)
    answer = (
        "Healthy, as far as it was read: every reading lies in its band."
        if found.is_healthy
        else f"Not as a healthy car: it reads like {_any_of([p.words for p in found.likely])}."
    )
    notes = (*_bands_notes(taken, plant.refrigerant), *rest_notes, *_fan(taken, plant), *_cycling(taken))
    mark = "done" if found.is_healthy else "warns"
    return Judgement(answer, mark, (), tuple(_lines(readings, bands, found)), found.likely, notes)


def _not_comparable(taken: Taken, plant: PlantAtHand) -> Iterator[str]:
    rpm = taken.engine_rpm
    state = CommissioningState(
        ambient_c=taken.ambient_c,
        humidity_share=taken.humidity_pct / 100,
        engine_rpm=0.0 if rpm is None else rpm,
        minutes=taken.minutes,
        blower_is_highest=taken.blower == "highest",
        is_recirculated=taken.air == "recirculated",
        doors_are_open=taken.doors == "open",
        refrigerant=plant.refrigerant,
    )
    if plant.is_electric:
        yield "The bands are those of a compressor driven by an engine; none are held for an electric one."
        return
    for sentence in not_comparable(state):
        yield _plain(sentence)


def _plain(sentence: str) -> str:
    """A sentence of its own."""
    return f"{sentence[:1].upper()}{sentence[1:].rstrip('.')}."


def _any_of(words: list[str]) -> str:
    # the words of a fault may hold a comma or an "or" themselves
    return words[0] if len(words) == 1 else f"{'; '.join(words[:-1])}; or {words[-1]}"


def _rest_excess(taken: Taken, gas: str) -> tuple[float | None, tuple[str, ...]]:
    """The pressure at rest over the gas's own at the air's temperature, in bar."""
    if taken.rest_bar_g is None:
        return None, ()
    try:
        return taken.rest_bar_g - float(rest_pressure_bar_g(taken.ambient_c, gas)), ()
    except ValueError as outside:
        return None, (f"{outside} It was left out.",)


def _lines(readings: Readings, bands: Bands, found: Judged) -> Iterator[Line]:
    for name, sign in found.signs.items():
        low, high = bands.of(name) if name in ("low_bar_g", "high_bar_g", "vent_c") else _other(name)
        expected = f"{format_value(name, low).partition(' ')[0]} to {format_value(name, high)}"
        yield Line(
            NAMES[name], format_value(name, getattr(readings, name)), expected, SIGN_WORDS[sign], MARKS[sign]
        )


def _other(name: str) -> tuple[float, float]:
    low, high = table()["other_bands"][name]
    return float(low), float(high)


def _bands_notes(taken: Taken, gas: str) -> Iterator[str]:
    if float(humidity_beyond(taken.ambient_c, taken.humidity_pct / 100)) > 0:
        yield "The humidity lies beyond those that are listed at this temperature: the bands are carried on, and wider."
    if gas != table()["refrigerant"]:
        yield (
            f"The bands are those of {table()['refrigerant']}, converted to {gas} at the same saturation temperatures;"
            " that has no source."
        )


def _fan(taken: Taken, plant: PlantAtHand) -> Iterator[str]:
    """A fan that stands although the high side is where the kit starts it."""
    if taken.fan != "standing":
        return
    if plant.fan_on_bar_g is None or taken.high_bar_g >= plant.fan_on_bar_g:
        at = (
            ""
            if plant.fan_on_bar_g is None
            else f" although the kit starts it at {plant.fan_on_bar_g:g} bar g"
        )
        yield f"The condenser’s fan stood still{at}: find out why before anything else."
    else:
        yield f"The condenser’s fan stood still; the kit starts it at {plant.fan_on_bar_g:g} bar g, so it may."


def _cycling(taken: Taken) -> Iterator[str]:
    """A healthy compressor cycles on a cool day and pumps on a hot one."""
    cool = [row for row in table()["rows"] if row["cycles"]]
    humid = max(row["humidity_share"] for row in cool)
    is_cool = taken.ambient_c <= max(row["ambient_c"] for row in cool) and taken.humidity_pct <= 100 * humid
    is_hot = taken.ambient_c >= min(row["ambient_c"] for row in table()["rows"] if row["ambient_c"] > COOL_C)
    if taken.cycling == "steady" and is_cool:
        yield "On a day like this a healthy plant cycles; that it did not may mean warm air leaking into the cabin."
    if taken.cycling == "cycling" and is_hot:
        yield (
            "On a hot day a healthy plant does not cycle: find out which switch opens, the freeze control, the low or"
            " the high side’s."
        )
    if taken.cycling == "cycling":
        yield "While it cycles the gauges swing: read the low side just before the clutch lets go."
