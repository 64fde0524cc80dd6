"""The air at each vent: the heat of the ducts goes to the vents by their walls, and none is lost on the way."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.run.batch import build
from kits.sizing.run.run import hold_at
from kits.sizing.run.vent_air import each_vent_c, vent_c
from kits.sizing.verdict.run_test import run_point
from tests.kits.sizing.cases import AIR_PATH, case, halves

SHORT = replace(AIR_PATH.outlets[0], code="short", length_m=0.2)
UNEVEN = case(air_path=replace(AIR_PATH, outlets=(SHORT, *AIR_PATH.outlets[1:])))


@pytest.mark.parametrize("whole", [UNEVEN, case(), halves(UNEVEN)])
def test_the_mean_of_all_vents_is_that_of_the_air_behind_the_coils(whole):
    batch = build([run_point(whole, 30.0, 0.5)])
    held = hold_at(batch, batch.prepared.outside_c, batch.prepared.outside_w)
    (vents,) = each_vent_c(batch, held)
    flows = np.concatenate([air.row(0).outlet_m3_h for air in (batch.air, batch.rear_air) if air is not None])
    assert vents.size == flows.size > 3
    (mean,) = vent_c(batch, held.balance, np.arange(1))
    assert np.average(vents, weights=flows) == pytest.approx(mean, abs=0.01)


def test_a_short_duct_warms_its_air_by_its_own_wall():
    batch = build([run_point(UNEVEN, 30.0, 0.5)])
    held = hold_at(batch, batch.prepared.outside_c, batch.prepared.outside_w)
    (short, *others), flow = each_vent_c(batch, held)[0], batch.air.row(0)
    assert short < min(others) and np.ptp(others) == pytest.approx(0.0, abs=1e-9)
    # by hand: 1.2 W/K at 22 K, of which 0.2 of 1.7 m; 100 W of the matrix over all
    air_kg_s = float(batch.air_kg_s[0])
    heat_j_kgk = 1006.0 + 1860.0 * float(held.balance.air_off_w[0])
    own_kg_s = air_kg_s * flow.outlet_m3_h[0] / flow.total_m3_h
    rise_k = 100.0 / (air_kg_s * heat_j_kgk) + 26.4 * 0.2 / 1.7 / (own_kg_s * heat_j_kgk)
    assert short - float(held.balance.air_off_c[0]) == pytest.approx(rise_k, rel=1e-6)


def test_ducts_without_any_length_share_the_heat_by_their_air():
    bare = case(air_path=replace(AIR_PATH, outlets=tuple(replace(o, length_m=0.0) for o in AIR_PATH.outlets)))
    batch = build([run_point(bare, 30.0, 0.5)])
    held = hold_at(batch, batch.prepared.outside_c, batch.prepared.outside_w)
    (vents,) = each_vent_c(batch, held)
    assert vents == pytest.approx(vent_c(batch, held.balance, np.arange(1))[0], abs=1e-9)
