"""The refrigeration balance: 20 µs a point over 50,000 points, 30 times faster than solving each directly.

The plants are those of the hypercube that the balance is held against, a fifth to a quarter of them without a
solution. Run by `make benchmark`; what it prints is the answer, time is not asserted. On a machine that does
other things besides, look at the time on the processor and at the ratio.
"""

import statistics
import time
from typing import Any

import numpy as np
import pytest

from kits.sizing.balance.balance import BalanceInput, solve_balance
from tests.kits.sizing.plants import idle, plant
from tests.reference.direct_balance import solve_direct
from tests.reference.hypercube import plants

pytestmark = pytest.mark.benchmark

POINTS = 50_000
DIRECT_POINTS = 300
MOST_US = 20.0
LEAST_RATIO = 30.0
MOST_CALL_MS = 8.0
SEED = 2026


def by_gas(sample: list[dict[str, Any]]) -> dict[str, BalanceInput]:
    """The inputs of a sample as arrays, one batch a refrigerant."""
    found = {}
    for gas in sorted({p["refrigerant"] for p in sample}):
        rows = [p for p in sample if p["refrigerant"] == gas]
        names = rows[0].keys() - {"refrigerant"}
        found[gas] = BalanceInput(**{name: np.array([p[name] for p in rows]) for name in names})
    return found


def solve_all(batches: dict[str, BalanceInput]) -> list[Any]:
    return [solve_balance(gas, inputs) for gas, inputs in batches.items()]


def said(within: bool, sentence: str) -> None:
    print(f"\n{'within' if within else 'OVER'} {sentence}")


@pytest.fixture(scope="module")
def large() -> dict[str, BalanceInput]:
    return by_gas(plants(POINTS, SEED))


def test_a_large_batch(benchmark, large):
    processor_s = []

    def work() -> list[Any]:
        begun = time.process_time()
        found = solve_all(large)
        processor_s.append(time.process_time() - begun)
        return found

    results = benchmark.pedantic(work, rounds=5, warmup_rounds=1)
    assert sum(r.status.size for r in results) == POINTS
    if benchmark.enabled:
        us = statistics.median(benchmark.stats.stats.data) / POINTS * 1e6
        benchmark.extra_info.update(us_a_point=us, limit_us=MOST_US, within=us <= MOST_US)
        own_us = statistics.median(processor_s) / POINTS * 1e6
        sentence = f"{us:.1f} µs over {POINTS:,} points, {own_us:.1f} µs of it on the processor"
        said(us <= MOST_US, f"{MOST_US:g} µs a point: {sentence}")


def test_side_by_side_with_the_direct_solution(benchmark, large):
    """Both in one run, turn by turn, so that what else the machine does falls on both."""
    sample = plants(DIRECT_POINTS, SEED)
    solve_all(large)

    def turns() -> tuple[float, float]:
        direct_s, batch_s = 0.0, 0.0
        for third in range(3):
            begun = time.perf_counter()
            for p in sample[third::3]:
                solve_direct(**p)
            between = time.perf_counter()
            solve_all(large)
            direct_s, batch_s = direct_s + between - begun, batch_s + time.perf_counter() - between
        return direct_s / DIRECT_POINTS, batch_s / (3 * POINTS)

    direct_s, batch_s = benchmark.pedantic(turns, rounds=1)
    ratio = direct_s / batch_s
    benchmark.extra_info.update(direct_ms=direct_s * 1e3, batch_us=batch_s * 1e6, ratio=ratio)
    said(
        ratio >= LEAST_RATIO,
        f"{LEAST_RATIO:g} times: {ratio:.0f} times, {direct_s * 1e3:.1f} ms directly, "
        f"{batch_s * 1e6:.1f} µs in the batch",
    )


CALLS = {
    "1 point at full flow": lambda: idle(),
    "1 point with freeze control": lambda: plant(speed_rpm=3000.0, condenser_m3_h=2500),
    "30 points of one plant": lambda: idle(
        air_in_c=np.linspace(20, 45, 30), cond_air_in_c=np.linspace(25, 50, 30), speed_rpm=1800.0
    ),
    "30 points, throttled": lambda: plant(
        air_in_c=np.linspace(18, 45, 30),
        cond_air_in_c=np.linspace(20, 45, 30),
        speed_rpm=np.linspace(900, 4000, 30),
        freeze_mode="suction-regulated",
    ),
}


@pytest.mark.parametrize("name", CALLS)
def test_one_call(benchmark, name):
    inputs = CALLS[name]()
    benchmark.pedantic(solve_balance, ("R-134a", inputs), rounds=50, warmup_rounds=3)
    if benchmark.enabled:
        ms = statistics.median(benchmark.stats.stats.data) * 1e3
        least_ms = min(benchmark.stats.stats.data) * 1e3
        benchmark.extra_info.update(limit_ms=MOST_CALL_MS, within=ms <= MOST_CALL_MS)
        said(
            ms <= MOST_CALL_MS,
            f"{MOST_CALL_MS:g} ms a call: {ms:.1f} ms, at best {least_ms:.1f} ms, for {name}",
        )
