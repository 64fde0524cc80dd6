"""The sizing sheet of one kit in one car: the stored answer as text, rounded as far as an estimate goes.

Nothing is judged or computed anew: here are only wording and order.
"""

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass
from datetime import datetime

from kits.bom.resolved import Finding
from kits.documents.chart_style import WIDTH_PX
from kits.documents.charts import DutyBars, load_and_capacity, load_and_capacity_text
from kits.documents.drawn import CHART, drawn
from kits.documents.load_bars import duty_bars
from kits.documents.source import DocumentSource
from kits.documents.title_block import TitleBlock, gas_class, title_block
from kits.sizing.verdict.record import CoilAnswer, Criterion, DutyAnswer, LeverAnswer, SizingRecord
from vehicles.climate.duty_kinds import KINDS
from vehicles.physics.quantities import celsius, format_number, kw, signed_percent

"""A margin above this only says that there is next to nothing to cool."""
NONE = "—"


@dataclass(frozen=True, kw_only=True)
class DutyLine:
    """One duty point as text."""

    name: str
    asked: str
    verdict: str
    margin: str
    load: str
    load_sensible: str
    capacity: str
    capacity_sensible: str
    limit: str
    facts: tuple[tuple[str, str], ...]
    criteria: tuple[tuple[str, Criterion], ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class LeverLine:
    """A change that would help, as text."""

    rank: int
    name: str
    gain: str
    verdict: str
    time: str
    eases: str = ""
    """what it does for a criterion that fails and is no margin"""


@dataclass(frozen=True)
class SizingSheet:
    """The whole document."""

    title: TitleBlock
    verdict: str
    as_of: str
    _: KW_ONLY
    margin: str = ""
    margin_of: str = ""
    """what the margin is the least of, in a sentence"""
    worst: str = ""
    limit: str = ""
    basis: str = ""
    uncertainty: str = ""
    chart_svg: str = ""
    chart_text: str = ""
    duties: tuple[DutyLine, ...] = ()
    missing: tuple[str, ...] = ()
    levers: tuple[LeverLine, ...] = ()
    smallest_change: str = ""
    lever_source: str = ""
    assumed: tuple[str, ...] = ()
    law: tuple[Finding, ...] = ()
    gas: str = ""
    """with its safety class; empty where the kit heats only"""


def sizing_sheet(source: DocumentSource, by: str, *, chart_px: int = WIDTH_PX) -> SizingSheet:
    """The sheet of a stored answer; without one it says that the fitment is not sized.

    Parameters: source (of the fitment), by (who had it made), chart_px (the width the chart is drawn for).
    """
    kit, record = source.kit, source.record
    title, as_of = title_block(source, "Sizing sheet", by), _as_of(source.sized_at, source.is_stale)
    gas = f"{source.gas}, {gas_class(source.gas)}" if source.gas else ""
    if record is None:
        why = "Nobody has sized this fitment yet: run the sizing."
        return SizingSheet(title, "not sized", as_of, missing=(why,), law=kit.law, gas=gas)
    bars = duty_bars(record, short=chart_px < WIDTH_PX)
    names = {duty.code: duty.name for duty in record.duties}
    return SizingSheet(
        title,
        record.verdict,
        as_of,
        margin=margin_words(record.margin_share),
        margin_of=_margin_of(record),
        worst=names.get(record.worst_duty_point, record.worst_duty_point),
        limit=record.limit,
        basis=record.basis,
        uncertainty=_uncertainty(record),
        chart_svg=_chart(bars, chart_px) if bars else "",
        chart_text=load_and_capacity_text(bars) if bars else "",
        duties=tuple(_duty(duty) for duty in record.duties),
        missing=tuple(dict.fromkeys(gap.sentence for gap in record.missing)),
        levers=tuple(_lever(rank, lever) for rank, lever in enumerate(record.levers, 1)),
        smallest_change=record.smallest_change,
        lever_source="; ".join(dict.fromkeys(lever.source for lever in record.levers if lever.source)),
        assumed=record.assumed,
        law=kit.law,
        gas=gas,
    )


def _chart(bars: Sequence[DutyBars], chart_px: int) -> str:
    return drawn(CHART, lambda: load_and_capacity(bars, paper=True, width_px=chart_px), chart_px)


def _lever(rank: int, lever: LeverAnswer) -> LeverLine:
    then = _verdict_with_margin(lever.verdict, lever.margin_share)
    return LeverLine(rank, lever.name, _points(lever.gain_share), then, _hours(lever.work_min), lever.eases)


def _margin_of(record: SizingRecord) -> str:
    asked = {duty.kind for duty in record.duties if duty.required and duty.margin_share is not None}
    where = [kind.margin_words for kind in KINDS if kind.margin_words and kind.code in asked]
    listed = " and ".join(filter(None, (", ".join(where[:-1]), where[-1] if where else "")))
    return f"The margin is the least of the required duty points {listed}." if listed else ""


def _uncertainty(record: SizingRecord) -> str:
    load, capacity = _percent(record.load_uncertainty_share), _percent(record.capacity_uncertainty_share)
    return f"load ± {load}, capacity ± {capacity}"


def _as_of(sized_at: datetime | None, is_stale: bool) -> str:
    if sized_at is None:
        return ""
    text = f"as of {sized_at:%Y-%m-%d %H:%M %Z}".rstrip()
    return f"{text}; out of date, something changed since: size again" if is_stale else text


def margin_words(share: float | None) -> str:
    """A margin as text: "+23 %", "−8 %", or nothing when there is none."""
    return "" if share is None else signed_percent(share)


def _percent(share: float) -> str:
    return f"{format_number(share * 100, 0)} %"


def _verdict_with_margin(verdict: str, share: float | None) -> str:
    return f"{verdict}, {margin_words(share)}" if share is not None else verdict


def _points(share: float | None) -> str:
    """A gain of margin, in points of percent."""
    return NONE if share is None else f"{margin_words(share)[:-2]} points"


def _hours(minutes_min: float | None) -> str:
    return NONE if minutes_min is None else f"{format_number(minutes_min / 60, 1)} h"


def _power(value_w: float | None) -> str:
    return NONE if value_w is None else kw(value_w)


def _number(value: float | None, decimals: int, unit: str) -> str:
    return NONE if value is None else f"{format_number(value, decimals)} {unit}"


def _temperature(value_c: float | None) -> str:
    return NONE if value_c is None else celsius(value_c)


def _duty(duty: DutyAnswer) -> DutyLine:
    return DutyLine(
        name=duty.name,
        asked=f"{duty.kind}{'' if duty.required else ', only for information'}",
        verdict=duty.verdict,
        margin=margin_words(duty.margin_share) or NONE,
        load=_power(duty.load_w),
        load_sensible=_power(duty.load_sensible_w),
        capacity=_power(duty.capacity_w),
        capacity_sensible=_power(duty.capacity_sensible_w),
        limit=duty.limit or NONE,
        facts=_facts(duty) if duty.verdict != "not sized" else (),
        criteria=tuple(("holds" if c.is_met else "fails", c) for c in duty.criteria),
        missing=tuple(gap.sentence for gap in duty.missing),
    )


def _coil(duty: DutyAnswer, coil: CoilAnswer) -> str:
    """One of two coils in a line: its air, its cold, its share."""
    share = 100 * coil.capacity_w / (duty.capacity_w or coil.capacity_w)
    return (
        f"{_number(coil.airflow_m3_h, 0, 'm³/h')}, vents {_temperature(coil.vent_c)}, {_power(coil.capacity_w)} "
        f"({format_number(share, 0)} %), water {_number(coil.condensate_kg_h, 1, 'kg/h')}"
    )


def _facts(duty: DutyAnswer) -> tuple[tuple[str, str], ...]:
    """What the duty point came to: names and values with units; battery and coolant where they count."""
    facts = [
        ("Cabin judged at", _temperature(duty.judged_at_c)),
        ("Cabin it holds", _temperature(duty.holds_c)),
        ("Air at the vents", _temperature(duty.vent_c)),
        ("Air flow", _number(duty.airflow_m3_h, 0, "m³/h")),
    ]
    if duty.is_heating:
        return (
            *facts,
            ("Air into the matrix", _temperature(duty.air_in_c)),
            ("Coolant", _temperature(duty.coolant_c)),
        )
    facts += [
        ("Low side", _number(duty.low_side_bar_g, 1, "bar g")),
        ("High side", _number(duty.high_side_bar_g, 1, "bar g")),
        ("Evaporates at", _temperature(duty.evaporating_c)),
        ("Condenses at", _temperature(duty.condensing_c)),
        ("Gas leaves the compressor at", _temperature(duty.discharge_c)),
        ("Air into the condenser", _temperature(duty.condenser_air_c)),
        ("Compressor", _number(duty.compressor_rpm, 0, "rpm")),
        ("Power at the compressor", _power(duty.power_w)),
    ]
    for coil in duty.coils:
        facts.append((f"{coil.place.capitalize()} coil", _coil(duty, coil)))
    if duty.battery_v is not None:
        facts.append(("Battery after the idle", _number(duty.battery_v, 1, "V")))
    if duty.coolant_c is not None:
        facts.append(("Coolant", _temperature(duty.coolant_c)))
    return tuple(facts)
