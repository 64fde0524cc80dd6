"""The refrigerant hoses of a fitment: cut, volume, velocity, loss, oil return, and what a metre more costs."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.bom.joints import DISCHARGE, LIQUID, SUCTION
from kits.bom.resolved import Finding, Hose, ResolvedKit
from kits.sizing.gas.charge import held_g
from kits.sizing.gas.hoses import (
    BORE_TOLERANCE_SHARE,
    HoseSize,
    hose_velocity_m_s,
    hose_volume_ml,
    next_size_up,
    nominal_bore_mm,
    oil_return_velocity_m_s,
    one_metre_more_k,
    suction_hose_loss_k,
)
from kits.sizing.gas.lines import line_pressure_drop_pa
from kits.sizing.gas.refrigerant import Refrigerant, known_refrigerants, refrigerant
from kits.sizing.verdict.checks_gas import gas_of
from kits.sizing.verdict.mends import of_part
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value, defaults
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, Topic, figure, given
from kits.topics.origins import of_kit
from kits.topics.pieces import assumed, origin_of
from vehicles.physics.arrays import FloatArray
from vehicles.physics.quantities import in_unit

CODE, TITLE = "hoses", "Hoses"

NO_STATE = "No duty point is answered: velocity, loss and content of the hoses are not known."
NEEDED = ("evaporating_c", "condensing_c", "discharge_c", "flow_g_s")


class _State(NamedTuple):
    """Density and viscosity of what a side carries, at one duty point or all."""

    rho: FloatArray
    mu: FloatArray


class _Suction(NamedTuple):
    """The suction hose at all answered duty points."""

    velocity_m_s: FloatArray
    carries_m_s: FloatArray
    loss_k: FloatArray
    metre_k: FloatArray
    gas_kg_m3: FloatArray
    worst: int


def hoses(context: Context) -> Topic | None:
    """The hoses as cut, and the suction hose at each duty point."""
    kit, told = context.kit, tuple(remarks(context))
    if not kit.hoses:
        return None
    flowing = _flowing(context)
    if flowing is None:
        return Topic(CODE, TITLE, NO_STATE, figures=(), tables=(_cut_table(kit.hoses),), remarks=told)
    gas, duties, suction = flowing
    duty = duties[suction.worst]
    limit, loss = default_value("suction_loss_limit_k"), float(suction.loss_k[suction.worst])
    hose = _suction_hose(kit)
    figures = _suction_figures(context, gas, hose, duty, suction)
    is_over = loss > limit
    liquid = next((f for f in figures if f.label == "One metre more of liquid hose"), None)
    takes = f", one metre more of liquid hose takes {liquid.text} of charge" if liquid else ""
    answer = (
        f"The suction hose ({hose.size}, {context.case.plant.suction.length_m:.2f} m) costs"
        f" {in_unit('k', loss)} at “{duty.name}”,"
        f" {'more than' if is_over else 'within'} the {limit:g} K that is accepted; one metre more costs"
        f" {suction.metre_k[suction.worst]:.2f} K{takes}."
    )
    tables = (_line_table(context, gas, duty), _suction_table(duties, suction))
    return Topic(CODE, TITLE, answer, figures=tuple(figures), tables=tables, remarks=told)


def remarks(context: Context) -> Iterator[Finding]:
    """Hoses without their data, a suction hose that loses too much or lifts no oil."""
    kit = context.kit
    if not kit.hoses:
        return
    yield from _unknown(kit)
    flowing = _flowing(context)
    if flowing is None:
        yield Finding("hose-state", "warns", "fitment", NO_STATE)
        return
    gas, duties, suction = flowing
    hose = _suction_hose(kit)
    yield from _loss_remark(context, gas, hose, duties[suction.worst], suction)
    yield from _oil_remark(hose, duties, suction)


def _suction_hose(kit: ResolvedKit) -> Hose:
    return next(h for h in kit.hoses if h.side == SUCTION)


def _flowing(context: Context) -> tuple[Refrigerant, list[DutyAnswer], _Suction] | None:
    """The gas, the duty points that say what flows, and the suction hose at them; None where none does."""
    gas_name = gas_of(context.kit)
    duties = [d for d in context.record.duties if all(getattr(d, name) is not None for name in NEEDED)]
    if not duties or gas_name not in known_refrigerants():
        return None
    gas = refrigerant(gas_name)
    suction = _suction(context, gas, duties)
    return (gas, duties, suction) if np.isfinite(suction.loss_k[suction.worst]) else None


def _unknown(kit: ResolvedKit) -> Iterator[Finding]:
    """Hoses without length or bore, and bores that are not those of their size."""
    for hose in kit.hoses:
        if hose.cut_mm is None:
            sentence = f"{hose.name} has no length: route {hose.route} is not measured."
            yield Finding("length-missing", "warns", f"length:{hose.route}", sentence)
        nominal = nominal_bore_mm(hose.size)
        mend = of_part(kit, "Hoses", "bore_mm", hose.hose)
        if hose.bore_mm is None:
            yield Finding("hose-bore", "warns", f"part:{hose.hose}", f"Hose {hose.hose} has no bore.", mend)
        elif nominal is not None and abs(hose.bore_mm / nominal - 1) > BORE_TOLERANCE_SHARE:
            sentence = (
                f"Hose {hose.hose} is {hose.size} with a bore of {hose.bore_mm:g} mm; that size has {nominal:g} mm"
                " (the number is no count of sixteenths)."
            )
            yield Finding("hose-bore", "warns", f"part:{hose.hose}", sentence, mend)


def _row(duties: list[DutyAnswer], name: str) -> FloatArray:
    return np.array([getattr(d, name) for d in duties], dtype=float)


def _suction(context: Context, gas: Refrigerant, duties: list[DutyAnswer]) -> _Suction:
    plant = context.case.plant
    line, evaporating, flow = plant.suction, _row(duties, "evaporating_c"), _row(duties, "flow_g_s") / 1000
    bore_mm = 1000 * line.bore_m
    rho = gas.vapour(evaporating, plant.superheat_k).rho
    hose: dict[str, ArrayLike] = {
        "flow_kg_s": flow, "length_m": line.length_m, "bore_mm": bore_mm, "loss_factor": line.loss_factor,
        "evaporating_c": evaporating, "superheat_k": plant.superheat_k,
    }  # fmt: skip
    loss = suction_hose_loss_k(gas, **hose)
    return _Suction(
        hose_velocity_m_s(flow, bore_mm, rho),
        oil_return_velocity_m_s(bore_mm, rho, default_value("oil_density_kg_m3")),
        loss,
        one_metre_more_k(gas, **hose),
        rho,
        # a state beyond the property tables has no loss, and is no worst one
        int(np.argmax(np.where(np.isfinite(loss), loss, -np.inf))),
    )


def _suction_figures(
    context: Context, gas: Refrigerant, hose: Hose, duty: DutyAnswer, suction: _Suction
) -> list[Figure]:
    """Loss, what the next size would lose, one metre more, and the velocity beside what oil asks for."""
    row = suction.worst
    inputs = tuple(_inputs(context, hose, duty))
    loss = float(suction.loss_k[row])
    figures = [
        figure("Loss of the suction hose", "k", loss, suction_hose_loss_k, *inputs),
        figure("One metre more of suction hose", "k", float(suction.metre_k[row]), one_metre_more_k, *inputs),
    ]
    larger = _larger(context, gas, duty)
    if larger is not None:
        size = given(
            "Next size up",
            "mm",
            f"{larger[0].size}, {larger[0].bore_mm:g} mm",
            "nominal bore, from memory",
        )
        others = (i for i in inputs if i.label != "Bore")
        label = f"Loss with {larger[0].size}"
        figures.append(figure(label, "k", larger[1], suction_hose_loss_k, size, *others))
    oil = defaults()["oil_density_kg_m3"]
    bore, flowing = (next(i for i in inputs if i.label == label) for label in ("Bore", "Flow"))
    density = given("Density of the gas", "kg_m3", float(suction.gas_kg_m3[row]), f"answer at “{duty.name}”")
    figures += [
        figure(
            "Velocity in the suction hose", "m_s", float(suction.velocity_m_s[row]), hose_velocity_m_s,
            bore, flowing, density,
        ),
        figure(
            "Least velocity that lifts oil", "m_s", float(suction.carries_m_s[row]),
            oil_return_velocity_m_s, bore, density,
            given("Density of oil", "kg_m3", f"{oil.value:g} kg/m³", f"assumed: {oil.source}"),
        ),
    ]  # fmt: skip
    return [*figures, *_liquid_figure(context, gas, duty)]


def _larger(context: Context, gas: Refrigerant, duty: DutyAnswer) -> tuple[HoseSize, float] | None:
    """The next size up of the suction hose, and what it would lose, K; None where no larger one is known."""
    plant, flow = context.case.plant, (duty.flow_g_s or 0.0) / 1000
    line = plant.suction
    larger = next_size_up(1000 * line.bore_m)
    if larger is None:
        return None
    return larger, float(
        suction_hose_loss_k(
            gas,
            flow_kg_s=flow,
            length_m=line.length_m,
            bore_mm=larger.bore_mm,
            loss_factor=line.loss_factor,
            evaporating_c=duty.evaporating_c or 0.0,
            superheat_k=plant.superheat_k,
        )
    )


def _loss_remark(
    context: Context, gas: Refrigerant, hose: Hose, duty: DutyAnswer, suction: _Suction
) -> Iterator[Finding]:
    """Where the suction hose loses more than is accepted."""
    limit, loss = default_value("suction_loss_limit_k"), float(suction.loss_k[suction.worst])
    if loss <= limit:
        return
    larger = _larger(context, gas, duty)
    way = (
        f"take {larger[0].size}, it would cost {larger[1]:.1f} K"
        if larger
        else "no larger size is known; shorten it"
    )
    sentence = f"{hose.name} costs {loss:.1f} K at “{duty.name}”, more than {limit:g} K: {way}."
    yield Finding("suction-loss", "warns", _run(hose), sentence)


def _liquid_figure(context: Context, gas: Refrigerant, duty: DutyAnswer) -> Iterator[Figure]:
    """What a metre more of the liquid hose takes."""
    hose = next((h for h in context.kit.hoses if h.side == LIQUID and h.bore_mm), None)
    if hose is None:
        return
    rho = float(_state(context, gas, LIQUID, duty).rho)
    bore = given("Bore", "mm", f"{hose.bore_mm:g} mm", origin_of(context, hose.hose), f"part:{hose.hose}")
    density = given("Density of the liquid", "kg_m3", f"{rho:,.0f} kg/m³", f"answer at “{duty.name}”")
    grams = float(held_g(hose_volume_ml(hose.bore_mm or 0.0, 1.0), rho))
    yield figure("One metre more of liquid hose", "g", grams, held_g, bore, density)


def _inputs(context: Context, hose: Hose, duty: DutyAnswer) -> Iterator[Input]:
    plant, at = context.case.plant, f"answer at “{duty.name}”"
    yield given("Cut length", "mm", hose.cut_mm, hose.routed_origin or "not measured", f"length:{hose.route}")
    yield given("Bore", "mm", f"{hose.bore_mm:g} mm", origin_of(context, hose.hose), f"part:{hose.hose}")
    yield given(
        "End losses", "", plant.suction.loss_factor, _ends_origin(context, hose),
        f"position:{hose.position}",
    )  # fmt: skip
    if any(end.loss_factor is None for end in (hose.end_a, hose.end_b)):
        yield assumed("hose_end_loss", "")
        yield assumed("hose_end_bend_loss", "")
    yield given("Flow", "kg_h", 3.6 * (duty.flow_g_s or 0.0), at)
    yield given("Evaporating", "c", duty.evaporating_c, at)
    yield given("Superheat", "k", plant.superheat_k, of_kit(context), "kit")


def _ends_origin(context: Context, hose: Hose) -> str:
    """Where the losses of a hose's ends come from."""
    told = []
    for end in (hose.end_a, hose.end_b):
        if end.loss_factor is None:
            told.append(f"{end.part}: by its angle of {end.angle_deg:g}°, by the two losses below")
        else:
            told.append(f"{end.part}: {end.loss_factor:g}, {origin_of(context, end.part) or 'as recorded'}")
    return "; ".join(dict.fromkeys(told))


