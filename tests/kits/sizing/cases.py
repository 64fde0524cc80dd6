"""Whole fitments made by hand for the tests: an invented coupé with a plant of the usual size (common practice)."""

from dataclasses import replace
from typing import Any

from kits.sizing.air.air_path import AirPath, Outlet, Resistance
from kits.sizing.air.blower import BlowerData
from kits.sizing.case.case import Car, Case, Duty, Mounting
from kits.sizing.case.plant import Line, Plant, RearCoil
from kits.sizing.machine.compressor import CompressorModel, fit_efficiency
from kits.sizing.machine.evaporator import EvaporatorModel
from tests.kits.sizing.plants import COIL, CONDENSER, ISENTROPIC, VOLUMETRIC
from tests.vehicles.heatload.cars import COUPE, SUMMER
from vehicles.heatload.inputs import EngineTemperatures
from vehicles.physics.pressure import absolute_pa

COMPRESSOR = CompressorModel(146, 500, 6500, VOLUMETRIC, ISENTROPIC, electric=False)
ELECTRIC = CompressorModel(
    36, 800, 8000, fit_efficiency([3], [3000], [0.90]), fit_efficiency([3], [3000], [0.65]), electric=True
)
BLOWER = BlowerData(
    ((0, 420), (150, 390), (300, 290), (400, 180), (520, 0)),
    13.5,
    ((0, 14.0), (520, 14.0)),
    step_by_resistor=True,
)
OUTLETS = tuple(
    Outlet(
        code=f"{i}",
        diameter_mm=63,
        length_m=0.5,
        roughness_mm=0.9,
        minor_k=0.8,
        compression_percent=4,
        free_area_cm2=29,
        vent_k=0.7,
    )
    for i in range(1, 5)
)
AIR_PATH = AirPath(
    BLOWER, Resistance(40, 320, 2), Resistance(100, 320, 1.8), OUTLETS, coil_is_before_blower=False
)
PLANT = Plant(
    refrigerant="R-134a",
    compressor=COMPRESSOR,
    pulley_mm=120.0,
    evaporator=COIL,
    condenser=CONDENSER,
    condenser_face_m2=0.18,
    fan_free_m3_h=1800.0,
    air_path=AIR_PATH,
    suction=Line(1.5, 0.0127, 2.0),
    discharge=Line(1.0, 0.0103, 2.0),
    superheat_k=5.0,
    subcooling_k=5.0,
    freeze_mode="cycling",
    freeze_surface_c=2.0,
    high_cut_out_pa=absolute_pa(28.0),
    discharge_limit_c=115.0,
    supply_voltage_v=12.0,
    kit_current_a=28.0,
    assumed=(),
)
CAR = Car(
    name="Coupé",
    cabin=COUPE,
    engine=EngineTemperatures(),
    is_electric=False,
    hot_idle_rpm=800.0,
    engine_rpm_per_km_h=36.0,
    crank_pulley_mm=150.0,
    system_voltage_v=12.0,
    positive_earth=False,
    charging_curve=((600, 0), (800, 24), (1100, 40), (1600, 56), (6000, 65)),
    base_load_a=6.0,
    battery_ah=60.0,
    coolant_c={"idle": 94.0, "cruise": 86.0},
    coolant_limit_c=108.0,
    duct_gain_w_k=1.2,
    matrix_leak_w=100.0,
    where={"cabin": "cabin:C", "powertrain": "powertrain:P", "fitment": "fitment"},
)
MOUNTING = Mounting(
    ram_share=0.16,
    fan_installed_share=0.55,
    air_on_rise_idle_k=10.0,
    air_on_rise_cruise_k=4.0,
    suction_gain_k=3.0,
    blower_voltage_v=13.0,
    calibrated=False,
)


def duty(kind: str = "cruise", road_speed_km_h: float = 80.0, **climate: Any) -> Duty:
    """A required duty point in summer weather; parts of the weather can be changed by name."""
    state = "idle" if kind == "idle" else "cruise"
    speed = 0.0 if kind == "idle" else road_speed_km_h
    weather = replace(SUMMER, **({"road_speed_km_h": speed, "engine_state": state} | climate))
    return Duty(
        code=kind,
        name=kind.capitalize(),
        kind=kind,
        required=True,
        climate=weather,
        engine_state=state,
        engine_rpm=None,
        blower_share=1.0,
    )


CRUISE, TOWN, IDLE = duty(), duty("town", 30.0), duty("idle")


def case(*duties: Duty, reserve_share: float = 0.2, **changes: Any) -> Case:
    """The coupé with the plant; fields of plant, car and mounting can be changed by name."""
    plant, car, mounting = (
        replace(whole, **{k: v for k, v in changes.items() if k in whole.__dataclass_fields__})
        for whole in (PLANT, CAR, MOUNTING)
    )
    return Case(
        key=("K", "L", "V"),
        car=car,
        mounting=mounting,
        unit=plant,
        duties=duties or (CRUISE, TOWN, IDLE),
        reserve_share=reserve_share,
    )


def electric_case(*duties: Duty, **changes: Any) -> Case:
    """The same with an electric compressor of which the speed follows the load."""
    return case(*duties, **({"compressor": ELECTRIC, "freeze_mode": "speed-controlled"} | changes))


def half(path: AirPath) -> AirPath:
    """An air path of half the size: half the flow at the same pressures, half the outlets, half the current."""
    blower = replace(
        path.blower,
        curve=tuple((flow / 2, pa) for flow, pa in path.blower.curve),
        current=tuple((flow / 2, ampere / 2) for flow, ampere in path.blower.current),
    )
    intake, coil = (replace(r, rated_m3_h=r.rated_m3_h / 2) for r in (path.intake, path.coil))
    return replace(path, blower=blower, intake=intake, coil=coil, outlets=path.outlets[::2])


def smaller(model: EvaporatorModel, share: float) -> EvaporatorModel:
    """A coil that is a share of another one: at that share of its air it gives that share of its heat."""
    names = ("ua_air_w_k", "ref_air_kg_s", "ua_ref_w_k")
    return replace(model, **{name: share * getattr(model, name) for name in names})


def rear_coil(model: EvaporatorModel, path: AirPath, **changes: Any) -> RearCoil:
    """A rear coil that stands at the junction, its vents with codes of their own."""
    outlets = tuple(replace(o, code=f"rear {o.code}") for o in path.outlets)
    return replace(
        RearCoil(
            evaporator=model,
            air_path=replace(path, outlets=outlets),
            line=Line(0.0, PLANT.suction.bore_m, 0.0),
        ),
        **changes,
    )


def halves(whole: Case) -> Case:
    """The same with the coil and its air side in two halves."""
    coil, path = smaller(COIL, 0.5), half(AIR_PATH)
    return replace(
        whole, unit=replace(whole.plant, evaporator=coil, air_path=path, rear=rear_coil(coil, path))
    )
