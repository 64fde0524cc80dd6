"""What a fitment's plant gives while the cabin is still hot: the duty points of its pull-downs in hotter cabins.

Weather, engine, blower and air mode are the duty point's; the cabin is hotter, and as humid as the air outside, as it
is after the windows were open. All fitments are solved together.
"""

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np

from kits.sizing.balance.balance_input import Status
from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.run.batch import Batch, in_batches
from kits.sizing.run.run import Held, hold_at
from kits.sizing.run.unsolved import reasons
from kits.sizing.verdict.record import DutyAnswer, HotCabin, SizingRecord
from vehicles.climate.duty_kinds import Judge
from vehicles.physics.air import saturation_humidity_ratio
from vehicles.physics.arrays import FloatArray

STOPPED = {
    Status.HIGH_PRESSURE: "the high-pressure switch would stop it",
    Status.OVER_SPEED: "the compressor would turn too fast",
}
"""Points with numbers that the plant does not run at."""


@cache
def cabins_c() -> tuple[float, ...]:
    """The hot cabins of the data file, °C."""
    read = json.loads((Path(__file__).parent / "data" / "hot_cabin.json").read_text(encoding="utf-8"))
    return tuple(float(value) for value in read["cabins_c"])


def pull_down_duties(case: Case, answers: Sequence[DutyAnswer]) -> list[Duty]:
    """The duty points that a pull-down is told for: solved, with fins below the inlet.

    Those of the kind pull-down; without one the required points that recirculate.
    """
    solved = {
        a.code
        for a in answers
        if not a.is_heating and a.capacity_sensible_w and a.airflow_m3_h
        if a.air_in_c is not None and a.air_in_c > case.plant.freeze_surface_c
    }
    known = [d for d in case.duties if d.code in solved]
    asked = [d for d in known if d.of_kind.judge is Judge.COURSE]
    return asked or [d for d in known if d.required and d.climate.air_mode == "recirculated"]


def hot_cabins(cases: Sequence[Case], records: Sequence[SizingRecord]) -> list[tuple[HotCabin, ...]]:
    """The hot cabins of each case, by duty point and rising temperature; none where it has no pull-down."""
    wanted = [
        (i, Point(case, duty), cabin_c)
        for i, (case, record) in enumerate(zip(cases, records, strict=True))
        for duty in pull_down_duties(case, record.duties)
        for cabin_c in cabins_c()
    ]
    cabin_c = np.array([at_c for _, _, at_c in wanted])
    found = in_batches([point for _, point, _ in wanted], lambda batch, rows: _solved(batch, cabin_c[rows]))
    return [
        tuple(hot for hot, (i, *_) in zip(found, wanted, strict=True) if i == k) for k in range(len(cases))
    ]


def _solved(batch: Batch, cabin_c: FloatArray) -> list[HotCabin]:
    # air that could not hold the water from outside is saturated
    cabin_w = np.minimum(
        batch.prepared.outside_w, saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa)
    )
    held = hold_at(batch, cabin_c, cabin_w)
    return [_hot_cabin(batch, held, i, why) for i, why in enumerate(reasons(batch, held))]


def _hot_cabin(batch: Batch, held: Held, i: int, why: str) -> HotCabin:
    code, status = batch.points[i].duty.code, held.balance.status[i]
    cabin_c, cabin_w = float(held.cabin_c[i]), float(held.cabin_w[i])
    if reason := why or STOPPED.get(status, ""):
        return HotCabin(code=code, cabin_c=cabin_c, cabin_kg_kg=cabin_w, status=str(status), reason=reason)
    return HotCabin(
        code=code,
        cabin_c=cabin_c,
        cabin_kg_kg=cabin_w,
        status=str(status),
        reason="",
        air_in_c=float(held.air_in_c[i]),
        capacity_sensible_w=float(held.balance.sensible_w[i]),
    )
