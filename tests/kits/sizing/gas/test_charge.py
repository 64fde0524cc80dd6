"""The charge: what each zone holds, and what another variant's lines change."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.sizing.gas.charge import (
    Volumes,
    charge_difference_pct,
    held_g,
    inventory_g,
    receiver_g,
    zone_densities,
)
from kits.sizing.gas.hoses import hose_volume_ml
from kits.sizing.gas.lines import mean_two_phase_density
from kits.sizing.gas.refrigerant import refrigerant
from tests.reference import case, check

GAS = refrigerant("R-134a")
# 0.15 l discharge, 0.6 l condenser in three zones, 0.25 l receiver, 0.08 l liquid, 0.4 l coil, 0.3 l suction
VOLUMES = Volumes(
    compressor=0.0,
    discharge=150,
    desuperheated=50,
    condensing=450,
    subcooled=100,
    receiver=250,
    liquid=80,
    evaporating=350,
    superheated=50,
    suction=300,
)
STATE = zone_densities(
    GAS, evaporating_c=5.0, condensing_c=60.0, discharge_c=80.0, superheat_k=5.0, subcooling_k=5.0
)


def test_gas_that_warms_along_the_suction_hose_is_thinner_there() -> None:
    # by hand: the mean of the coil's end, 5 K above 5 °C, and of the hose's, 15 K above it
    warmed = zone_densities(
        GAS,
        evaporating_c=5.0,
        condensing_c=60.0,
        discharge_c=80.0,
        superheat_k=5.0,
        subcooling_k=5.0,
        suction_gain_k=10.0,
    )
    ends = [
        PropsSI("D", "T", 273.15 + c, "P", PropsSI("P", "T", 278.15, "Q", 1, "R134a"), "R134a")
        for c in (10, 20)
    ]
    assert warmed.suction == pytest.approx(sum(ends) / 2, rel=1e-3)
    assert warmed.suction < STATE.suction


def test_an_inventory_agrees_with_the_reference() -> None:
    # source: volumes times densities with Zivi means, CoolProp 8.0.0. The case does not say where its evaporator
    # begins: its density belongs to a quality of 0.25, ours to the one behind a valve fed at 55 °C (0.37)
    known = case("heat_exchangers.json", "charge-inventory")
    given_ml = {zone: 1e6 * v for zone, v in known["inputs"]["volumes_m3"].items()}
    names = {
        "discharge": "discharge_hose",
        "desuperheated": "condenser_desup",
        "condensing": "condenser_two_phase",
        "subcooled": "condenser_subcool",
        "liquid": "liquid_line",
        "evaporating": "evaporator_two_phase",
        "superheated": "evaporator_superheat",
        "suction": "suction_hose",
    }
    volumes = Volumes(
        compressor=0.0,
        receiver=given_ml["drier_liquid"],
        **{ours: given_ml[theirs] for ours, theirs in names.items()},
    )
    cold = GAS.saturation(5.0)
    densities = STATE._replace(evaporating=mean_two_phase_density(cold.rho_l, cold.rho_v, 0.25))
    full_g = float(densities.liquid) * given_ml["drier_liquid"] / 1000
    held = inventory_g(volumes, densities, full_g)
    for ours, theirs in names.items():
        check(
            getattr(densities, ours), known["outputs"][f"rho_{theirs}"], known["tolerance"], f"rho_{theirs}"
        )
        check(getattr(held, ours) / 1000, known["outputs"][f"m_{theirs}"], known["tolerance"], f"m_{theirs}")
    check(held.receiver / 1000, known["outputs"]["m_drier_liquid"], known["tolerance"], "m_drier_liquid")
    check(held.total / 1000, known["outputs"]["total_kg"], known["tolerance"], "total_kg")


def test_the_quality_behind_the_valve_is_the_one_of_the_reference_cycle() -> None:
    # source: CoolProp 8.0.0, x4 of the cycle at 5 and 60 °C with 5 K subcooling
    known = case("refrigerants.json", "cyc-vehicle-R-134a")
    cold = GAS.saturation(5.0)
    expected = mean_two_phase_density(cold.rho_l, cold.rho_v, known["outputs"]["x4"])
    check(STATE.evaporating, expected, known["tolerance"], "x4")


def test_a_metre_of_6_liquid_line_holds_about_53_g() -> None:
    # common practice, no source
    assert held_g(hose_volume_ml(7.9, 1.0), STATE.liquid) == pytest.approx(53, abs=1)


def test_between_variants_only_the_lines_move_the_charge() -> None:
    longer = VOLUMES._replace(liquid=80 + hose_volume_ml(7.9, 0.5), suction=300 + hose_volume_ml(12.7, 0.4))
    before, after = (inventory_g(v, STATE, 125.0).total for v in (VOLUMES, longer))
    more = held_g(hose_volume_ml(7.9, 0.5), STATE.liquid) + held_g(hose_volume_ml(12.7, 0.4), STATE.suction)
    assert float(after - before) == pytest.approx(float(more), rel=1e-9)


def test_a_receiver_holds_vapour_alone_or_liquid_alone_at_its_ends() -> None:
    assert receiver_g(300, 1000.0, 50.0, 0.0) == pytest.approx(15)
    assert receiver_g(300, 1000.0, 50.0, 300.0) == pytest.approx(300)
    with pytest.raises(ValueError, match="receiver must hold the reserve"):
        receiver_g(300, 1000.0, 50.0, 301.0)
    assert np.isnan(
        receiver_g(np.array([300.0, 300.0]), 1000.0, 50.0, np.array([301.0, 100.0]))
    ).tolist() == [
        True,
        False,
    ]


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(Volumes._fields),
    st.floats(0.01, 500),
    st.sampled_from(["R-134a", "R-1234yf", "R-152a"]),
    st.floats(-5, 15),
    st.floats(35, 70),
)
def test_more_volume_anywhere_never_lowers_the_charge(
    zone: str, more_ml: float, gas: str, evaporating_c: float, condensing_c: float
) -> None:
    state = zone_densities(
        refrigerant(gas),
        evaporating_c=evaporating_c,
        condensing_c=condensing_c,
        discharge_c=condensing_c + 25,
        superheat_k=5.0,
        subcooling_k=5.0,
        suction_gain_k=3.0,
    )
    base = VOLUMES._replace(compressor=100)
    larger = base._replace(**{zone: getattr(base, zone) + more_ml})
    totals = [inventory_g(v, state, 125.0).total for v in (base, larger)]
    assert totals[1] > totals[0]


def test_an_array_of_states_gives_what_each_gives_alone() -> None:
    evaporating, condensing = np.array([0.0, 5.0, 9.0]), np.array([45.0, 60.0, 70.0])
    together = inventory_g(
        VOLUMES,
        zone_densities(
            GAS,
            evaporating_c=evaporating,
            condensing_c=condensing,
            discharge_c=condensing + 20,
            superheat_k=5.0,
            subcooling_k=5.0,
        ),
        125.0,
    )
    for i in range(3):
        alone = zone_densities(
            GAS,
            evaporating_c=evaporating[i],
            condensing_c=condensing[i],
            discharge_c=condensing[i] + 20,
            superheat_k=5.0,
            subcooling_k=5.0,
        )
        assert inventory_g(VOLUMES, alone, 125.0).total == pytest.approx(together.total[i], rel=1e-12)


def test_a_state_beyond_the_tables_is_refused_or_marks_its_row() -> None:
    with pytest.raises(ValueError, match="outside the property tables"):
        zone_densities(
            GAS, evaporating_c=5.0, condensing_c=120.0, discharge_c=140.0, superheat_k=5.0, subcooling_k=5.0
        )
    state = zone_densities(
        GAS,
        evaporating_c=np.array([5.0, 5.0]),
        condensing_c=np.array([60.0, 120.0]),
        discharge_c=np.array([80.0, 140.0]),
        superheat_k=5.0,
        subcooling_k=5.0,
    )
    assert np.isfinite(inventory_g(VOLUMES, state, 125.0).total).tolist() == [True, False]


@pytest.mark.parametrize("bad", [(-1, 1000), (100, 0), (100, -5), (float("nan"), 1000), (float("inf"), 1000)])
def test_what_a_volume_holds_refuses_what_is_no_volume(bad: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="volume not negative"):
        held_g(*bad)
    assert np.isnan(held_g(*(np.array([v]) for v in bad))).all()


def test_charges_are_compared_in_percent_of_the_record() -> None:
    assert charge_difference_pct(600, 600) == 0
    assert charge_difference_pct(510, 600) == pytest.approx(-15)
    with pytest.raises(ValueError, match="lie above zero"):
        charge_difference_pct(600, 0)