def _oil_remark(hose: Hose, duties: list[DutyAnswer], suction: _Suction) -> Iterator[Finding]:
    """Where the suction gas is too slow to lift its oil."""
    for i in np.flatnonzero(suction.velocity_m_s < suction.carries_m_s):
        sentence = (
            f"{hose.name}: the gas runs at {suction.velocity_m_s[i]:.1f} m/s at “{duties[i].name}”; a rising run"
            f" needs {suction.carries_m_s[i]:.1f} m/s to bring the oil back. Let it fall, or take a smaller size."
        )
        yield Finding("oil-return", "warns", _run(hose), sentence)


def _run(hose: Hose) -> str:
    """The hose run, as a reference."""
    return f"hose:{hose.position}/{hose.run}"


def _state(context: Context, gas: Refrigerant, side: str, duty: DutyAnswer) -> _State:
    """What a side carries at a duty point: the hot gas, the subcooled liquid, or the gas at the coil's end."""
    plant = context.case.plant
    evaporating, condensing, discharge = (
        float(getattr(duty, name)) for name in ("evaporating_c", "condensing_c", "discharge_c")
    )
    if side == SUCTION:
        cold = gas.vapour(evaporating, plant.superheat_k)
        return _State(cold.rho, cold.mu)
    if side == DISCHARGE:
        hot = gas.vapour(condensing, discharge - condensing)
        return _State(hot.rho, hot.mu)
    liquid = gas.liquid(condensing, plant.subcooling_k)
    return _State(liquid.rho, liquid.mu)


