"""A fitment for each offered pair, with lengths, a charge, and a stored answer of plausible spread."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from random import Random
from typing import Any

from kits.models import CatalogueStamp, ChargeRecord, Fitment, RouteLength, SizedFitment
from kits.sizing.verdict.record import (
    METHOD,
    SCHEMA,
    VERDICTS,
    Criterion,
    DutyAnswer,
    LeverAnswer,
    SizingRecord,
)
from kits.sizing.words.gap import Gap
from tests.generator.cars import DUTIES, Cars
from tests.generator.kits import HOSES, Kits
from tests.generator.rows import SURVEY, add
from vehicles.physics.canonical import stored_of

SIZED_AT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
STAMP = 40
LENGTHS = {"DIS": 900.0, "LIQ1": 400.0, "LIQ2": 1400.0, "SUC": 1500.0}
LIMITS = ("condenser", "compressor", "coil air", "freeze")
# least and most margin of a verdict, and its share of all
SPREAD = (
    ("strong enough", 0.20, 0.60, 0.42),
    ("marginal", 0.0, 0.199, 0.28),
    ("not enough", -0.5, -0.01, 0.2),
    ("not sized", 0.0, 0.0, 0.1),
)
TERMS = ("glass", "opaque", "canvas", "engine side", "air", "people", "blower", "ducts")


def make_fitments(random: Random, kits: Kits, cars: Cars) -> None:
    """Fitments; one in seven answers is older than the data, and a few were never sized."""
    of_line: dict[int, list[Any]] = {}
    for variant in cars.variants:
        of_line.setdefault(variant.line_id, []).append(variant)
    fitments = add(
        [
            Fitment(
                kit=offer.kit, variant=variant, ram_share=0.35, fan_installed_share=0.6, air_on_rise_idle_k=8.0,
                air_on_rise_cruise_k=2.0, suction_gain_k=6.0, blower_voltage_v=13.0, **SURVEY,
            )
            for offer in kits.offers
            for variant in of_line[offer.line_id]
        ]
    )  # fmt: skip
    add(list(_lengths(random, fitments, kits)))
    add([ChargeRecord(fitment=f, charge_g=550.0 + 5 * random.randrange(40), **SURVEY) for f in fitments])
    add([CatalogueStamp(pk=1, value=STAMP)])
    add([row for f in fitments if (row := _answer(random, f))])


def _lengths(random: Random, fitments: list[Any], kits: Kits) -> Iterator[RouteLength]:
    for fitment in fitments:
        for _, code, *_ in HOSES:
            if random.random() < 0.98:
                length = LENGTHS[code] + random.randrange(300)
                route = kits.routes[fitment.variant.line_id, code]
                yield RouteLength(fitment=fitment, route=route, length_mm=length, spread_mm=8.0, **SURVEY)


def _answer(random: Random, fitment: Any) -> SizedFitment | None:
    if random.random() < 0.01:
        return None
    ((verdict, low, high, _),) = random.choices(SPREAD, [share for *_, share in SPREAD])
    sized = verdict != "not sized"
    margin = round(random.uniform(low, high), 4) if sized else None
    limit = random.choice(LIMITS) if sized else ""
    told = None if margin is None else f"{margin:g}"
    record = {**RECORDS[verdict], "margin_share": told, "limit": limit}
    return SizedFitment(
        fitment=fitment, verdict=verdict, verdict_rank=VERDICTS.index(verdict),
        worst_duty_point="CRUISE" if sized else "", margin_share=margin, limit=limit,
        missing_count=len(record["missing"]), blocking_count=random.choice((0, 0, 0, 0, 1, 2, 5)), record=record,
        schema=SCHEMA, method=METHOD, catalogue_stamp=STAMP - (random.random() < 1 / 7), sized_at=SIZED_AT,
    )  # fmt: skip


def _record(verdict: str) -> dict[str, Any]:
    if verdict == "not sized":
        gap = Gap("powertrain.hot_idle_rpm", "powertrain:P5", "The hot idle speed is missing.")
        return stored_of(
            SizingRecord(
                verdict=verdict,
                worst_duty_point="",
                margin_share=None,
                limit="",
                basis="estimated",
                load_uncertainty_share=0.15,
                capacity_uncertainty_share=0.12,
                duties=(),
                missing=(gap,),
            )
        )
    duty = DutyAnswer(
        code="CRUISE", name="Cruise", kind="cruise", required=True, verdict=verdict,
        criteria=(Criterion("margin", "At 25 °C the kit gives 2.9 kW of 2.5 kW.", verdict != "not enough"),),
        status="full", limit="condenser", target_c=25.0, judged_at_c=25.0, cabin_humidity_share=0.45,
        sensible_w_by_term=dict.fromkeys(TERMS, 260.0), latent_w_by_term=dict.fromkeys(TERMS, 50.0), load_w=2480.0,
        load_sensible_w=2080.0, capacity_w=2900.0, capacity_sensible_w=2400.0, margin_share=0.17, holds_c=23.6,
        vent_c=7.4, airflow_m3_h=333.0, vent_velocity_m_s={"left": 8.0, "right": 8.1, "middle": 7.2},
        evaporating_c=1.2, condensing_c=58.0, low_side_bar_g=2.0, high_side_bar_g=15.0, power_w=1400.0,
    )  # fmt: skip
    duties = tuple(
        replace(duty, code=code, name=code.capitalize(), kind=kind, required=required)
        for code, kind, _, _, required in DUTIES
    )
    levers = tuple(
        LeverAnswer(
            code=code,
            name=name,
            work_min=180.0,
            gain_share=0.06,
            verdict="strong enough",
            margin_share=0.24,
            source="an estimate",
        )
        for code, name in (("film", "Solar film"), ("fan", "A second fan"), ("seal", "Door seals renewed"))
    )
    return stored_of(
        SizingRecord(
            verdict=verdict,
            worst_duty_point="CRUISE",
            margin_share=0.0,
            limit="",
            basis="estimated",
            load_uncertainty_share=0.15,
            capacity_uncertainty_share=0.12,
            duties=duties,
            levers=levers,
            smallest_change="Solar film: strong enough.",
        )
    )


RECORDS = {verdict: _record(verdict) for verdict in VERDICTS}
