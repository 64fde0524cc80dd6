"""The batch balance held against the direct solution over 300 plants of a Latin hypercube.

The direct solution shares no code with the batch: exact CoolProp flashes and nested Brent searches.
BALANCE_SEED=n in the environment draws other plants.
"""

import collections
import math
import os
from typing import Any

import numpy as np
import pytest

from kits.sizing.balance import BalanceInput, solve_balance
from tests.reference.direct_balance import solve_direct
from tests.reference.hypercube import plants

COUNT = 300
SEED = int(os.environ.get("BALANCE_SEED", "2026"))
RELATIVE = 1e-3
KELVIN = 0.05
RELATIVE_NAMES = (
    "capacity_w",
    "sensible_w",
    "flow_kg_s",
    "air_off_w",
    "power_w",
    "duty",
    "speed_rpm",
    "cop",
    "heat_rejected_w",
    "suction_pa",
    "discharge_pa",
)
KELVIN_NAMES = ("evaporating_c", "condensing_c", "surface_c", "air_off_c", "discharge_c")
NUDGED = (
    "displacement_m3",
    "speed_rpm",
    "evap_ua_ref_w_k",
    "cond_ua_w_k",
    "cond_air_in_c",
    "air_in_c",
    "high_pressure_cut_out_pa",
)

Answers = list[dict[str, Any]]


def _batch(sample: list[dict[str, Any]]) -> Answers:
    """The answers of the batch solver in the order of the sample; one call per refrigerant."""
    answers: Answers = [{} for _ in sample]
    for refrigerant in {plant["refrigerant"] for plant in sample}:
        rows = [k for k, plant in enumerate(sample) if plant["refrigerant"] == refrigerant]
        names = sample[rows[0]].keys() - {"refrigerant"}
        inputs = BalanceInput(**{name: np.array([sample[k][name] for k in rows]) for name in names})
        result = solve_balance(refrigerant, inputs)
        for at, k in enumerate(rows):
            answers[k] = {name: float(getattr(result, name)[at]) for name in RELATIVE_NAMES + KELVIN_NAMES}
            answers[k]["status"] = str(result.status[at])
    return answers


def _on_a_switch(plant: dict[str, Any], other_status: str) -> bool:
    """Whether the direct solution itself gives the other status when one input moves by 1e-6 of its size."""
    nudges = [plant | {name: plant[name] * (1.0 + step)} for name in NUDGED for step in (-1e-6, 1e-6)]
    return any(solve_direct(**nudged)["status"] == other_status for nudged in nudges)


def _differences(direct: dict[str, Any], batch: dict[str, Any]) -> list[str]:
    """What lies outside the tolerance, one sentence each; written so that a lone NaN differs."""
    found = []
    for name in RELATIVE_NAMES + KELVIN_NAMES:
        expected, got = direct[name], batch[name]
        if math.isnan(expected) and math.isnan(got):
            continue
        allowed = RELATIVE * abs(expected) if name in RELATIVE_NAMES else KELVIN
        if not abs(got - expected) <= allowed:
            found.append(f"{name}: direct {expected:.8g}, batch {got:.8g}")
    return found


@pytest.fixture(scope="module")
def sample() -> list[dict[str, Any]]:
    print(f"BALANCE_SEED={SEED}")
    return plants(COUNT, SEED)


@pytest.fixture(scope="module")
def direct(sample: list[dict[str, Any]]) -> Answers:
    return [solve_direct(**plant) for plant in sample]


@pytest.fixture(scope="module")
def batch(sample: list[dict[str, Any]]) -> Answers:
    return _batch(sample)


def test_every_status_is_that_of_the_direct_solution(
    sample: list[dict[str, Any]], direct: Answers, batch: Answers
) -> None:
    wrong = [
        f"plant {k}: direct {d['status']} ({d['reason']}), batch {b['status']}; {plant}"
        for k, (plant, d, b) in enumerate(zip(sample, direct, batch, strict=True))
        if d["status"] != b["status"] and not _on_a_switch(plant, b["status"])
    ]
    assert not wrong, f"BALANCE_SEED={SEED}, {len(wrong)} of {COUNT} statuses differ:\n" + "\n".join(wrong)


def test_every_number_is_that_of_the_direct_solution(
    sample: list[dict[str, Any]], direct: Answers, batch: Answers
) -> None:
    """0.1 %, and 0.05 K for temperatures, wherever both agree on the status."""
    compared: collections.Counter[str] = collections.Counter()
    wrong = []
    for k, (plant, d, b) in enumerate(zip(sample, direct, batch, strict=True)):
        if d["status"] != b["status"]:
            continue  # judged by the test of the statuses
        compared[d["status"]] += 1
        differences = _differences(d, b)
        if differences:
            wrong.append(f"plant {k} ({d['status']}): {'; '.join(differences)}; {plant}")
    assert not wrong, f"BALANCE_SEED={SEED}, {len(wrong)} of {COUNT} plants differ:\n" + "\n".join(wrong)
    answered = ("high pressure", "over speed", "freeze-limited", "speed-limited", "full")
    assert all(compared[status] for status in answered), f"BALANCE_SEED={SEED}, only {compared} were compared"