def _line_table(context: Context, gas: Refrigerant, duty: DutyAnswer) -> Table:
    plant, flow = context.case.plant, (duty.flow_g_s or 0.0) / 1000
    ends = {SUCTION: plant.suction.loss_factor, DISCHARGE: plant.discharge.loss_factor}
    rows = []
    for hose in context.kit.hoses:
        rest: tuple[str, ...] = ("not known",) * 5
        if hose.side and hose.bore_mm is not None and hose.cut_mm is not None:
            state = _state(context, gas, hose.side, duty)
            metres = hose.cut_mm / 1000
            volume = float(hose_volume_ml(hose.bore_mm, metres))
            # the ends of a liquid hose lose next to nothing at its low velocity
            drop = line_pressure_drop_pa(
                flow, metres, hose.bore_mm / 1000, ends.get(hose.side, 0.0), state.rho, state.mu
            )
            rest = (
                f"{volume:.0f}",
                f"{float(held_g(volume, state.rho)):.0f}",
                f"{float(hose_velocity_m_s(flow, hose.bore_mm, state.rho)):.1f}",
                f"{float(drop) / 1e5:.3f}",
                f"{float(held_g(hose_volume_ml(hose.bore_mm, 1.0), state.rho)):.0f}",
            )
        rows.append((*_cut(hose), *rest))
    heads = (*CUT_HEADS, "Volume, ml", "Holds, g", "Velocity, m/s", "Loss, bar", "1 m more, g")
    return Table(f"Hoses as cut, at “{duty.name}”", heads, tuple(rows))


