"""The guards of a fitment: the pressure switch and the discharge temperature at each duty point, and in the cold."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from kits.bom.mending import row
from kits.bom.resolved import Finding, Severity
from kits.sizing.balance.balance_input import Status
from kits.sizing.gas.pressure_chain import at_rest_bar_g, chain_distances, starts_from_c
from kits.sizing.gas.refrigerant import Refrigerant, refrigerant
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, figure, given
from kits.topics.pieces import Piece, in_tables, solved

HEADS = (
    "duty point", "head, bar g", "condenser fan", "below cut-out, bar", "discharge, °C", "below its limit, K",
)  # fmt: skip
COLD_C = 0.0


class Switches(NamedTuple):
    """What the kit states of its pressure switches, bar g; None where it states nothing."""

    fan: float | None
    cut: float | None
    reset: float | None
    low: float | None

    @property
    def above(self) -> tuple[float, float, float] | None:
        """Fan, cut-out and reset where all are stated; a chain out of order is a finding of the kit itself."""
        fan, cut, reset, _ = self
        known = fan is not None and cut is not None and reset is not None and fan < cut and reset < cut
        return (fan or 0.0, cut or 0.0, reset or 0.0) if known else None


def _switches(context: Context) -> Switches:
    names = ("fan_on", "high_cut_out", "high_reset", "low_cut_out")
    return Switches(*(context.kit.settings.get(f"{name}_bar_g") for name in names))


def guards_piece(context: Context, main: DutyAnswer) -> Piece:
    """The guards' part of the topic."""
    settings, gas, held = (
        context.kit.settings,
        refrigerant(context.case.plant.refrigerant),
        _switches(context),
    )
    tables = [_settings_table(settings.get("relief_bar_g"), *held)]
    figures: list[Figure] = []
    if held.above is not None:
        tables.append(_duty_table(context, *held.above))
        inputs = tuple(_setting(f"{n}_bar_g", settings) for n in ("fan_on", "high_cut_out", "high_reset"))
        below = float(chain_distances(main.high_side_bar_g or 0.0, *held.above).below_cut_out_bar)
        head = given("head", "bar_g", main.high_side_bar_g, "sized")
        figures.append(
            figure(f"Head below the cut-out, {main.name}", "bar", below, chain_distances, head, *inputs)
        )
    if held.low is not None and (from_c := in_tables(starts_from_c, gas, held.low)) is not None:
        figures += _cold_figures(gas, held.low, from_c)
    return Piece("", tuple(figures), tuple(tables))


def guards_remarks(context: Context) -> Iterator[Finding]:
    """Where a guard comes near, or can't do what it is for."""
    gas, held = refrigerant(context.case.plant.refrigerant), _switches(context)
    yield from _discharge_remarks(context)
    if held.above is not None:
        fan, cut, _ = held.above
        yield from _head_remarks(context, cut)
        yield from _fan_remarks(context, fan)
    if held.low is not None:
        from_c = in_tables(starts_from_c, gas, held.low)
        if from_c is None:
            yield _no_cut_out(gas, held.low)
        else:
            yield from _cold_remarks(held.low, from_c)
    yield from _speed_remarks(context)


def _setting(name: str, settings: Mapping[str, Any]) -> Input:
    value = settings.get(name)
    label = name.removesuffix("_bar_g").replace("_", " ").replace("cut out", "cut-out")
    return given(label, "bar_g", value, "as the kit states", "kit")


def _settings_table(*values: float | None) -> Table:
    relief, fan, cut, reset, low = values
    rows = (
        ("relief", relief, "blows off; the kit states none" if relief is None else "blows off"),
        ("high cut-out", cut, "the kit stops"),
        ("high reset", reset, "the kit starts again"),
        ("condenser fan on", fan, "the fan runs"),
        ("low cut-out", low, "on the liquid side: the charge is lost, or it is cold"),
    )
    texts = tuple((name, "not known" if v is None else f"{v:.1f}", what) for name, v, what in rows)
    return Table("Pressure chain, from above", ("setting", "bar g", "what it means"), texts)


def _duty_table(context: Context, fan: float, cut: float, reset: float) -> Table:
    limit, rows = context.case.plant.discharge_limit_c, []
    for a in solved(context.record):
        at = chain_distances(a.high_side_bar_g or 0.0, fan, cut, reset)
        hot = a.discharge_c or 0.0
        runs = "on" if at.above_fan_on_bar >= 0 else f"off below {fan:g}"
        rows.append(
            (
                a.name,
                f"{a.high_side_bar_g:.1f}",
                runs,
                _signed(float(at.below_cut_out_bar)),
                f"{hot:.0f}",
                f"{limit - hot:.0f}",
            )
        )
    return Table("Guards at the duty points", HEADS, tuple(rows))


