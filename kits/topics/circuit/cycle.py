"""The refrigerant's way round on a pressure-enthalpy picture, at the duty point that decides."""

import numpy as np

from kits.sizing.gas.refrigerant import Refrigerant, refrigerant
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.circuit.cycle_points import CyclePoint, cycle_points, dome
from kits.topics.context import Context
from kits.topics.figure import Figure, Line, Picture, Spot, Table, Topic, figure, given
from kits.topics.pieces import governing
from vehicles.physics.pressure import gauge_bar_g
from vehicles.physics.quantities import celsius, format_number, in_unit

CODE, TITLE = "cycle", "Refrigerant round its circuit"
HEADS = ("state", "where", "bar absolute", "bar g", "°C", "enthalpy, kJ/kg")
COIL_HEADS = (
    "coil", "flow, g/s", "evaporating, °C", "in the coil, bar g", "gas leaves at, °C", "branch loses, bar",
    "branch loses, K", "at the junction, bar g",
)  # fmt: skip


def cycle(context: Context) -> Topic | None:
    """The topic of the refrigerant's states; None where no duty point was solved."""
    main = governing(context.record)
    if main is None:
        return None
    plant, gas = context.case.plant, refrigerant(context.case.plant.refrigerant)
    gain_k = context.case.mounting.suction_gain_k or 0.0
    points = cycle_points(gas, main, plant.superheat_k, plant.subcooling_k, gain_k)
    return Topic(
        CODE,
        TITLE,
        _answer(main, plant.refrigerant),
        figures=_figures(context, main, points),
        tables=(_table(main, points), *_coils_table(gas, main, plant.superheat_k)),
        pictures=(_picture(gas, main, points),),
    )


def _answer(a: DutyAnswer, name: str) -> str:
    evaporate = f"evaporate at {celsius(a.evaporating_c or 0.0)}"
    if a.coils:
        told = (
            f"{coil.flow_g_s:.0f} g/s at {celsius(coil.evaporating_c)} in the {coil.place} coil"
            for coil in a.coils
        )
        evaporate = f"evaporate, {' and '.join(told)},"
    return (
        f"At “{a.name}” {a.flow_g_s:.0f} g/s of {name} {evaporate}{'' if a.coils else ','} condense at "
        f"{celsius(a.condensing_c or 0.0)} and leave the compressor at {celsius(a.discharge_c or 0.0)}."
    )


def _kj(points: tuple[CyclePoint, ...]) -> dict[str, float]:
    return {p.code: p.h_j_kg / 1000 for p in points}


def _figures(context: Context, a: DutyAnswer, points: tuple[CyclePoint, ...]) -> tuple[Figure, ...]:
    plant, at = context.case.plant, _kj(points)
    inputs = (
        given("evaporating", "c", a.evaporating_c, "sized"),
        given("condensing", "c", a.condensing_c, "sized"),
        given("superheat", "k", plant.superheat_k, "as the kit states", "kit"),
        given("subcooling", "k", plant.subcooling_k, "as the kit states", "kit"),
        given(
            "warming in the suction hose",
            "k",
            context.case.mounting.suction_gain_k,
            "as surveyed",
            "fitment",
        ),
        given("lost in the suction hose", "k", a.suction_loss_k, "sized"),
        given("flow", "", f"{a.flow_g_s:.1f} g/s", "sized"),
        given("power at the shaft", "w", a.power_w, "sized"),
    )
    return (
        figure("Cooling of each kilogram in the coil", "kj_kg", at["1"] - at["6"], cycle_points, *inputs),
        figure("Work on each kilogram", "kj_kg", at["3"] - at["2"], cycle_points, *inputs),
        figure("Heat of each kilogram to the condenser", "kj_kg", at["4"] - at["5"], cycle_points, *inputs),
        figure("Heat to the condenser", "w", a.heat_rejected_w, cycle_points, *inputs),
    )


def _number(value: float, decimals: int) -> str:
    return format_number(value, decimals)


def _table(a: DutyAnswer, points: tuple[CyclePoint, ...]) -> Table:
    rows = tuple(
        (
            p.code,
            p.place,
            _number(p.pressure_pa / 1e5, 2),
            _number(gauge_bar_g(p.pressure_pa), 2),
            _number(p.temperature_c, 1),
            _number(p.h_j_kg / 1000, 1),
        )
        for p in points
    )
    return Table(f"States at “{a.name}”; enthalpy of the liquid at 0 °C is 200 kJ/kg", HEADS, rows)


def _coils_table(gas: Refrigerant, a: DutyAnswer, superheat_k: float) -> tuple[Table, ...]:
    """Each of two coils, and what its branch loses on the way to the junction."""
    rows = []
    for coil in a.coils:
        at_coil, lost_k = coil.evaporating_c, coil.branch_loss_k or 0.0
        coil_pa, junction_pa = (float(gas.p_sat_pa(t)) for t in (at_coil, at_coil - lost_k))
        rows.append(
            (
                coil.place, _number(coil.flow_g_s, 1), _number(at_coil, 1), _number(gauge_bar_g(coil_pa), 2),
                _number(at_coil + superheat_k, 1), _number((coil_pa - junction_pa) / 1e5, 3), _number(lost_k, 2),
                _number(gauge_bar_g(junction_pa), 2),
            )
        )  # fmt: skip
    return (Table(f"Each coil to the junction at “{a.name}”", COIL_HEADS, tuple(rows)),) if rows else ()


def _picture(gas: Refrigerant, a: DutyAnswer, points: tuple[CyclePoint, ...]) -> Picture:
    liquid, vapour, pressure = (np.asarray(v) for v in dome(gas))
    bar = tuple(float(p) / 1e5 for p in pressure)
    round_trip = (*points, points[0])
    lines = (
        Line("saturated liquid", tuple(float(h) / 1000 for h in liquid), bar, "thin"),
        Line("saturated vapour", tuple(float(h) / 1000 for h in vapour), bar, "thin"),
        Line(
            a.name,
            tuple(p.h_j_kg / 1000 for p in round_trip),
            tuple(p.pressure_pa / 1e5 for p in round_trip),
            "main",
        ),
    )
    spots = tuple(Spot(p.code, p.h_j_kg / 1000, p.pressure_pa / 1e5) for p in points)
    told = "; ".join(
        f"{p.code} {p.place} {_number(p.pressure_pa / 1e5, 1)} bar, {_number(p.temperature_c, 0)} °C"
        for p in points
    )
    words = (
        f"Pressure over enthalpy of {gas.name} at “{a.name}”: {told}. The coil takes "
        f"{in_unit('kw', (a.capacity_w or 0.0) / 1000)}, the condenser gives off "
        f"{in_unit('kw', (a.heat_rejected_w or 0.0) / 1000)}."
    )
    return Picture(
        "pressure-enthalpy", f"Refrigerant at “{a.name}”", words, "enthalpy, kJ/kg", y_label="pressure, bar absolute",
        lines=lines, spots=spots, y_is_logarithmic=True,
    )  # fmt: skip