CUT_HEADS = ("Hose", "Size", "Bore, mm", "Cut length, mm")


def _cut(hose: Hose) -> tuple[str, str, str, str]:
    cut = "not known"
    if hose.cut_mm is not None:
        cut = (
            f"{hose.cut_mm:,} ± {hose.tolerance_mm:g}"
            if hose.tolerance_mm is not None
            else f"{hose.cut_mm:,}"
        )
    return hose.name, hose.size, "not known" if hose.bore_mm is None else f"{hose.bore_mm:g}", cut


def _cut_table(hoses: tuple[Hose, ...]) -> Table:
    return Table("Hoses as cut", CUT_HEADS, tuple(_cut(hose) for hose in hoses))


def _suction_table(duties: list[DutyAnswer], suction: _Suction) -> Table:
    rows = tuple(
        (
            duty.name,
            f"{duty.flow_g_s:.1f}",
            f"{suction.velocity_m_s[i]:.1f}",
            f"{suction.carries_m_s[i]:.1f}",
            f"{suction.loss_k[i]:.2f}",
            f"{suction.metre_k[i]:.2f}",
        )
        for i, duty in enumerate(duties)
    )
    heads = ("Duty point", "Flow, g/s", "Velocity, m/s", "Lifts oil from, m/s", "Loss, K", "1 m more, K")
    return Table("The suction hose at each duty point", heads, rows)