def _signed(value: float) -> str:
    return f"{value:.1f}".replace("-", "\N{MINUS SIGN}")


def _head_remarks(context: Context, cut: float) -> list[Finding]:
    reserve = default_value("head_reserve_bar")
    near = [
        (head, a.name) for a in solved(context.record) if (head := a.high_side_bar_g or 0.0) > cut - reserve
    ]
    if not near:
        return []
    head, name = max(near)
    told = (
        f"reaches {head:.1f} bar g" if head < cut else f"would reach {head:.1f} bar g, and the switch opens"
    )
    text = (
        f"At “{name}” the head {told}: the cut-out at {cut:g} asks for {reserve:g} bar of distance. Give the condenser "
        "more or cooler air."
    )
    return [Finding("head-near-cut-out", "warns", "fitment", text, None)]


def _fan_remarks(context: Context, fan: float) -> list[Finding]:
    still = [a for a in solved(context.record) if a.of_kind.idles and (a.high_side_bar_g or 0.0) < fan]
    if not still:
        return []
    a = still[0]
    text = (
        f"At “{a.name}” the head is {a.high_side_bar_g:.1f} bar g with the condenser fan running, but the fan comes on "
        f"at {fan:g}: it runs at times, and the head swings about {fan:g} bar g."
    )
    return [Finding("fan-late", "notes", "kit", text, row("Kits", "fan_on_bar_g"))]


def _discharge_remarks(context: Context) -> list[Finding]:
    limit, reserve = context.case.plant.discharge_limit_c, default_value("discharge_reserve_k")
    hot = [(at_c, a.name) for a in solved(context.record) if (at_c := a.discharge_c or 0.0) > limit - reserve]
    if not hot:
        return []
    at_c, name = max(hot)
    text = (
        f"At “{name}” the gas leaves the compressor at {at_c:.0f} °C; the limit is {limit:.0f} °C and {reserve:.0f} K "
        "of distance are asked. A cooler condenser or less superheat lowers it."
    )
    severity: Severity = "warns" if at_c > limit else "notes"
    return [Finding("discharge-hot", severity, "kit", text, row("Kits", "discharge_limit_c"))]


def _no_cut_out(gas: Refrigerant, low: float) -> Finding:
    text = (
        f"The low-pressure switch is stated to open at {low:g} bar g; at rest {gas.name} has such a pressure at no "
        "temperature that is known. Look at the setting again."
    )
    return Finding("low-switch-beyond", "warns", "kit", text, row("Kits", "low_cut_out_bar_g"))


def _cold_figures(gas: Refrigerant, low: float, from_c: float) -> list[Figure]:
    stated = given("low cut-out", "bar_g", low, "as the kit states", "kit")
    at = given("air and car at", "c", COLD_C, "chosen")
    label = "Outside temperature below which the kit does not start"
    return [
        figure(label, "c", from_c, starts_from_c, stated),
        figure("Pressure at rest at 0 °C", "bar_g", float(at_rest_bar_g(gas, COLD_C)), at_rest_bar_g, at),
    ]


def _cold_remarks(low: float, from_c: float) -> list[Finding]:
    wanted_c = default_value("low_switch_start_c")
    if from_c <= wanted_c:
        return []
    text = (
        f"The low-pressure switch opens at {low:g} bar g: below {from_c:.0f} °C outside the pressure at rest is lower, "
        f"and the kit does not start to dry the air. Down to {wanted_c:.0f} °C it should: take a lower cut-out."
    )
    return [Finding("low-switch-cold", "warns", "kit", text, row("Kits", "low_cut_out_bar_g"))]


def _speed_remarks(context: Context) -> list[Finding]:
    fast = [a for a in solved(context.record) if a.status == Status.OVER_SPEED]
    if not fast:
        return []
    number, compressor = context.kit.plant["compressor"].part, context.case.plant.compressor
    a = max(fast, key=lambda one: one.compressor_rpm or 0.0)
    text = (
        f"At “{a.name}” the compressor turns at {a.compressor_rpm:.0f} rpm, above its {compressor.speed_max_rpm:.0f}: "
        "a bigger pulley on it, or a cut-out by speed."
    )
    return [Finding("over-speed", "warns", f"part:{number}", text)]
