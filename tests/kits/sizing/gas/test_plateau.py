"""The plateau of a charging trial, on made-up trials whose start is known."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.sizing.gas.plateau import ChargingRow, plateau_of


def trial(
    start_g: float = 500, full_g: float = 750, until_g: float = 900, from_g: float = 250
) -> list[ChargingRow]:
    """A made-up trial in 50 g steps: liquid builds up until `start_g`, stands still until `full_g`, then rises."""
    rows = []
    for added in np.arange(from_g, until_g + 1, 50.0):
        short, over = max(start_g - added, 0.0) / 50, max(added - full_g, 0.0) / 50
        rows.append(
            ChargingRow(
                added,
                max(6.0 - 1.5 * short, 0.0) + 2.0 * over,
                14.0 - 0.5 * short + 0.9 * over,
                7.0 + 1.8 * short + 0.6 * over,
            )
        )
    return rows


def test_the_charge_is_the_start_of_the_plateau_and_100_to_150_g() -> None:
    found = plateau_of(trial())
    assert (found.start_g, found.end_g) == (500, 750)
    assert (found.low_g, found.high_g, found.charge_g, found.tolerance_g) == (600, 650, 625, 25)
    assert (found.subcooling_k, found.head_bar_g, found.vent_c) == pytest.approx((6.0, 14.0, 7.0))
    assert found.is_end_seen
    assert found.is_reserve_held


def test_a_receiver_that_is_full_before_the_reserve_is_in_is_told() -> None:
    short = plateau_of(trial(500, 600))
    assert (short.end_g, short.is_reserve_held) == (600, False)
    stopped = plateau_of(trial(500, 900, 700))
    assert (stopped.is_end_seen, stopped.is_reserve_held) == (False, None)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 20), st.lists(st.floats(-0.05, 0.05), min_size=42, max_size=42))
def test_the_plateau_moves_with_the_grams_and_not_with_a_little_scatter(
    shift: int, scatter: list[float]
) -> None:
    rows = [
        replace(
            row,
            added_g=row.added_g + 10 * shift,
            subcooling_k=row.subcooling_k + 2 * scatter[3 * i],
            head_bar_g=row.head_bar_g + scatter[3 * i + 1],
            vent_c=row.vent_c + 2 * scatter[3 * i + 2],
        )
        for i, row in enumerate(trial())
    ]
    assert plateau_of(rows).start_g == 500 + 10 * shift


def test_a_circuit_without_liquid_at_the_end_of_the_condenser_is_no_plateau() -> None:
    flat = [ChargingRow(added, 0.5, 9.0, 15.0) for added in range(100, 600, 50)]
    with pytest.raises(ValueError, match="No plateau is seen"):
        plateau_of(flat)


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        (trial()[:3], "four rows or more"),
        (trial(from_g=500), "before the first row"),
        (trial(900, 1200, 850), "No plateau is seen"),
        (trial()[::2], "too wide"),
        (trial()[::-1], "must rise"),
        ([*trial(), ChargingRow(950, float("nan"), 14, 7)], "as numbers"),
        ([ChargingRow(-50, 0, 9, 20), *trial()], "as numbers"),
        ([replace(row, engine_rpm=900) for row in trial()], "turned at 900 rpm"),
        ([replace(row, engine_rpm=2100) for row in trial()], "1,500 to 2,000 rpm"),
        ([replace(row, ambient_c=20 + i) for i, row in enumerate(trial())], "from 20 to 33 °C"),
        ([replace(row, ambient_c=float("nan")) for row in trial()], "The outside air"),
    ],
)
def test_a_trial_that_shows_no_start_is_refused(rows: list[ChargingRow], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        plateau_of(rows)


def test_speed_and_weather_that_were_noted_and_held_change_nothing() -> None:
    noted = [replace(row, engine_rpm=1800, ambient_c=26 + 0.2 * i) for i, row in enumerate(trial())]
    assert plateau_of(noted) == plateau_of(trial())
