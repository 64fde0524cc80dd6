"""A point without numbers says what the balance said, also where no humidity was found."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.case.case import Point
from kits.sizing.machine.compressor import fit_efficiency
from kits.sizing.run.batch import build
from kits.sizing.run.run import hold
from kits.sizing.run.unsolved import reasons
from tests.kits.sizing.cases import COMPRESSOR, CRUISE, case


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({}, ""),
        # faster than its fit reaches
        ({"engine_rpm_per_km_h": 70.0}, "The discharge gas would be hotter than 160 °C."),
        # a condenser that gets hardly any air
        ({"fan_installed_share": 0.02, "ram_share": 0.002}, "the condenser cannot reject the heat"),
        ({"compressor": replace(COMPRESSOR, volumetric=fit_efficiency([4], [2000], [0.06]))}, ""),
        ({"pulley_mm": 1500.0}, "The speed is below the compressor's lowest."),
    ],
)
def test_the_reason_is_the_balances_own(change: dict[str, object], reason: str) -> None:
    batch = build([Point(case(**change), CRUISE)])
    held = hold(batch, np.array([25.0]))
    (told,) = reasons(batch, held)
    assert (told == "") == bool(np.isfinite(held.balance.capacity_w[0]))
    assert "not a number" not in told
    if reason:
        assert reason in told
