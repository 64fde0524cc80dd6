"""Rows of a car and of duty points become what is sized."""

from collections.abc import Iterable, Mapping

from kits.sizing.case.case import Car, CarLoad, Duty, PulleyAt
from vehicles.cabin.bridge import cabin_data
from vehicles.catalogue.models import Variant
from vehicles.climate.bridge import climate_state
from vehicles.climate.models import DutyPoint
from vehicles.powertrain.bridge import engine_temperatures
from vehicles.records.bridge import origin_of


def duties_of(points: Iterable[tuple[DutyPoint, bool]]) -> tuple[Duty, ...]:
    """Duty points, each with whether it is required."""
    return tuple(
        Duty(
            code=p.code,
            name=p.name,
            kind=p.kind,
            required=required,
            climate=climate_state(p),
            engine_state=p.engine_state,
            engine_rpm=p.engine_rpm,
            blower_share=p.blower_share,
        )
        for p, required in points
    )


def car_of(variant: Variant, options: Mapping[str, str]) -> Car:
    """A variant with its cabin, its powertrain and all that hangs on them."""
    cabin, power = variant.cabin, variant.powertrain
    loads = list(power.electrical_loads.all())
    return Car(
        name=variant.name,
        cabin=cabin_data(cabin, options),
        engine=engine_temperatures(power),
        is_electric=power.drive == "electric",
        hot_idle_rpm=power.hot_idle_rpm,
        engine_rpm_per_km_h=power.engine_rpm_per_km_h,
        crank_pulley_mm=power.crank_pulley_mm,
        system_voltage_v=power.system_voltage_v,
        positive_earth=power.positive_earth,
        charging_curve=tuple((c.engine_rpm, c.current_a) for c in power.charging_curve.all()),
        base_load_a=sum(load.current_a for load in loads if load.by_day) if loads else None,
        battery_ah=power.battery_ah,
        coolant_c={s.engine_state: s.coolant_c for s in power.coolant_states.all()},
        coolant_limit_c=power.coolant_limit_c,
        duct_gain_w_k=cabin.duct_gain_w_k,
        matrix_leak_w=cabin.matrix_leak_w,
        pulleys=tuple(
            PulleyAt(
                code=p.code,
                x_mm=p.x_mm,
                y_mm=p.y_mm,
                diameter_mm=p.diameter_mm,
                groove=p.groove,
                order=p.belt_order,
                plane_mm=p.plane_mm,
                side=p.belt_side,
                drives=p.drives,
            )
            for p in power.pulleys.all()
        ),
        loads=tuple(
            CarLoad(i.name, i.current_a, i.by_day, i.by_night, i.in_rain, origin_of(i)) for i in loads
        ),
        coolant_flow_l_min={
            s.engine_state: s.coolant_flow_l_min
            for s in power.coolant_states.all()
            if s.coolant_flow_l_min is not None
        },
        generator_kind=power.generator_kind,
        high_voltage_v=power.high_voltage_v,
        where={
            "cabin": f"cabin:{cabin.code}",
            "powertrain": f"powertrain:{power.code}",
            "fitment": "fitment",
        },
        origins={"cabin": origin_of(cabin), "powertrain": origin_of(power)},
    )
