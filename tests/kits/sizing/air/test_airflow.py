"""The blower on its system: against a direct solution on fluids, in its limits, in a dash unit's band."""

from dataclasses import replace
from typing import Any

import fluids
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import pchip_interpolate
from scipy.optimize import brentq

from kits.sizing.air.air_path import AirPath, Calibration, Outlet, Resistance, TrialPoint
from kits.sizing.air.airflow import (
    AirStatus,
    _known,
    airflow,
    airflow_batch,
    blower_curve,
    calibrate,
    system_loss_pa,
)
from kits.sizing.air.blower import BlowerData, flow_from_velocity_m3_h
from kits.sizing.air.ducts import air_viscosity_pa_s
from tests.kits.sizing.air.test_blower import DASH

HOSE = Outlet(
    code="left", diameter_mm=57, length_m=0.6, roughness_mm=0.9, minor_k=0.5, compression_percent=2,
    free_area_cm2=24, vent_k=0.4,
)  # fmt: skip
PATH = AirPath(
    blower=DASH,
    intake=Resistance(rated_pa=30, rated_m3_h=320, exponent=2),
    coil=Resistance(rated_pa=120, rated_m3_h=320, exponent=1.8),
    outlets=tuple(replace(HOSE, code=f"vent {k}", length_m=0.5 + 0.2 * k) for k in range(4)),
    coil_is_before_blower=False,
)
NO_LOSS = Resistance(0, 320, 2)
WIDE_OPEN = replace(HOSE, length_m=0, minor_k=0, vent_k=0, free_area_cm2=1e5, diameter_mm=1000)


def random_path(rng: np.random.Generator) -> AirPath:
    most, shut_off = rng.uniform(350, 900), rng.uniform(250, 700)
    curve = tuple((x * most, y * shut_off) for x, y in ((0, 1), (0.3, 0.93), (0.6, 0.68), (0.8, 0.4), (1, 0)))
    outlets = tuple(
        Outlet(
            code=f"vent {k}",
            diameter_mm=rng.uniform(45, 80),
            length_m=rng.uniform(0.1, 2),
            roughness_mm=rng.uniform(0.01, 1.5),
            minor_k=rng.uniform(0, 3),
            compression_percent=rng.uniform(0, 15),
            free_area_cm2=rng.uniform(12, 45),
            vent_k=rng.uniform(0, 1.5),
        )
        for k in range(rng.integers(2, 7))
    )
    return AirPath(
        blower=BlowerData(curve, 13.5, ((0, 15),), True),
        intake=Resistance(rng.uniform(0, 60), 320, 2),
        coil=Resistance(rng.uniform(40, 160), 320, rng.uniform(1.6, 2)),
        outlets=outlets,
        coil_is_before_blower=bool(rng.integers(2)),
        filter=Resistance(rng.uniform(5, 40), 320, 2) if rng.integers(2) else None,
        matrix=Resistance(rng.uniform(10, 60), 300, rng.uniform(1.7, 2)) if rng.integers(2) else None,
    )


def loss_with_fluids(outlet: Outlet, m3_h: float, rho: float, mu: float) -> float:
    q, d = m3_h / 3600, outlet.diameter_mm / 1000
    v = q / (np.pi * d * d / 4)
    f = fluids.friction_factor(Re=rho * v * d / mu, eD=outlet.roughness_mm / outlet.diameter_mm)
    pdcf = 1 + 0.58 * outlet.compression_percent * np.exp(-0.00496 * outlet.diameter_mm)
    k = fluids.K_from_f(fd=f, L=outlet.length_m, D=d) * pdcf + outlet.minor_k
    jet = q / (outlet.free_area_cm2 * 1e-4)
    return float(fluids.dP_from_K(k, rho, v) + fluids.dP_from_K(1 + outlet.vent_k, rho, jet))


def total_directly(path: AirPath, speed: float, rho: float, t_c: float) -> tuple[float, list[float]]:
    """The same plant by nested scalar root finding on fluids' relations."""
    mu = fluids.ATMOSPHERE_1976.viscosity(t_c + 273.15)
    flows, statics = np.array(path.blower.curve).T

    def at(plenum_pa: float) -> list[float]:
        return [
            brentq(lambda q, o=o: loss_with_fluids(o, q, rho, mu) - plenum_pa, 1e-6, 5000, xtol=1e-10)
            for o in path.outlets
        ]

    def surplus(plenum_pa: float) -> float:
        total = sum(at(plenum_pa))
        rise = rho / 1.2 * speed**2 * pchip_interpolate(flows, statics, min(total / speed, flows[-1]))
        held = [r for r in (path.intake, path.filter, path.coil, path.matrix) if r is not None]
        series = sum(r.rated_pa * (total / r.rated_m3_h) ** r.exponent for r in held)
        return float(rise - rho / 1.2 * series - plenum_pa)

    found = at(brentq(surplus, 1.0, statics[0] * speed**2 * rho / 1.2, xtol=1e-9))
    return sum(found), found


