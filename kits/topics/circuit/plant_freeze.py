"""The freeze control of a fitment in its own way: seconds on and off, a throttled suction, or a lower speed."""

from kits.bom.resolved import explode
from kits.sizing.balance.balance_input import Status
from kits.sizing.gas.pressure_chain import at_rest_bar_g
from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.machine.freeze_time import Cycling, coil_heat_j_k, cycling
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, figure, given
from kits.topics.pieces import Piece, assumed, percent, solved, told

ALWAYS = "runs all the time"
CYCLING_HEADS = ("duty point", "runs", "on, s", "off, s", "cycles an hour")
REGULATED_HEADS = ("duty point", "evaporating, bar g", "suction throttled to, bar g")
SPEED_HEADS = ("duty point", "speed, rpm", "of its highest", "runs")


def freeze_piece(context: Context, main: DutyAnswer) -> Piece:
    """The freeze control's part of the topic, told in the way its kind works."""
    mode = context.case.plant.freeze_mode
    if mode == "suction-regulated":
        return _regulated(context, main)
    if mode == "speed-controlled":
        return _speed_controlled(context, main)
    rows = tuple(_cycling_row(context, a) for a in solved(context.record))
    table = Table("Freeze control by cycling", CYCLING_HEADS, rows)
    return Piece(_cycling_words(context, main), _cycling_figures(context, main), (table,))


def is_shedding(a: DutyAnswer) -> bool:
    """Whether the freeze control takes something away at a duty point."""
    return a.status == Status.FREEZE_LIMITED


def coil_mass(context: Context) -> tuple[float, Input]:
    """Mass of the coil, kg, and where it comes from: the part's own, or a default."""
    number = context.kit.plant["evaporator"].part
    masses = [r.item.mass_g for r in explode(context.kit) if r.item.part == number and r.item.mass_g]
    if not masses:
        return default_value("coil_mass_kg"), assumed("coil_mass_kg", "kg")
    mass_kg = masses[0] / 1000
    return mass_kg, given("mass of the coil", "kg", mass_kg, "as the part states", f"part:{number}")


def cycle_of(context: Context, a: DutyAnswer) -> Cycling:
    """One cycle of the compressor at a duty point."""
    settings, (mass_kg, _) = context.kit.settings, coil_mass(context)
    return cycling(
        a.duty_share if a.duty_share is not None else 1.0,
        a.capacity_w or 0.0,
        coil_heat_j_k(mass_kg, default_value("coil_water_kg")),
        settings["freeze_cut_out_c"],
        settings["freeze_cut_in_c"],
        default_value("freeze_sensor_late_s"),
    )


def _cycling_row(context: Context, a: DutyAnswer) -> tuple[str, ...]:
    if (a.duty_share or 1.0) >= 1.0:
        return a.name, "100 %", ALWAYS, "0", "0"
    c = cycle_of(context, a)
    return (
        a.name, percent(a.duty_share or 0.0), f"{float(c.on_s):.0f}", f"{float(c.off_s):.0f}",
        f"{float(c.cycles_per_h):.0f}",
    )  # fmt: skip


def _cycling_words(context: Context, a: DutyAnswer) -> str:
    if (a.duty_share or 1.0) >= 1.0:
        return "The compressor runs all the time."
    c = cycle_of(context, a)
    return (
        f"The compressor runs {percent(a.duty_share or 0.0)} of the time, about {float(c.on_s):.0f} s on and "
        f"{float(c.off_s):.0f} s off."
    )


def _cycling_figures(context: Context, a: DutyAnswer) -> tuple[Figure, ...]:
    mass_kg, mass = coil_mass(context)
    text = f"{float(coil_heat_j_k(mass_kg, default_value('coil_water_kg'))) / 1000:.1f} kJ/K"
    metal, water = assumed("coil_specific_heat_j_kgk", "j_kgk"), assumed("coil_water_kg", "kg")
    heat = told("Heat capacity of the wet coil", text, coil_heat_j_k, mass, metal, water)
    if (a.duty_share or 1.0) >= 1.0:
        return (heat,)
    settings, c = context.kit.settings, cycle_of(context, a)
    inputs = (
        given("share of the time", "", percent(a.duty_share or 0.0), "sized"),
        given("capacity", "w", a.capacity_w, "sized"),
        given("heat capacity of the coil", "", text, "calculated"),
        given("freeze cut-out", "c", settings["freeze_cut_out_c"], "as the kit states", "kit"),
        given("freeze cut-in", "c", settings["freeze_cut_in_c"], "as the kit states", "kit"),
        assumed("freeze_sensor_late_s", "s"),
    )
    return (
        heat,
        figure(f"Compressor on, {a.name}", "s", float(c.on_s), cycling, *inputs),
        figure(f"Compressor off, {a.name}", "s", float(c.off_s), cycling, *inputs),
        told(f"Cycles an hour, {a.name}", f"{float(c.cycles_per_h):.0f}", cycling, *inputs),
    )


def _regulated(context: Context, main: DutyAnswer) -> Piece:
    gas = refrigerant(context.case.plant.refrigerant)
    rows = tuple(
        (
            a.name,
            f"{float(at_rest_bar_g(gas, a.evaporating_c or 0.0)):.1f}",
            f"{a.low_side_bar_g:.1f}" if is_shedding(a) else "open",
        )
        for a in solved(context.record)
    )
    sentence = "The suction valve stands open: the coil takes all that the compressor moves."
    if is_shedding(main):
        sentence = (
            f"The suction valve throttles to {main.low_side_bar_g:.1f} bar g at the compressor so that the fins stay "
            f"at {main.surface_c:.0f} °C; the compressor runs all the time."
        )
    return Piece(sentence, (), (Table("Freeze control by a valve in the suction", REGULATED_HEADS, rows),))


def _speed_controlled(context: Context, main: DutyAnswer) -> Piece:
    compressor = context.case.plant.compressor
    rows = tuple(
        (
            a.name,
            f"{a.compressor_rpm:,.0f}",
            percent((a.compressor_rpm or 0.0) / compressor.speed_max_rpm),
            percent(a.duty_share or 1.0),
        )
        for a in solved(context.record)
    )
    speed = f"{main.compressor_rpm:,.0f} rpm"
    allowed = f"of {compressor.speed_min_rpm:,.0f} to {compressor.speed_max_rpm:,.0f}"
    sentence = f"The compressor turns at its highest, {speed}: the freeze control takes nothing away."
    if is_shedding(main):
        sentence = f"The freeze control lets the compressor turn at {speed} {allowed}."
        if (main.duty_share or 1.0) < 1.0:
            c = cycle_of(context, main)
            sentence += (
                f" At its lowest speed it still moves too much and cycles, about {float(c.on_s):.0f} s on and "
                f"{float(c.off_s):.0f} s off."
            )
    figures = _cycling_figures(context, main) if (main.duty_share or 1.0) < 1.0 else ()
    return Piece(sentence, figures, (Table("Freeze control by speed", SPEED_HEADS, rows),))
