"""Stored answers as the sizing would leave them, made by hand so that a page can be compared with them."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from kits.fitment.models import CatalogueStamp, Fitment, SizedFitment
from kits.sizing.verdict.record import VERDICTS, Criterion, DutyAnswer, LeverAnswer, SizingRecord
from kits.sizing.words.gap import Gap
from kits.topics import every
from kits.topics.context import Context
from kits.topics.figure import Topic
from vehicles.physics.canonical import stored_of

SIZED_AT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
TOWN = DutyAnswer(
    code="TOWN", name="Town 30 km/h", kind="town", required=True, verdict="marginal",
    criteria=(Criterion("load", "At 25 °C in the cabin the kit gives 2.9 kW.", True, True),),
    limit="condenser", target_c=25.0, sensible_w_by_term={"glass": 1800.0, "opaque": 700.0},
    latent_w_by_term={"glass": 0.0, "opaque": 0.0}, load_w=2500.0, capacity_w=2944.0, margin_share=0.1776,
    holds_c=23.6, vent_c=7.4, airflow_m3_h=333.0,
)  # fmt: skip
RECORD = SizingRecord(
    verdict="marginal",
    worst_duty_point="TOWN",
    margin_share=0.1776,
    limit="condenser",
    basis="estimated",
    load_uncertainty_share=0.15,
    capacity_uncertainty_share=0.12,
    duties=(TOWN,),
    levers=(
        LeverAnswer(
            code="film",
            name="Solar film",
            work_min=180.0,
            gain_share=0.06,
            verdict="strong enough",
            margin_share=0.24,
            source="an estimate",
        ),
    ),
    smallest_change="Solar film: strong enough.",
)
GAP = Gap("powertrain.hot_idle_rpm", "powertrain:16-12A", "Coupé: the hot idle speed is missing.")
NOT_SIZED = SizingRecord(
    verdict="not sized",
    worst_duty_point="",
    margin_share=None,
    limit="",
    basis="estimated",
    load_uncertainty_share=0.15,
    capacity_uncertainty_share=0.12,
    duties=(),
    missing=(GAP,),
)


def store(
    fitment: Fitment, record: SizingRecord = RECORD, *, blocking: int = 0, behind: int = 0
) -> SizedFitment:
    """Store an answer, as old as the data less `behind` changes."""
    stamp = CatalogueStamp.objects.get(pk=1).value
    return SizedFitment.objects.create(
        fitment=fitment, verdict=record.verdict, verdict_rank=VERDICTS.index(record.verdict),
        worst_duty_point=record.worst_duty_point, margin_share=record.margin_share, limit=record.limit,
        missing_count=len(record.missing), blocking_count=blocking, record=stored_of(record),
        schema=record.schema, method=record.method, catalogue_stamp=stamp - behind, sized_at=SIZED_AT,
    )  # fmt: skip


def tell(monkeypatch: pytest.MonkeyPatch, topic: Topic, times: list[Context] | None = None) -> None:
    """Let a topic be all that is worked out of a fitment; times: gets what it is worked out from each time."""

    def work_out(context: Context) -> Topic:
        if times is not None:
            times.append(context)
        return topic

    monkeypatch.setattr(every, "CALCULATIONS", (every.Calculation(topic.code, topic.title, work_out),))


def with_verdict(verdict: str, margin: float | None) -> SizingRecord:
    """The record with another answer."""
    return replace(RECORD, verdict=verdict, margin_share=margin)