def test_random_plants_agree_with_a_direct_solution_on_fluids() -> None:
    rng = np.random.default_rng(64)
    paths = [random_path(rng) for _ in range(40)]
    voltage, share = rng.uniform(11, 14.2, 40), rng.uniform(0.6, 1, 40)
    rho, t_c = rng.uniform(1.0, 1.3, 40), rng.uniform(0, 45, 40)
    got = airflow_batch(paths, voltage, share, density_kg_m3=rho, air_c=t_c)
    for i, path in enumerate(paths):
        row = got.row(i)
        total, split = total_directly(path, voltage[i] * share[i] / 13.5, rho[i], t_c[i])
        slowest = min(
            rho[i] * q / 3600 / (np.pi / 4 * o.diameter_mm / 1000) / air_viscosity_pa_s(t_c[i])
            for q, o in zip(split, path.outlets, strict=True)
        )
        assert slowest > 4000  # fluids steps where our friction blends: keep the sweep turbulent
        # the two constants of Sutherland's law differ in the sixth digit
        assert row.status is AirStatus.OK
        assert row.total_m3_h == pytest.approx(total, rel=1e-5)
        assert row.outlet_m3_h == pytest.approx(split, rel=1e-5)


def test_all_pressures_close_around_the_loop() -> None:
    rng = np.random.default_rng(65)
    paths = [random_path(rng) for _ in range(30)]
    got = airflow_batch(paths, 13.0, 0.9)
    for i, path in enumerate(paths):
        row = got.row(i)
        intake = path.intake.rated_pa * (row.total_m3_h / 320) ** 2
        if path.filter is not None:
            intake += path.filter.rated_pa * (row.total_m3_h / 320) ** 2
        matrix = 0.0
        if path.matrix is not None:
            matrix = path.matrix.rated_pa * (row.total_m3_h / 300) ** path.matrix.exponent
        coil = path.coil.rated_pa * (row.total_m3_h / 320) ** path.coil.exponent
        assert row.static_before_coil_pa - row.static_after_coil_pa == pytest.approx(coil, rel=1e-9)
        suction = intake + (coil if path.coil_is_before_blower else 0)
        plenum = row.blower_static_pa - intake - coil - matrix
        behind = -suction if path.coil_is_before_blower else plenum + matrix
        assert row.static_after_coil_pa == pytest.approx(behind)
        assert sum(row.loss_pa.values()) == pytest.approx(row.blower_static_pa, rel=1e-6)
        assert row.loss_pa["ducts"] + row.loss_pa["vents"] == pytest.approx(plenum, rel=1e-6)
        mu = float(air_viscosity_pa_s(20.0))
        for outlet, flow in zip(path.outlets, row.outlet_m3_h, strict=True):
            assert loss_with_fluids(outlet, flow, 1.2, mu) == pytest.approx(plenum, rel=1e-6)
        assert sum(row.outlet_m3_h) == pytest.approx(row.total_m3_h, rel=1e-12)


def test_a_dash_unit_lies_in_the_band_of_practice() -> None:
    """From memory: installed 250 to 380 m³/h, coil 100 to 140, ducts and vents 80 to 150 Pa, 12 to 18 A."""
    full = airflow(PATH, 13.5, 1.0)
    assert 250 <= full.total_m3_h <= 380
    assert 100 <= full.static_before_coil_pa - full.static_after_coil_pa <= 140
    assert 80 <= full.static_after_coil_pa <= 150
    assert 12 <= full.current_a <= 18
    assert all(6 <= v <= 12 for v in full.outlet_velocity_m_s)
    low, middle = airflow(PATH, 13.5, 0.5), airflow(PATH, 13.5, 0.73)
    assert 3 <= low.current_a <= 4
    assert 6 <= middle.current_a <= 9


def test_a_small_vent_reaches_30_miles_per_hour() -> None:
    """Common practice, no source: up to about 13.4 m/s out of a small vent at full step."""
    nozzle_cm2 = np.pi / 4 * 4.2**2  # 42 mm
    small = tuple(replace(o, free_area_cm2=nozzle_cm2) for o in PATH.outlets)
    fast = airflow(replace(PATH, outlets=small), 13.5, 1.0)
    assert max(fast.outlet_velocity_m_s) >= 13.4


