"""What is predicted of a fitment's run test, told beside the bands of any healthy car."""

from collections.abc import Iterator

import numpy as np

from kits.bom.catalogue import PREDICTED
from kits.bom.resolved import Finding
from kits.sizing.gas.readings import MEASURED, Bands, expected_bands
from kits.sizing.verdict.record import RunTest, RunTestPoint
from kits.sizing.verdict.run_test import run_test_limits, run_tests, table, uncertainty
from kits.topics.context import Context
from kits.topics.drawing import line, short
from kits.topics.figure import Band, Figure, Picture, Table, given
from vehicles.physics.quantities import in_unit, unit_key

CAPTION = (
    "Predicted for this fitment, not yet confirmed by a trial: the prediction and what a healthy car may read"
)
FROM_C = 20.0
"""Below it practice has no bands."""
DRAWN_HUMIDITY = 0.5
LOW, HIGH, COLDEST, WARMEST = PREDICTED
PRACTICE = {LOW: MEASURED[0], HIGH: MEASURED[1], COLDEST: MEASURED[2]}
"""The band of any healthy car that a predicted quantity is held against."""


def run_test_words(test: RunTest) -> str:
    """The state of the run test in words, as the paper of the job tells it."""
    speed = (
        f"the compressor free up to {in_unit('rpm', test.compressor_rpm)}"
        if test.engine_rpm is None and test.compressor_rpm is not None
        else in_unit("rpm", test.engine_rpm or 0.0)
    )
    words = (
        f"Doors and bonnet open, flap shut, blower at its highest step, {speed}, standing still, after "
        f"{in_unit('min', table()['minutes_min'])}."
    )
    if test.fan_on_bar_g is not None:
        words += (
            f" The condenser's fan starts at {in_unit('bar_g', test.fan_on_bar_g)} on the high side; as long as "
            "it stands the high side may rise to that."
        )
    if any(point.cycles for point in test.points):
        words += " Where it cycles, pressures are read with the clutch engaged."
    return words


def predicted_value(point: RunTestPoint, quantity: str) -> float | None:
    """What is predicted of a quantity at a point; None where nothing is."""
    values = (point.low_side_bar_g, point.high_side_bar_g, point.coldest_vent_c, point.warmest_vent_c)
    return dict(zip(PREDICTED, values, strict=True))[quantity]


def predicted_table(test: RunTest) -> Table:
    """Of each air at the intake what is predicted, with its limits, or why there is no number."""
    rows = tuple(
        (
            f"{p.air_c:.0f}",
            f"{100 * p.humidity_share:.0f}",
            *(_with_limits(p, quantity) for quantity in PREDICTED),
            p.reason or ("cycles" if p.cycles else "runs through"),
        )
        for p in test.points
    )
    units = (f"{quantity}, {unit}" for quantity, unit in PREDICTED.items())
    return Table(CAPTION, ("air at the intake, °C", "humidity, %", *units, "compressor"), rows)


def _with_limits(point: RunTestPoint, quantity: str) -> str:
    value = predicted_value(point, quantity)
    if value is None:
        return "no number"
    low, high = point.limits[quantity]
    return f"{value:.1f} ({low:.1f} to {high:.1f})"


def predicted_figures(context: Context, test: RunTest) -> tuple[Figure, ...]:
    """How the prediction and its limits are worked out."""
    case, source = context.case, str(table()["source"])
    where = case.car.where.get("fitment", "fitment")
    speed = given("most the compressor turns", "rpm", test.compressor_rpm, "data sheet", "kit")
    if test.engine_rpm is not None:
        speed = given("engine", "rpm", test.engine_rpm, source)
    state = (
        speed,
        given("altitude", "m", float(table()["altitude_m"]), source),
        given(
            "air at the condenser over that around the car", "k", test.condenser_rise_k, "as at idle", where
        ),
        given(
            "share of the fan's air as installed",
            "",
            f"{case.mounting.fan_installed_share or 0.0:.2f}",
            "fitment",
            where,
        ),
    )
    made = tuple(
        given(row.meaning, unit_key(key), row.value, row.source) for key, row in uncertainty().items()
    )
    fan = given("pressure at which the fan starts", "bar_g", test.fan_on_bar_g, "setting of the kit", "kit")
    cut = given(
        "high-pressure switch opens at",
        "bar_g",
        context.kit.settings.get("high_cut_out_bar_g"),
        "setting of the kit",
        "kit",
    )
    names = [f"{f.__module__}:{f.__qualname__}" for f in (run_tests, run_test_limits)]
    return (
        Figure("Predicted readings", "see the table", names[0], state),
        Figure("Limits round the prediction", "see the table", names[1], (*made, fan, cut)),
    )


