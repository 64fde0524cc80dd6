"""Pictures of the air side: the blower against what the car takes, and the speed at each vent."""

import numpy as np

from kits.sizing.air.air_path import AirPath
from kits.sizing.air.airflow import blower_curve, system_loss_pa
from kits.sizing.words.defaults import default_value
from kits.topics.air.air_steps import StepAir
from kits.topics.context import Context
from kits.topics.figure import Bar, Line, Picture, Spot
from vehicles.physics.quantities import in_unit

POINTS = 25


def curves_picture(path: AirPath, steps: tuple[StepAir, ...], volts: float) -> Picture:
    """The blower's curve at each step against the losses of the car, with the operating points."""
    lines, spots = [], []
    most_m3_h = 0.0
    for one in steps:
        flow, pressure = blower_curve(path, volts, one.share, POINTS)
        most_m3_h = max(most_m3_h, float(flow[-1]))
        lines.append(Line(f"blower, step {one.step}", _numbers(flow), _numbers(pressure), "other"))
        if one.clean.within_curve:
            spots.append(
                Spot(
                    f"step {one.step}: {in_unit('m3_h', one.clean.total_m3_h)}",
                    one.clean.total_m3_h,
                    one.clean.blower_static_pa,
                )
            )
    # no higher than the highest blower pressure: beyond it the losses meet no curve
    top_pa = max(max(line.y) for line in lines)
    lines.append(_losses("car, clean filter", path, most_m3_h, top_pa, is_main=True))
    clogged = path.clogged()
    if clogged is not None:
        lines.append(_losses("car, clogged filter", clogged, most_m3_h, top_pa, is_main=False))
    points = "; ".join(spot.label for spot in spots)
    words = f"Blower pressure falls with the flow, the car's losses rise; they meet at: {points}."
    return Picture(
        "curves",
        "Blower against the car's losses",
        words,
        "air, m³/h",
        y_label="static pressure, Pa",
        lines=tuple(lines),
        spots=tuple(spots),
    )


def _losses(label: str, path: AirPath, most_m3_h: float, top_pa: float, *, is_main: bool) -> Line:
    flow = np.linspace(most_m3_h / POINTS, most_m3_h, POINTS)
    loss = system_loss_pa(path, flow)
    shown = loss <= top_pa
    x, y = (0.0, *_numbers(flow[shown])), (0.0, *_numbers(loss[shown]))
    return Line(label, x, y, "main" if is_main else "thin")


def _numbers(values: np.ndarray) -> tuple[float, ...]:
    # stored with the answer: a tenth is finer than any line
    return tuple(round(float(v), 1) for v in values)


def vents_picture(context: Context, full: StepAir) -> Picture:
    """The air speed at each vent at the highest step, against what is wanted of it."""
    least, most = default_value("vent_velocity_least_m_s"), default_value("vent_velocity_most_m_s")
    parts = context.vent_parts()
    speeds = zip(full.clean.outlet_codes, full.clean.outlet_velocity_m_s, strict=True)
    bars = tuple(
        Bar(f"vent {code}, {parts[code]}", round(v, 2), in_unit("m_s", v), most if v >= least else least)
        for code, v in speeds
    )
    told = ", ".join(f"{bar.label} {bar.text}" for bar in bars)
    words = f"At the highest step: {told}. Wanted are {least:g} to {most:g} m/s (common practice, no source)."
    caption = (
        f"Air speed at each vent; marked are {most:g} m/s, or {least:g} m/s where it is slower than that"
    )
    return Picture("vents", caption, words, "air speed, m/s", bars=bars)