def test_without_resistance_the_flow_is_the_curves_free_flow() -> None:
    free = replace(PATH, intake=NO_LOSS, coil=NO_LOSS, outlets=(WIDE_OPEN,))
    for share in (1.0, 0.5):
        assert airflow(free, 13.5, share).total_m3_h == pytest.approx(520 * share, rel=1e-4)


def test_nearly_blocked_the_flow_goes_to_zero_and_the_pressure_to_shut_off() -> None:
    blocked = replace(PATH, outlets=(replace(HOSE, free_area_cm2=1e-3),))
    row = airflow(blocked, 13.5, 1.0)
    assert 0 < row.total_m3_h < 0.05
    assert row.blower_static_pa == pytest.approx(420, rel=1e-3)


def test_a_balance_outside_the_curve_is_marked_and_gives_no_number() -> None:
    middle = replace(DASH, curve=DASH.curve[1:4])
    wide, tight = replace(HOSE, free_area_cm2=200, diameter_mm=150), replace(HOSE, free_area_cm2=1)
    beyond = airflow(replace(PATH, blower=middle, intake=NO_LOSS, coil=NO_LOSS, outlets=(wide,)), 13.5, 1)
    before = airflow(replace(PATH, blower=middle, outlets=(tight,)), 13.5, 1)
    assert (beyond.status, before.status) == (AirStatus.BEYOND_CURVE, AirStatus.BEFORE_CURVE)
    for row, word in ((beyond, "last row"), (before, "first row")):
        assert not row.within_curve
        assert word in row.reason
        numbers = (row.total_m3_h, row.blower_static_pa, row.static_after_coil_pa, row.blower_w)
        assert np.isnan([*numbers, *row.outlet_m3_h, *row.outlet_velocity_m_s]).all()


def test_doubling_the_speed_doubles_the_flow_where_all_losses_are_quadratic() -> None:
    # a fully rough wall and exponent 2 make every loss go with the square, so the fan laws hold exactly
    square = replace(
        PATH,
        coil=replace(PATH.coil, exponent=2),
        outlets=tuple(replace(o, length_m=0) for o in PATH.outlets),
    )
    half, full = airflow(square, 13.5, 0.5), airflow(square, 13.5, 1.0)
    assert full.total_m3_h == pytest.approx(2 * half.total_m3_h, rel=1e-9)
    assert full.blower_static_pa == pytest.approx(4 * half.blower_static_pa, rel=1e-9)


def test_thin_air_moves_as_much_volume_with_less_pressure_and_power() -> None:
    low, high = (airflow(PATH, 13.5, 1.0, density_kg_m3=rho) for rho in (1.2, 0.9))
    assert high.total_m3_h == pytest.approx(low.total_m3_h, rel=0.01)
    assert high.blower_static_pa == pytest.approx(0.75 * low.blower_static_pa, rel=0.01)
    assert high.blower_w == pytest.approx(0.75 * low.blower_w, rel=0.01)


@settings(max_examples=40, deadline=None)
@given(
    name=st.sampled_from(["length_m", "minor_k", "vent_k", "compression_percent", "roughness_mm"]),
    more=st.floats(0.01, 3),
    share=st.floats(0.05, 1),
)
def test_more_resistance_never_means_more_air(name: str, more: float, share: float) -> None:
    first = replace(PATH.outlets[0], **{name: getattr(PATH.outlets[0], name) + more})
    before, after = (
        airflow(PATH, 13.5, share),
        airflow(replace(PATH, outlets=(first, *PATH.outlets[1:])), 13.5, share),
    )
    assert after.total_m3_h <= before.total_m3_h * (1 + 1e-9)
    assert after.outlet_m3_h[0] <= before.outlet_m3_h[0] * (1 + 1e-9)
    # what the one loses, the others gain in part
    assert after.outlet_m3_h[1] >= before.outlet_m3_h[1] * (1 - 1e-9)


def test_more_voltage_never_means_less_air() -> None:
    # from a trickle, where every duct is laminar, through the transition
    got = airflow_batch([PATH] * 400, np.geomspace(0.02, 15, 400), 1.0)
    assert set(got.status) == {AirStatus.OK}
    assert np.all(np.diff(got.total_m3_h) > 0)
    assert np.all(np.diff(got.outlet_velocity_m_s, axis=0) > 0)


