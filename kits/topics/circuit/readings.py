"""Expected readings at commissioning: the bands of any healthy car, what is predicted of this one, what faults read."""

from collections.abc import Iterator

import numpy as np

from kits.bom.resolved import Finding
from kits.sizing.gas.readings import (
    MEASURED,
    SIGN_WORDS,
    expected_bands,
    humidity_beyond,
    judge_readings,
    rest_pressure_bar_g,
    table,
)
from kits.sizing.gas.refrigerant import known_refrigerants
from kits.sizing.verdict.checks_gas import gas_of
from kits.topics.circuit.run_readings import (
    beside_practice,
    predicted_figures,
    predicted_pictures,
    predicted_table,
    run_test_words,
)
from kits.topics.context import Context
from kits.topics.drawing import short
from kits.topics.figure import Band, Figure, Picture, Table, Topic, figure, given
from vehicles.physics.quantities import in_unit

CODE, TITLE = "readings", "Expected readings at commissioning"
AMBIENTS_C = (20.0, 25.0, 30.0, 35.0, 40.0)
HUMIDITIES = (0.3, 0.5, 0.7)
DRAWN_HUMIDITY = 0.5
REST_C = (15.0, 20.0, 25.0, 30.0, 35.0)
NOT_KNOWN = "not known"
INTERPOLATED, EXTRAPOLATED = "from practice", "extrapolated, wider"
LEAST_BEYOND = 0.005
CAUTIONS = (
    "Refrigerant is under pressure and freezes skin: gauges are for people who hold the licence the law asks for.",
    "Readings are taken with the engine running: mind belts, fans and hot coolant.",
)


def readings(context: Context) -> Topic | None:
    """The topic of a fitment's expected readings; for a refrigerant whose pressures nobody knows there are none."""
    gas, told = gas_of(context.kit), tuple(remarks(context))
    if gas not in known_refrigerants():
        return Topic(CODE, TITLE, _not_known(gas), remarks=told)
    shown = [(t, rh) for t in AMBIENTS_C for rh in HUMIDITIES]
    where = [t for t, _ in shown], [rh for _, rh in shown]
    bands, beyond = expected_bands(*where, gas), humidity_beyond(*where)
    rows = tuple(
        (
            f"{t:.0f}",
            f"{100 * rh:.0f}",
            *(_band(bands[2 * k][i], bands[2 * k + 1][i]) for k in range(len(MEASURED))),
            EXTRAPOLATED if beyond[i] > LEAST_BEYOND else INTERPOLATED,
        )
        for i, (t, rh) in enumerate(shown)
    )
    heads = ("outside, °C", "humidity, %", "low side, bar g", "high side, bar g", "vents, °C", "how known")
    grid = Table("Healthy: doors open, highest step, recirculated, 1,500 rpm, 10 min", heads, rows)
    answer = (
        "With doors open, blower at its highest step, recirculated air, 1,500 rpm and after 10 min a healthy car reads "
        "as the table says (common practice, no source); readings of another state are not held against it."
    )
    if gas != table()["refrigerant"]:
        known = table()["refrigerant"]
        answer += f" For {gas} the pressures of {known} are converted at equal saturation temperatures."
    if context.case.plant.rear is not None:
        answer += " With two units the vents of both are read: each unit's coldest vent lies in the band of the vents."
    figures, pictures, predicted = _at_rest(gas), _pictures(gas), list[Table]()
    test = context.record.run_test
    if test is not None and test.points:
        answer += f" Beside it stands what is predicted for this fitment. {run_test_words(test)}"
        figures += predicted_figures(context, test)
        predicted.append(predicted_table(test))
        pictures += predicted_pictures(test, gas)
    elif test is not None:
        answer += f" Nothing is predicted for this fitment: {test.reason}"
    tables = (grid, *predicted, _faults())
    return Topic(
        CODE,
        TITLE,
        answer,
        figures=figures,
        tables=tables,
        remarks=told,
        cautions=CAUTIONS,
        pictures=pictures,
    )


def remarks(context: Context) -> Iterator[Finding]:
    """A refrigerant whose pressures nobody knows, and predictions that lie outside the bands of practice."""
    gas, test = gas_of(context.kit), context.record.run_test
    if gas not in known_refrigerants():
        yield Finding("readings-other-gas", "notes", "kit", _not_known(gas))
    elif test is not None:
        yield from beside_practice(test, gas)


def _not_known(gas: str) -> str:
    return f"No pressures are known for {gas or 'a kit without a refrigerant'}: no expected readings."


def _pictures(gas: str) -> tuple[Picture, ...]:
    """The bands of a healthy car over the outside temperature, at one humidity."""
    ambient = np.linspace(AMBIENTS_C[0], AMBIENTS_C[-1], 21)
    bands = expected_bands(ambient, np.full(ambient.size, DRAWN_HUMIDITY), gas)
    low, high, vents = (
        Band(label, short(ambient), short(bands[2 * i]), short(bands[2 * i + 1]))
        for i, label in enumerate(("low side", "high side", "air at the vents"))
    )
    axis = f"outside, °C, at {100 * DRAWN_HUMIDITY:.0f} % humidity"
    return (
        Picture("pressures", f"What a healthy car reads: pressures, {gas}", _ends(low, high, unit="bar g"), axis,
                y_label="pressure, bar g", bands=(low, high)),
        Picture("vents", "What a healthy car reads: air at the vents", _ends(vents, unit="°C"), axis,
                y_label="air at the vents, °C", bands=(vents,)),
    )  # fmt: skip


def _ends(*bands: Band, unit: str) -> str:
    """The first and the last reading of each band, in words."""
    return " ".join(
        f"{band.label.capitalize()}: {_band(band.low[0], band.high[0])} {unit} at {band.x[0]:.0f} °C, "
        f"{_band(band.low[-1], band.high[-1])} {unit} at {band.x[-1]:.0f} °C."
        for band in bands
    )


def _band(low: float, high: float) -> str:
    return f"{low:.1f} to {high:.1f}" if np.isfinite(low) else NOT_KNOWN


def _at_rest(gas: str) -> tuple[Figure, ...]:
    source = str(table()["source"])
    state = given("state", "", "; ".join(_conditions()), "common practice, no source")
    bands = Figure(
        "Bands", "see the table", f"{expected_bands.__module__}:{expected_bands.__qualname__}", (state,)
    )
    judged = Figure(
        "Faults by their pattern",
        "see the table",
        f"{judge_readings.__module__}:{judge_readings.__qualname__}",
    )
    rest = tuple(
        figure(
            f"Pressure at rest at {t:.0f} °C", "bar_g", float(rest_pressure_bar_g(t, gas)), rest_pressure_bar_g,
            given("air and car at", "c", t, source),
        )
        for t in REST_C
    )  # fmt: skip
    return (*rest, bands, judged)


def _conditions() -> tuple[str, ...]:
    limits = table()["state"]
    return (
        f"{in_unit('rpm', limits['least_rpm'])} to {in_unit('rpm', limits['most_rpm'])}",
        f"at least {in_unit('min', limits['least_minutes'])}",
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
