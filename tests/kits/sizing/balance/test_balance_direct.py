"""The batch balance held against the direct solution over 1,000 plants of a Latin hypercube.

The direct solution shares no code with the batch: exact CoolProp flashes and nested Brent searches. A run solves some
of the plants directly, of each status at least a few; `make tests-whole` solves all.
BALANCE_SEED=n in the environment draws other plants.
"""

import collections
import math
import os
from typing import Any

import numpy as np
import pytest

from kits.sizing.balance.balance import BalanceInput, Status, solve_balance
from kits.sizing.balance.balance_input import UNSOLVED
from tests.reference.direct_balance import solve_direct
from tests.reference.hypercube import plants
from tests.sampling import Sampled

COUNT = 1000
# Of each status; those that occur seldom are all among them.
DIRECTLY = 40
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
            answers[k] |= {"status": str(result.status[at]), "reason": result.reason[at]}
            answers[k]["over_discharge_limit"] = bool(result.over_discharge_limit[at])
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
def batch(sample: list[dict[str, Any]]) -> Answers:
    return _batch(sample)


def test_the_plants_are_answered_as_by_the_direct_solution(
    sample: list[dict[str, Any]], batch: Answers, sampled: Sampled[int]
) -> None:
    """The same status; where there are numbers 0.1 %, and 0.05 K; where there are none, none directly either."""
    of_status = {status: [k for k, b in enumerate(batch) if b["status"] == status] for status in Status}
    taken = [k for rows in of_status.values() for k in sampled(rows, DIRECTLY)]
    compared: collections.Counter[str] = collections.Counter()
    wrong = []
    for k in taken:
        plant, b = sample[k], batch[k]
        d = solve_direct(**plant)
        if b["status"] in UNSOLVED:
            print(f"plant {k}, {plant['refrigerant']}: {b['status']}: {b['reason']} Directly: {d['reason']}")
        if d["status"] != b["status"]:
            if not _on_a_switch(plant, b["status"]):
                wrong.append(f"plant {k}: direct {d['status']} ({d['reason']}), batch {b['status']}; {plant}")
            continue
        compared[d["status"]] += 1
        differences = _differences(d, b)
        if (d["discharge_c"] > plant["discharge_limit_c"]) != b["over_discharge_limit"]:
            differences.append(f"discharge limit: {d['discharge_c']}, batch {b['over_discharge_limit']}")
        if differences:
            wrong.append(f"plant {k} ({d['status']}): {'; '.join(differences)}; {plant}")
    assert not wrong, f"BALANCE_SEED={SEED}, {len(wrong)} of {len(taken)} plants differ:\n" + "\n".join(wrong)
    # a plant that stands on a switch is the exception
    assert compared.total() >= len(taken) - 2
    assert set(compared) == set(Status) - {Status.INVALID}, f"BALANCE_SEED={SEED}, only {compared}"
    assert min(compared.values()) >= 3, f"BALANCE_SEED={SEED}, {compared}"


def test_each_plant_without_numbers_says_why_and_the_others_have_all_numbers(batch: Answers) -> None:
    for b in batch:
        known = [math.isfinite(b[name]) for name in RELATIVE_NAMES + KELVIN_NAMES]
        if b["status"] in UNSOLVED:
            assert str(b["reason"]).endswith(".")
            assert not any(known)
        else:
            assert b["reason"] is None
            assert all(known)


def test_the_thousand_plants_meet_every_gas_guard_and_way_of_freeze_control(
    sample: list[dict[str, Any]], batch: Answers
) -> None:
    pairs = list(zip(sample, batch, strict=True))
    for gas in ("R-134a", "R-1234yf", "R-152a"):
        found = {b["status"] for plant, b in pairs if plant["refrigerant"] == gas}
        assert found >= {Status.FULL, Status.FREEZE_LIMITED, Status.OUT_OF_RANGE}, gas
    assert {b["status"] for b in batch} == set(Status) - {Status.INVALID}
    assert any(b["over_discharge_limit"] for b in batch)
    frozen = [(plant, b) for plant, b in pairs if b["status"] == Status.FREEZE_LIMITED]
    ways = {
        "cycles": [b["duty"] < 1 for p, b in frozen if p["freeze_mode"] == "cycling"],
        "throttles": [b["duty"] == 1 for p, b in frozen if p["freeze_mode"] == "suction-regulated"],
        "slows down": [
            b["duty"] == 1 and b["speed_rpm"] < p["speed_rpm"]
            for p, b in frozen
            if p["freeze_mode"] == "speed-controlled"
        ],
        "cycles at its lowest speed": [
            b["duty"] < 1 and b["speed_rpm"] == p["speed_min_rpm"]
            for p, b in frozen
            if p["freeze_mode"] == "speed-controlled"
        ],
    }
    assert {way: sum(seen) > 5 for way, seen in ways.items()} == dict.fromkeys(ways, True)
    reasons = " ".join(str(b["reason"]) for b in batch)
    for part in ("Condensing would be above", "Condensing would be below", "Evaporating would be above"):
        assert part in reasons
    for part in ("pressure ratio would be above", "speed is below", "nothing to cool", "hotter than 160"):
        assert part in reasons


BAD = {
    "air_kg_s": 0.0,
    "cond_air_kg_s": -0.1,
    "evap_ua_ref_w_k": -700.0,
    "speed_rpm": 0.0,
    "displacement_m3": 0.0,
    "suction_bore_m": 0.0,
    "discharge_length_m": -1.0,
    "air_in_w": math.nan,
    "cond_air_in_c": math.inf,
    "freeze_mode": "hope",
}


@pytest.mark.parametrize("name", BAD)
def test_bad_data_are_invalid_in_both_and_bring_no_number(sample: list[dict[str, Any]], name: str) -> None:
    bad = [plant | {name: BAD[name]} for plant in sample[:10]]
    for plant, b in zip(bad, _batch(bad), strict=True):
        assert (b["status"], solve_direct(**plant)["status"]) == ("invalid input", "invalid input")
        assert b["reason"]
        assert not any(math.isfinite(b[n]) for n in RELATIVE_NAMES + KELVIN_NAMES)