def test_a_resistor_step_burns_the_whole_supply_voltage_and_a_controller_does_not() -> None:
    resistor = airflow(PATH, 13.5, 0.5)
    electronic = airflow(replace(PATH, blower=replace(DASH, step_by_resistor=False)), 13.5, 0.5)
    assert resistor.blower_w == pytest.approx(13.5 * resistor.current_a)
    assert electronic.blower_w == pytest.approx(0.5 * resistor.blower_w)
    assert electronic.total_m3_h == resistor.total_m3_h


def test_a_batch_of_mixed_paths_gives_what_each_gives_alone_and_what_it_gave_before() -> None:
    rng = np.random.default_rng(66)
    paths = [random_path(rng), PATH, random_path(rng), PATH]
    volts = np.array([12.0, 13.5, 11.0, 12.5])
    got = airflow_batch(paths, volts, 0.8)
    for i, path in enumerate(paths):
        row = got.row(i)
        assert airflow(path, volts[i], 0.8) == row
        _known.clear()
        alone = airflow(path, volts[i], 0.8)
        assert row.outlet_codes == alone.outlet_codes
        assert row.outlet_m3_h == pytest.approx(alone.outlet_m3_h, rel=1e-9)
        assert row.blower_w == pytest.approx(alone.blower_w, rel=1e-9)
    assert airflow_batch([], 12.0, 1.0).total_m3_h.shape == (0,)


def test_a_filter_and_a_matrix_take_what_their_data_say_and_a_clogged_filter_takes_more() -> None:
    clean, clogged = Resistance(18, 320, 2), Resistance(55, 320, 2)
    fitted = replace(PATH, filter=clean, clogged_filter=clogged, matrix=Resistance(35, 300, 2))
    bare, row = airflow(PATH, 13.5, 1.0), airflow(fitted, 13.5, 1.0)
    assert row.total_m3_h < bare.total_m3_h
    assert row.loss_pa["filter"] == pytest.approx(18 * (row.total_m3_h / 320) ** 2)
    assert row.loss_pa["matrix"] == pytest.approx(35 * (row.total_m3_h / 300) ** 2)
    assert (bare.loss_pa["filter"], bare.loss_pa["matrix"]) == (0, 0)
    assert PATH.clogged() is None
    path = fitted.clogged()
    assert path is not None
    assert airflow(path, 13.5, 1.0).total_m3_h < row.total_m3_h


def test_where_the_filter_stands_in_series_does_not_matter_to_the_flow() -> None:
    # resistances of one exponent in series add up
    one = replace(PATH, filter=Resistance(25, 320, 2))
    other = replace(PATH, intake=Resistance(PATH.intake.rated_pa + 25, 320, 2))
    assert airflow(one, 13.5, 1.0).total_m3_h == pytest.approx(airflow(other, 13.5, 1.0).total_m3_h, rel=1e-9)


def test_the_losses_of_the_car_meet_the_blowers_curve_in_the_operating_point() -> None:
    for path in (PATH, calibrate(PATH, TRIAL)):
        row = airflow(path, 12.6, 0.8)
        assert system_loss_pa(path, [row.total_m3_h])[0] == pytest.approx(row.blower_static_pa, rel=1e-8)
        flow, pressure = blower_curve(path, 12.6, 0.8, 2000)
        assert np.interp(row.total_m3_h, flow, pressure) == pytest.approx(row.blower_static_pa, rel=1e-4)


def test_the_blowers_curve_at_rated_voltage_is_that_of_its_data_and_goes_with_the_speed() -> None:
    flow, pressure = blower_curve(PATH, 13.5, 1.0, 5)
    assert flow == pytest.approx([0, 130, 260, 390, 520])
    assert pressure[[0, 4]] == pytest.approx([420, 0], abs=1e-9)
    slow_flow, slow_pressure = blower_curve(PATH, 13.5, 0.5, 5)
    assert slow_flow == pytest.approx(flow / 2)
    assert slow_pressure == pytest.approx(pressure / 4)


def test_losses_at_no_flow_and_a_curve_without_voltage_are_refused() -> None:
    with pytest.raises(ValueError, match="flows above zero"):
        system_loss_pa(PATH, [100, 0])
    with pytest.raises(ValueError, match="voltage above zero"):
        blower_curve(PATH, 0, 1.0)


def test_a_trial_read_at_the_plug_counts_its_own_air() -> None:
    # ideal gas: 1.2 kg/m³ at 20 °C
    assert TrialPoint.at_plug(300, 280, 13, 20).density_kg_m3 == pytest.approx(1.2)
    assert TrialPoint.at_plug(300, 280, 13, 40).density_kg_m3 == pytest.approx(1.2 * 293.15 / 313.15)
    hot = TrialPoint.at_plug(265, 290, 13.1, 40)
    row = airflow(calibrate(PATH, hot), 13.1, 1.0, density_kg_m3=hot.density_kg_m3, air_c=40)
    assert (row.total_m3_h, row.blower_static_pa) == pytest.approx((265, 290), rel=1e-8)


