"""Whole plants with two coils whose blowers have their own volts and steps, against a solution without the batch.

The air of each blower comes from the relations of the package fluids and the fan laws, the circuit from CoolProp and
nested Brent searches; of the code under test only the fitted models and the state of the cabin's air are taken.
"""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.air.air_path import AirPath, Resistance
from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.case.plant import Line
from kits.sizing.run.batch import build
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.record import DutyAnswer
from tests.kits.sizing.air.test_airflow import total_directly
from tests.kits.sizing.cases import AIR_PATH, BLOWER, COMPRESSOR, CRUISE, case, rear_coil, smaller
from tests.kits.sizing.plants import COIL
from tests.reference.direct_balance import Plant
from tests.reference.direct_two_coils import solve_two_directly
from tests.sampling import Sampled
from vehicles.heatload.inputs import ClimateState

PLANTS = 32
RATED_V = 13.5
DRY_AIR_J_KG_K, WATER_OVER_AIR = 287.042, 1.607858
CRUISE_C: ClimateState = CRUISE.climate


def path_of(rng: np.random.Generator) -> AirPath:
    """An air path about as large as that of a dash unit."""
    flow, pressure = rng.uniform(0.9, 1.3, 2)
    curve = tuple((q * flow, p * pressure) for q, p in BLOWER.curve)
    blower = replace(BLOWER, curve=curve, current=tuple((q * flow, a) for q, a in BLOWER.current))
    return replace(
        AIR_PATH,
        blower=blower,
        intake=Resistance(rng.uniform(20, 60), 320, 2.0),
        coil=Resistance(rng.uniform(70, 130), 320, 1.8),
    )


def plants() -> list[tuple[Case, Duty, int]]:
    """Random plants at a random step of their switch, by its number."""
    rng, found = np.random.default_rng(2026), []
    for _ in range(PLANTS):
        steps = [
            tuple(enumerate(map(float, (*np.round(rng.uniform([0.6, 0.76], [0.74, 0.9]), 3), full)), 1))
            for full in (1.0, rng.uniform(0.92, 1.0))
        ]
        unit = replace(
            rear_coil(smaller(COIL, rng.uniform(0.4, 0.9)), path_of(rng)),
            line=Line(rng.uniform(2, 5), 0.0127, 2.0),
            front_line=Line(rng.uniform(0.3, 1.0), 0.0127, 1.0),
            blower="B-REAR",
            blower_steps=steps[1],
            circuit_loses_more_v=rng.uniform(-0.3, 1.2),
        )
        number = int(rng.integers(1, 4))
        whole = case(
            air_path=path_of(rng),
            blower_steps=steps[0],
            compressor=replace(COMPRESSOR, displacement_cc=rng.uniform(90, 170)),
            blower_voltage_v=rng.uniform(12.6, 13.8),
            rear=unit,
        )
        climate = replace(CRUISE_C, outside_c=rng.uniform(26, 38), road_speed_km_h=rng.uniform(30, 90))
        found.append((whole, replace(CRUISE, climate=climate, blower_share=dict(steps[0])[number]), number))
    return found


def air_kg_s(
    path: AirPath, motor_v: float, cabin_c: float, water_kg_kg: float, pressure_pa: float
) -> tuple[float, float]:
    """Flow in m³/h by the fan laws and fluids, and the dry air of it in kg/s."""
    m3_h, _ = total_directly(path, motor_v / RATED_V, 1.2, 20.0)
    volume = DRY_AIR_J_KG_K * (cabin_c + 273.15) * (1 + WATER_OVER_AIR * water_kg_kg) / pressure_pa
    return m3_h, m3_h / 3600 / volume


def directly(
    whole: Case, duty: Duty, number: int, answer: DutyAnswer
) -> tuple[list[float], dict[str, object]]:
    """Both air flows and the circuit, without the batch."""
    batch = build([Point(whole, duty)])
    flat = batch.plants.flat()[0]
    rear = whole.plant.rear
    assert rear is not None
    assert rear.circuit_loses_more_v is not None
    shares = dict(whole.plant.blower_steps)[number], dict(rear.blower_steps)[number]
    volts = float(whole.mounting.blower_voltage_v or 0)
    motors = volts * shares[0], (volts - rear.circuit_loses_more_v) * shares[1]
    prepared = batch.prepared
    outside_w, pressure_pa = float(prepared.outside_w[0]), float(prepared.pressure_pa[0])
    # the front blower moves what the flap lets in with the cabin's air, the rear one the cabin's air alone
    share, cabin_c = float(prepared.intake_share[0]), float(prepared.target_c[0])
    moved_c = share * float(prepared.intake_c[0]) + (1 - share) * cabin_c, cabin_c
    airs = [
        air_kg_s(path, volt, t, outside_w, pressure_pa)
        for path, volt, t in zip((whole.plant.air_path, rear.air_path), motors, moved_c, strict=True)
    ]
    plant = Plant(**{name: getattr(flat, name)[0].item() for name in Plant.__dataclass_fields__})
    legs = []
    for (_, flow), coil, model, line in zip(
        airs,
        answer.coils,
        (whole.plant.evaporator, rear.evaporator),
        (rear.front_line, rear.line),
        strict=True,
    ):
        assert line is not None
        legs.append(
            replace(
                plant, air_kg_s=flow, air_in_c=coil.air_in_c, air_in_w=coil.air_in_kg_kg,
                evap_ua_air_w_k=model.ua_air_w_k, evap_ref_air_kg_s=model.ref_air_kg_s,
                evap_ua_ref_w_k=model.ua_ref_w_k, suction_length_m=line.length_m, suction_bore_m=line.bore_m,
                suction_k=line.loss_factor,
            )
        )  # fmt: skip
    return [m3_h for m3_h, _ in airs], solve_two_directly("R-134a", plant, (legs[0], legs[1]))


