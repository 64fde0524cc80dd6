"""The head of a cycling plant while its clutch is engaged."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.balance.balance import solve_balance
from kits.sizing.case.case import Point
from kits.sizing.run.batch import build
from kits.sizing.run.engaged import engaged_condensing_pa
from kits.sizing.run.run import Held, hold
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.judge import judged_at_c
from tests.kits.sizing.cases import CRUISE, IDLE, case, duty, electric_case, halves
from vehicles.physics.pressure import absolute_pa

MILD = [duty(outside_c=c) for c in (15.0, 20.0, 25.0, 30.0)]


def held_at(*points: Point) -> Held:
    batch = build(points)
    return hold(batch, np.array([judged_at_c(p) for p in points]))


def test_it_is_what_the_balance_gives_for_a_coil_whose_fins_much_dry_air_holds_still() -> None:
    held = held_at(*(Point(case(), d) for d in (*MILD, CRUISE)))
    assert (held.balance.duty < 0.5).all()
    found = engaged_condensing_pa("R-134a", held)
    x, one = held.inputs, np.ones(found.size)
    stored = replace(
        x,
        air_kg_s=1e3 * one, evap_ref_air_kg_s=1e3 * one, evap_ua_air_w_k=1e6 * one, air_in_w=5e-4 * one,
        air_in_c=x.freeze_surface_c, freeze_surface_c=-20.0 * one,
    )  # fmt: skip
    # its fins are 0.02 K colder than its air
    assert found == pytest.approx(solve_balance("R-134a", stored).condensing_pa, rel=1e-3)


def test_it_is_above_the_mean_and_rises_with_the_air_at_the_condenser() -> None:
    held = held_at(*(Point(case(), d) for d in MILD))
    found = engaged_condensing_pa("R-134a", held)
    assert (found > held.balance.condensing_pa).all()
    assert (np.diff(found) > 0).all()


def test_a_plant_that_does_not_cycle_has_none() -> None:
    full = held_at(Point(case(), IDLE))
    assert full.balance.duty == 1
    slowed = held_at(Point(electric_case(), CRUISE))
    two = held_at(Point(halves(case()), MILD[1]))
    for held in (full, slowed, two):
        assert np.isnan(engaged_condensing_pa("R-134a", held)).all()


def test_a_head_that_may_open_the_switch_asks_for_a_measurement() -> None:
    (sound,) = answers_at(case(), [MILD[0]], with_holds=False)
    assert sound.verdict == "strong enough" and sound.engaged_bar_g > sound.high_side_bar_g + 1.0
    between = absolute_pa((sound.engaged_bar_g + sound.high_side_bar_g) / 2)
    (near,) = answers_at(case(high_cut_out_pa=between), [MILD[0]], with_holds=False)
    (told,) = [c for c in near.criteria if c.code == "head-engaged"]
    assert near.verdict == "marginal" and told.is_met and told.in_reserve
    assert f"{sound.engaged_bar_g:.1f} bar g" in told.sentence