def test_a_calibration_scales_every_loss_by_one_factor() -> None:
    path = calibrate(PATH, TRIAL)
    assert path.calibration is not None
    plain, tried = system_loss_pa(PATH, [150, 300]), system_loss_pa(path, [150, 300])
    assert tried == pytest.approx(path.calibration.system_factor * plain, rel=1e-9)


TRIAL = TrialPoint(airflow_m3_h=265, blower_static_pa=300, voltage_v=13.1, step_share=1.0, density_kg_m3=1.15)


def test_a_calibrated_path_gives_back_its_trial_and_says_so() -> None:
    path = calibrate(PATH, TRIAL)
    row = airflow(path, TRIAL.voltage_v, TRIAL.step_share, density_kg_m3=TRIAL.density_kg_m3)
    assert row.calibrated
    assert row.total_m3_h == pytest.approx(TRIAL.airflow_m3_h, rel=1e-8)
    assert row.blower_static_pa == pytest.approx(TRIAL.blower_static_pa, rel=1e-8)
    assert not airflow(PATH, 13.1, 1.0).calibrated


def test_a_trial_that_meets_the_model_changes_nothing_and_calibrating_twice_neither() -> None:
    row = airflow(PATH, 12.8, 0.9)
    path = calibrate(PATH, TrialPoint(row.total_m3_h, row.blower_static_pa, 12.8, 0.9, 1.2))
    assert path.calibration is not None
    assert path.calibration.system_factor == pytest.approx(1, rel=1e-8)
    assert path.calibration.blower_factor == pytest.approx(1, rel=1e-8)
    assert calibrate(calibrate(PATH, TRIAL), TRIAL) == calibrate(PATH, TRIAL)


def test_the_velocities_of_an_operating_point_add_up_to_its_flow() -> None:
    row = airflow(PATH, 13.5, 1.0)
    areas = [o.free_area_cm2 for o in PATH.outlets]
    assert np.sum(flow_from_velocity_m3_h(row.outlet_velocity_m_s, areas)) == pytest.approx(row.total_m3_h)


@pytest.mark.parametrize(
    "trial",
    [
        replace(TRIAL, airflow_m3_h=0),
        replace(TRIAL, blower_static_pa=float("nan")),
        replace(TRIAL, airflow_m3_h=600),
        replace(TRIAL, voltage_v=0),
    ],
)
def test_a_trial_that_makes_no_sense_is_refused(trial: TrialPoint) -> None:
    with pytest.raises(ValueError, match=r"[a-z ]{10,}"):
        calibrate(PATH, trial)


@pytest.mark.parametrize(
    ("voltage", "share", "rho"),
    [(0, 1, 1.2), (-12, 1, 1.2), (float("nan"), 1, 1.2), (12, 0, 1.2), (12, 1.01, 1.2), (12, 1, 0)],
)
def test_bad_input_is_refused_alone_and_marked_in_a_batch(voltage: float, share: float, rho: float) -> None:
    with pytest.raises(ValueError, match="voltage above zero"):
        airflow(PATH, voltage, share, density_kg_m3=rho)
    got = airflow_batch([PATH, PATH], [voltage, 12.0], [share, 1.0], density_kg_m3=[rho, 1.2])
    assert got.status == (AirStatus.BAD_INPUT, AirStatus.OK)
    assert np.isnan(got.total_m3_h).tolist() == [True, False]


@pytest.mark.parametrize(
    "make",
    [
        lambda: replace(HOSE, diameter_mm=0),
        lambda: replace(HOSE, free_area_cm2=-5),
        lambda: replace(HOSE, length_m=float("nan")),
        lambda: replace(HOSE, vent_k=-0.1),
        lambda: replace(HOSE, roughness_mm=8),
        lambda: replace(HOSE, compression_percent=40),
        lambda: Resistance(-1, 320, 2),
        lambda: Resistance(100, 0, 2),
        lambda: Resistance(100, 320, 3),
        lambda: replace(PATH, outlets=()),
        lambda: Calibration(0, 1),
        lambda: Calibration(1, float("nan")),
    ],
)
def test_a_path_that_makes_no_sense_is_refused(make: Any) -> None:
    with pytest.raises(ValueError, match=r"[a-z ]{10,}"):
        make()
