"""What a point needs beyond the heat load's own inputs, each by its path and the place to mend it."""

from kits.sizing.case import Point
from kits.sizing.rear_blower import step_gap
from kits.sizing.record import Gap


def missing_for(point: Point) -> tuple[Gap, ...]:
    """Required inputs of the car and the mounting that are not there; empty when the point can be sized."""
    car, mounting, duty = point.case.car, point.case.mounting, point.duty
    wanted: list[tuple[bool, str, str, str]] = []
    if not point.case.plant.compressor.electric:
        if duty.engine_state == "idle":
            wanted.append((car.hot_idle_rpm is None, "powertrain", "hot_idle_rpm", "hot idle speed"))
        if duty.engine_state == "cruise":
            text = "engine speed by road speed"
            wanted.append((car.engine_rpm_per_km_h is None, "powertrain", "engine_rpm_per_km_h", text))
        text = "diameter of the pulley that drives the compressor"
        wanted.append((car.crank_pulley_mm is None, "powertrain", "crank_pulley_mm", text))
        wanted.append(
            (point.case.plant.pulley_mm is None, "kit", "compressor pulley_mm", "compressor pulley diameter")
        )
    wanted.append((car.system_voltage_v is None, "powertrain", "system_voltage_v", "system voltage"))
    wanted.append((car.duct_gain_w_k is None, "cabin", "duct_gain_w_k", "heat gain of the ducts"))
    wanted.append((car.matrix_leak_w is None, "cabin", "matrix_leak_w", "heat of the shut heater"))
    for name, text in (
        ("ram_share", "share of road speed at the condenser"),
        ("fan_installed_share", "installed share of the fan's air"),
        ("air_on_rise_idle_k", "condenser air-on rise at idle"),
        ("air_on_rise_cruise_k", "condenser air-on rise at cruise"),
        ("suction_gain_k", "temperature rise in the suction hose"),
        ("blower_voltage_v", "voltage at the blower motor"),
    ):
        wanted.append((getattr(mounting, name) is None, "fitment", name, text))
    if duty.kind == "idle":
        wanted.append((not car.charging_curve, "powertrain", "charging_curve", "charging curve"))
        wanted.append((car.base_load_a is None, "powertrain", "electrical_loads", "list of electrical loads"))
        wanted.append((car.battery_ah is None, "powertrain", "battery_ah", "battery capacity"))
        if not car.is_electric:
            wanted.append(
                ("idle" not in car.coolant_c, "powertrain", "coolant_c", "coolant temperature at hot idle")
            )
            wanted.append((car.coolant_limit_c is None, "powertrain", "coolant_limit_c", "coolant limit"))
    gaps = tuple(
        Gap(f"{owner}.{name}", car.where.get(owner, owner), f"{car.name}: the {text} is missing.")
        for is_missing, owner, name, text in wanted
        if is_missing
    )
    no_step = step_gap(point)
    return gaps if no_step is None else (*gaps, no_step)