def test_random_plants_are_those_of_the_direct_solution_at_the_rear_blowers_own_volts_and_step(
    sampled: Sampled,
) -> None:
    # oracle: fluids for the air, tests.reference.direct_two_coils for the circuit
    asked = plants()
    answers = [answers_at(whole, (duty,), with_holds=False)[0] for whole, duty, _ in asked]
    assert {answer.status for answer in answers} == {"full", "freeze-limited"}
    assert {number for _, _, number in asked} == {1, 2, 3}
    for (whole, duty, number), answer in sampled(zip(asked, answers, strict=True), 10):
        flows, circuit = directly(whole, duty, number, answer)
        told = {
            "capacity_w": [c.capacity_w for c in answer.coils],
            "sensible_w": [c.capacity_sensible_w for c in answer.coils],
            "flow_kg_s": [c.flow_g_s / 1000 for c in answer.coils],
            "power_w": answer.power_w,
            "duty": answer.duty_share,
        }
        np.testing.assert_allclose([c.airflow_m3_h for c in answer.coils], flows, rtol=1e-3)
        for name, value in told.items():
            np.testing.assert_allclose(value, circuit[name], rtol=1e-3, err_msg=name)
        np.testing.assert_allclose([c.surface_c for c in answer.coils], circuit["surface_c"], atol=0.02)
        np.testing.assert_allclose(
            [c.evaporating_c for c in answer.coils], circuit["evaporating_c"], atol=0.02
        )


@pytest.mark.parametrize("share", [0.0, -0.5])
def test_a_rear_blower_that_stands_still_is_refused_with_a_sentence(share: float) -> None:
    whole, duty, number = plants()[0]
    rear = whole.plant.rear
    assert rear is not None
    still = replace(rear, blower_steps=((number, share),))
    (answer,) = answers_at(replace(whole, unit=replace(whole.plant, rear=still)), (duty,), with_holds=False)
    assert answer.verdict == "not sized"
    told = "Coupé, Cruise: rear coil: The blower needs a voltage above zero and a step share above 0 up to 1"
    assert answer.missing[0].sentence.startswith(told)


def test_two_equal_units_are_one_of_double_size_at_double_air() -> None:
    # limiting case: two blowers at the same step and volts, two coils at the junction, against one coil with both airs
    whole, duty, _ = plants()[1]
    rear, plant = whole.plant.rear, whole.plant
    assert rear is not None
    cabin = replace(whole.car.cabin, flap_leak_share=0.0)
    sealed = replace(whole, car=replace(whole.car, cabin=cabin))
    outlets = tuple(replace(o, code=f"rear {o.code}") for o in plant.air_path.outlets)
    twin = replace(
        rear,
        evaporator=plant.evaporator,
        air_path=replace(plant.air_path, outlets=outlets),
        line=Line(0.0, 0.0127, 0.0),
        front_line=None,
        blower_steps=plant.blower_steps,
        circuit_loses_more_v=0.0,
    )
    (two,) = answers_at(replace(sealed, unit=replace(plant, rear=twin)), (duty,), with_holds=False)
    path, blower = plant.air_path, plant.air_path.blower
    double = replace(
        path,
        blower=replace(
            blower,
            curve=tuple((2 * q, p) for q, p in blower.curve),
            current=tuple((2 * q, 2 * a) for q, a in blower.current),
        ),
        intake=replace(path.intake, rated_m3_h=2 * path.intake.rated_m3_h),
        coil=replace(path.coil, rated_m3_h=2 * path.coil.rated_m3_h),
        outlets=(*path.outlets, *outlets),
    )
    one_plant = replace(plant, rear=None, evaporator=smaller(plant.evaporator, 2.0), air_path=double)
    (one,) = answers_at(replace(sealed, unit=one_plant), (duty,), with_holds=False)
    assert two.coils[0].capacity_w == pytest.approx(two.coils[1].capacity_w, rel=1e-3)
    for name in (
        "airflow_m3_h",
        "capacity_w",
        "capacity_sensible_w",
        "flow_g_s",
        "power_w",
        "condensate_kg_h",
    ):
        assert getattr(two, name) == pytest.approx(getattr(one, name), rel=1e-3), name
