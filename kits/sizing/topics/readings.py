"""Expected readings at commissioning: the paper's grid of bands, and what faults look like."""

import numpy as np

from kits.sizing.readings import (
    MEASURED,
    expected_bands,
    judge_readings,
    rest_pressure_bar_g,
    table,
)
from kits.sizing.topics.context import Context
from kits.sizing.topics.figure import Figure, Remark, Table, Topic, figure, given
from vehicles.physics.quantities import format_value

CODE, TITLE = "readings", "Expected readings at commissioning"
AMBIENTS_C = (20.0, 25.0, 30.0, 35.0, 40.0)
HUMIDITIES = (0.3, 0.5, 0.7)
REST_C = (15.0, 20.0, 25.0, 30.0, 35.0)
NOT_KNOWN = "not known"
SIGN_WORDS = {-1: "low", 0: "in its band", 1: "high"}
CAUTIONS = (
    "Refrigerant is under pressure and freezes skin: gauges are for people who hold the licence the law asks for.",
    "Readings are taken with the engine running: mind belts, fans and hot coolant.",
)


def readings(context: Context) -> Topic | None:
    """The topic of a fitment's expected readings; for another refrigerant than the table's none are known."""
    gas, known = str(context.kit.settings.get("refrigerant", "")), str(table()["refrigerant"])
    if gas != known:
        text = f"The bands of expected readings are those of {known}; for {gas or 'no refrigerant'} none are held."
        return Topic(CODE, TITLE, text, remarks=(Remark("readings-other-gas", "notes", "kit", text),))
    shown = [(t, rh) for t in AMBIENTS_C for rh in HUMIDITIES]
    bands = expected_bands([t for t, _ in shown], [rh for _, rh in shown])
    rows = tuple(
        (
            f"{t:.0f}",
            f"{100 * rh:.0f}",
            *(_band(bands[2 * k][i], bands[2 * k + 1][i]) for k in range(len(MEASURED))),
        )
        for i, (t, rh) in enumerate(shown)
    )
    heads = ("outside, °C", "humidity, %", "low side, bar g", "high side, bar g", "vents, °C")
    grid = Table("Healthy: doors open, highest step, recirculated, 1,500 rpm, 10 min", heads, rows)
    answer = (
        "With doors open, blower at its highest step, recirculated air, 1,500 rpm and after 10 min a healthy car reads "
        "as the table says (common practice, no source); readings of another state are not held against it."
    )
    return Topic(CODE, TITLE, answer, _at_rest(), (grid, _faults()), cautions=CAUTIONS)


def _band(low: float, high: float) -> str:
    return f"{low:.1f} to {high:.1f}" if np.isfinite(low) else NOT_KNOWN


def _at_rest() -> tuple[Figure, ...]:
    source = str(table()["source"])
    state = given("state", "", "; ".join(_conditions()), "common practice, no source")
    bands = Figure(
        "bands", "see the table", f"{expected_bands.__module__}:{expected_bands.__qualname__}", (state,)
    )
    judged = Figure(
        "faults by their pattern",
        "see the table",
        f"{judge_readings.__module__}:{judge_readings.__qualname__}",
    )
    rest = tuple(
        figure(
            f"pressure at rest at {t:.0f} °C", "_bar_g", float(rest_pressure_bar_g(t)), rest_pressure_bar_g,
            given("air and car at", "_c", t, source),
        )
        for t in REST_C
    )  # fmt: skip
    return (*rest, bands, judged)


def _conditions() -> tuple[str, ...]:
    limits = table()["state"]
    return (
        f"{format_value('_rpm', limits['least_rpm'])} to {format_value('_rpm', limits['most_rpm'])}",
        f"at least {format_value('_min', limits['least_minutes'])}",
        "doors open, highest step, recirculated",
    )


def _faults() -> Table:
    heads = ("fault", "low side", "high side", "vents", "check next")
    rows = tuple(
        (p["words"], *(_signs(p["signs"][name]) for name in MEASURED), p["check"])
        for p in table()["patterns"]
    )
    return Table("What faults read", heads, rows)


def _signs(signs: list[int]) -> str:
    return " or ".join(SIGN_WORDS[sign] for sign in signs)