def predicted_pictures(test: RunTest, gas: str) -> tuple[Picture, ...]:
    """The limits over the air at the intake, at one humidity, with the bands of any healthy car."""
    drawn = [p for p in test.points if p.humidity_share == DRAWN_HUMIDITY and not p.reason]
    if len(drawn) < 2:
        return ()
    return tuple(_picture(drawn, quantity, gas) for quantity in PRACTICE)


def _picture(drawn: list[RunTestPoint], quantity: str, gas: str) -> Picture:
    x, unit = [p.air_c for p in drawn], PREDICTED[quantity]
    value = [predicted_value(p, quantity) or 0.0 for p in drawn]
    low, high = ([p.limits[quantity][k] for p in drawn] for k in (0, 1))
    lines = [line("predicted", x, value)]
    known = np.array([t for t in x if t >= FROM_C])
    if known.size > 1:
        bands = expected_bands(known, np.full(known.size, DRAWN_HUMIDITY), gas)
        k = 2 * MEASURED.index(PRACTICE[quantity])
        for j, end in enumerate(("least", "most")):
            lines.append(line(f"any healthy car, {end}", known, bands[k + j], "other"))
    words = " ".join(
        f"At {x[k]:.0f} °C {value[k]:.1f} {unit}, limits {low[k]:.1f} to {high[k]:.1f}." for k in (0, -1)
    )
    return Picture(
        f"predicted-{quantity.replace(' ', '-')}",
        f"Predicted for this fitment: {quantity}",
        words,
        f"air at the intake, °C, at {100 * DRAWN_HUMIDITY:.0f} % humidity",
        y_label=f"{quantity}, {unit}",
        lines=tuple(lines),
        bands=(Band("limits", short(x), short(low), short(high)),),
    )


def beside_practice(test: RunTest, gas: str) -> Iterator[Finding]:
    """Where the prediction lies outside the band of any healthy car in the same state."""
    told = [p for p in test.points if not p.reason and p.air_c >= FROM_C]
    if not told:
        return
    bands = expected_bands([p.air_c for p in told], [p.humidity_share for p in told], gas)
    for quantity in PRACTICE:
        for side, word in ((1, "above"), (-1, "below")):
            apart = [(side * _apart(p, quantity, bands, i, side), i) for i, p in enumerate(told)]
            outside = [(by, i) for by, i in apart if by > 0]
            if not outside:
                continue
            _, i = max(outside)
            low, high = _practice(bands, quantity, i)
            unit = PREDICTED[quantity]
            sentence = (
                f"In {len(outside)} of {len(told)} states of the run test the {quantity} is predicted {word} the band "
                f"of any healthy car, most at {told[i].air_c:.0f} °C and {100 * told[i].humidity_share:.0f} %: "
                f"{predicted_value(told[i], quantity):.1f} {unit} against {low:.1f} to {high:.1f} (common practice, no "
                "source). The checklist's limits follow the prediction until a trial confirms it."
            )
            yield Finding("readings-beside-practice", "notes", "fitment", sentence)


def _practice(bands: Bands, quantity: str, i: int) -> tuple[float, float]:
    k = 2 * MEASURED.index(PRACTICE[quantity])
    return float(bands[k][i]), float(bands[k + 1][i])


def _apart(point: RunTestPoint, quantity: str, bands: Bands, i: int, side: int) -> float:
    """How far the prediction lies above the band's upper end, or its lower end for side -1; the mean of what cycles.

    A cycling plant's head reaches from its mean up to that with the clutch engaged, its low side the other way.
    """
    value, (low, high) = predicted_value(point, quantity) or 0.0, _practice(bands, quantity, i)
    engaged = {LOW: point.engaged_low_bar_g, HIGH: point.engaged_bar_g}.get(quantity)
    ends = [value] if engaged is None else [value, engaged]
    return min(ends) - high if side > 0 else max(ends) - low
