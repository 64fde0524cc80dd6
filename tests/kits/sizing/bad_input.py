"""A table of calculations with arguments that are good, and of each what is bad and how it is refused.

One row a function: the function, good arguments, and (place of the argument, bad value, part of the sentence).
That every number is refused when it is NaN needs no row; the test does it for all. What only the balance calls
within its own rounds (bypass factor, coil, heat of the condenser, efficiencies) checks nothing itself: the balance
refuses bad input before, row by row, in its own tests.
"""

from typing import Any, NamedTuple

from kits.sizing.air import blower, ducts
from kits.sizing.cabin import pulldown, spot
from kits.sizing.electrics import battery, electrics, idle_speed, idle_supply
from kits.sizing.gas import charge, gases, hoses, lines, readings
from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.heat import condensation, effectiveness, heating
from kits.sizing.machine import condenser
from kits.sizing.mechanics import belt, fasteners
from tests.by_name import by_name
from vehicles.heatload import exchange, films, glass, people

GAS = refrigerant("R-134a")
MATRIX = heating.MatrixModel(
    air_k_w=0.0095,
    water_k_w=0.0018,
    ref_air_kg_s=0.108,
    ref_coolant_l_min=8.0,
    air_exponent=0.6,
    water_exponent=0.8,
    worst_error_share=0.0,
    points=3,
)
CABIN = pulldown.Cabin(
    air_kj_k=2.8,
    mass_kj_k=45.0,
    exchange_w_k=100.0,
    air_gain_w=900.0,
    air_loss_w_k=26.0,
    mass_gain_w=2400.0,
    mass_loss_w_k=34.0,
)
INF = float("inf")
CURVE = battery.ChargingCurve(((650.0, 0.0), (1050.0, 22.0)))


class Row(NamedTuple):
    """A calculation with good arguments and what is bad."""

    function: Any
    good: tuple[Any, ...]
    bad: tuple[tuple[int, float, str], ...]

    @property
    def name(self) -> str:
        """Module and function, for the name of its test."""
        return f"{self.function.__module__.split('.')[-1]}.{self.function.__qualname__}"


def gas_p_sat(t: float) -> Any:
    """Saturation pressure of a gas of the tables."""
    return GAS.p_sat_pa(t)


def gas_t_sat(p: float) -> Any:
    """Saturation temperature of a gas of the tables."""
    return GAS.t_sat_c(p)


def gas_vapour(t: float, superheat: float) -> Any:
    """Density of superheated gas."""
    return GAS.vapour(t, superheat).rho


def gas_liquid(t: float, subcooling: float) -> Any:
    """Density of subcooled liquid."""
    return GAS.liquid(t, subcooling).rho


AIR_ROWS = (
    Row(
        ducts.friction_factor, (1e5, 0.001), ((0, 0, "Reynolds"), (0, -5, "Reynolds"), (1, -0.1, "roughness"))
    ),
    Row(ducts.air_viscosity_pa_s, (20,), ((0, 500, "°C"),)),
    Row(ducts.circle_area_m2, (0.06,), ((0, -0.06, "diameter"),)),
    Row(
        ducts.straight_loss_pa,
        (8, 1, 0.06, 0.0009, 1.2, 1.8e-5),
        ((0, -8, "velocity"), (1, -1, "length"), (2, 0, "diameter"), (4, 0, "above zero")),
    ),
    Row(ducts.minor_loss_pa, (8, 1.5, 1.2), ((1, -1, "loss"), (2, 0, "density"))),
    Row(ducts.flexible_duct_factor, (60, 4), ((0, 0, "duct"), (1, 31, "30"))),
    Row(blower.fan_laws, (0.5, 1.0, 1.0), ((0, -1, "ratio"), (2, 0, "ratio"))),
    Row(blower.speed_share, (12.0, 1.0, 13.5), ((0, 0, "voltage"), (1, 1.1, "share"), (2, 0, "voltage"))),
    Row(blower.flow_from_velocity_m3_h, (8, 25, 1.0), ((0, -8, "velocity"), (1, 0, "area"))),
    Row(blower.velocity_from_flow_m_s, (100, 25), ((0, -1, "flow"), (1, 0, "area"))),
)

REFRIGERANT_ROWS = (
    Row(gas_p_sat, (5,), ((0, 97, "outside the property tables"), (0, -61, "outside the property tables"))),
    Row(gas_t_sat, (3e5,), ((0, 0, "outside the property tables"), (0, -1e5, "outside the property tables"))),
    Row(
        gas_vapour, (5, 5), ((1, -1, "outside the property tables"), (1, 191, "outside the property tables"))
    ),
    Row(
        gas_liquid, (50, 5), ((1, -1, "outside the property tables"), (1, 41, "outside the property tables"))
    ),
    Row(
        lines.line_pressure_drop_pa,
        (0.03, 1.5, 0.0127, 2.0, 16.0, 1.1e-5),
        (
            (0, -0.03, "flow"),
            (1, -1, "length"),
            (2, 0, "bore"),
            (3, -1, "loss"),
            (4, 0, "density"),
            (5, 0, "viscosity"),
        ),
    ),
    Row(
        lambda t, drop: lines.saturation_loss_k(GAS, t, drop),
        (5, 1e4),
        ((1, 4e5, "outside the property tables"), (0, 120, "outside the property tables")),
    ),
    Row(lines.mean_void_fraction, (1100, 60, 0.2), ((2, 1.0, "quality"), (1, 1200, "below liquid"))),
    Row(lines.mean_two_phase_density, (1100, 60, 0.2), ((2, -0.1, "quality"),)),
    Row(hoses.hose_end_loss, (90, 0.5, 0.5), ((1, -0.5, "losses"), (2, -0.5, "losses"))),
    Row(hoses.hose_volume_ml, (12.7, 1.0), ((0, 0, "bore"), (1, -1, "length"))),
    Row(hoses.hose_velocity_m_s, (0.03, 12.7, 16), ((0, -0.03, "flow"), (1, 0, "bore"), (2, 0, "density"))),
    Row(
        hoses.oil_return_velocity_m_s,
        (12.7, 16, 950),
        ((0, 0, "bore"), (1, 0, "gas density"), (2, 10, "denser")),
    ),
    Row(
        lambda *a: by_name(hoses.suction_hose_loss_k, GAS, *a),
        (0.03, 1.5, 12.7, 2.0, 2.0, 5.0),
        (
            (0, -0.03, "flow"),
            (1, -1, "length"),
            (2, 0, "bore"),
            (3, -1, "loss"),
            (4, 120, "tables"),
            (5, -1, "tables"),
        ),
    ),
    Row(
        lambda *a: by_name(hoses.one_metre_more_k, GAS, *a),
        (0.03, 1.5, 12.7, 2.0, 2.0, 5.0),
        ((0, -0.03, "flow"), (2, 0, "bore")),
    ),
    Row(
        lambda *a: by_name(charge.zone_densities, GAS, *a).evaporating,
        (5, 55, 80, 5, 5, 3),
        ((0, 120, "tables"), (1, 120, "tables"), (2, 40, "tables"), (4, -1, "tables")),
    ),
    Row(charge.held_g, (100, 1000), ((0, -1, "volume"), (1, 0, "density"))),
    Row(
        charge.receiver_g, (300, 1000, 50, 100), ((0, -1, "receiver"), (3, 301, "reserve"), (2, 0, "liquid"))
    ),
    Row(charge.charge_difference_pct, (600, 650), ((0, 0, "above zero"), (1, -5, "above zero"))),
    Row(gases.co2_equivalent_kg, (600, 1430), ((0, 0, "charge"), (1, -1, "potential"))),
    Row(gases.gas_in_cabin_kg_m3, (600, 2.0), ((0, 0, "charge"), (1, 0, "volume"))),
    Row(gases.oil_balance_ml, (120, 30, 20), ((0, -1, "Oil"), (2, 151, "Oil"))),
    Row(gases.oil_to_add_ml, (150, 120), ((0, -1, "Oil"), (1, -1, "Oil"))),
)

EXCHANGER_ROWS = (
    Row(
        lambda n, c: effectiveness.effectiveness_from_ntu(n, c, "crossflow"),
        (1, 0.5),
        ((0, -1, "NTU"), (1, 1.1, "NTU")),
    ),
    Row(lambda e, c: effectiveness.ntu_from_effectiveness(e, c, "counterflow"), (0.5, 0.5), ((0, 1, "NTU"),)),
    Row(
        lambda *a: by_name(condenser.installed_air, *a, 40.0).m3_h,
        (1600, 0.6, 50, 0.2, 0.18),
        ((0, -1, "fan"), (1, 1.1, "share"), (2, -5, "road speed"), (4, 0, "face")),
    ),
    Row(heating.air_mass_flow_kg_s, (300, 0), ((0, 0, "flow"), (0, -300, "flow"))),
    Row(
        lambda air, water: heating.matrix_conductance_w_k(MATRIX, air, water),
        (0.1, 8),
        ((0, 0, "air flow"), (1, -1, "coolant")),
    ),
    Row(
        lambda *a: heating.matrix_heat(MATRIX, *a).heat_w,
        (0.1, 0, 8, 85),
        ((0, 0, "air flow"), (2, -1, "coolant")),
    ),
    Row(heating.vent_with_heat_c, (8, 300, 0.1), ((2, 0, "above 0"), (2, -0.1, "above 0"))),
    Row(lambda *a: heating.heat_against_need(*a).margin_share, (5000, 4000, 0.2), ((2, -0.1, "reserve"),)),
)

WALL_ROWS = (
    Row(lambda t: condensation.conductivity_w_mk("elastomeric", t), (10,), ((0, 100, "°C"), (0, -50, "°C"))),
    Row(
        lambda *a: condensation.flat_wall(*a).heat,
        (4, 27, 25, 0.1, 8),
        ((2, 0, "film"), (3, -1, "resist"), (4, 0, "film")),
    ),
    Row(
        lambda *a: by_name(condensation.round_wall, *a).heat,
        (4, 27, 25, 0.01, 0.012, 0.2, 0.02, 0.04, 8),
        ((3, 0, "radi"), (4, 0.009, "radi"), (6, 0.011, "radi"), (7, 0, "conductivit"), (8, 0, "film")),
    ),
    Row(
        condensation.flat_thickness_mm,
        (4, 27, 20, 25, 0.0, 0.04, 8),
        ((1, 3, "warmer"), (3, 0, "films"), (5, 0, "conductivity"), (6, -8, "films")),
    ),
    Row(
        condensation.round_thickness_mm,
        (4, 27, 20, 25, 0.01, 0.012, 0.2, 0.04, 8),
        ((4, 0, "radi"), (5, 0.009, "radi"), (7, -0.04, "conductivit")),
    ),
    Row(condensation.next_stock_mm, (4,), ((0, -1, "negative"),)),
    Row(condensation.trap_height_mm, (250, 5), ((0, INF, "pressure"), (1, -1, "reserve"))),
    Row(condensation.water_ml_min, (3,), ((0, -1, "water"),)),
    Row(condensation.warmer_by_k, (20, 15), ()),
    Row(films.driving_convection_w_m2k, (10,), ((0, -1, "velocity"),)),
    Row(films.outside_film_w_m2k, (50,), ((0, -1, "velocity"),)),
    Row(films.sol_air_c, (35, 0.7, 950, 13), ((1, 1.2, "absorptance"), (2, -5, "sun"), (3, 0, "film"))),
    Row(glass.pane_transmittance, (0.8, 0.8), ((0, 1.1, "cosine"), (1, 0.95, "91.7"))),
    Row(lambda tilt: glass.diffuse_cosines(tilt)[0], (60,), ((0, -1, "tilt"), (0, 181, "tilt"))),
    Row(
        exchange.opening_m3_s,
        (0.05, 0.3, 35, 25, 10),
        ((0, -0.05, "area"), (1, -0.3, "height"), (4, -1, "velocity")),
    ),
    Row(people.sensible_share, (25,), ()),
)

ENGINE_ROWS = (
    Row(electrics.temperature_factor, (60,), ((0, 201, "−60 and 200"),)),
    Row(electrics.resistance_ohm, (2.5, 3, 20), ((0, 0, "section"), (1, -1, "length"))),
    Row(electrics.conductor_temperature_c, (10, 2.5), ((0, -1, "current"), (1, 0.1, "section"))),
    Row(electrics.voltage_drop_v, (10, 2.5, 3), ((0, -1, "current"), (1, 0, "section"), (2, -1, "length"))),
    Row(
        electrics.smallest_section_mm2, (10, 3, 0.3), ((0, -1, "current"), (1, -1, "length"), (2, 0, "loss"))
    ),
    Row(electrics.protecting_fuse_a, (10, 2.5), ((0, -1, "fuse"), (1, 0.1, "fuse"))),
    Row(electrics.spare_current_a, (40, 15, 25), ((0, -1, "negative"), (2, -1, "negative"))),
    Row(electrics.high_voltage_current_a, (2000, 300), ((0, -1, "power"), (1, 0, "voltage"))),
    Row(
        lambda a: idle_speed.engine_speed_for_current_rpm(CURVE, a),
        (11.0,),
        ((0, 0, "above zero"), (0, -1, "above zero"), (0, INF, "above zero")),
    ),
    Row(
        lambda g, b, k, v: battery.battery_after_idle(g, b, k, v).volts,
        (10, 15, 20, 12),
        ((0, -1, "currents"), (2, -1, "currents"), (3, 48, "nominal")),
    ),
    Row(
        idle_supply.reading_v,
        (22, 3, 40, 12, 50, 12.0),
        (
            (0, -1, "currents"),
            (2, -1, "currents"),
            (3, 48, "nominal"),
            (4, 0, "capacity"),
            (5, 0, "above zero"),
        ),
    ),
    Row(
        idle_supply.plug_v,
        (12.3, 13.0, 13.8),
        ((0, -0.1, "not negative"), (1, 0, "above zero"), (2, 12.9, "not below")),
    ),
    Row(
        idle_supply.kit_as_read_a,
        (39.6, 19.2, 15.2),
        ((0, -1, "not negative"), (1, -1, "not negative"), (2, -1, "not negative"), (0, 3, "its blowers")),
    ),
    Row(
        idle_supply.kit_on_supply_a,
        (12.6, 35.6, 13.8, 13.0, 15.2),
        ((0, -0.1, "not negative"), (1, -1, "not negative"), (2, 12.9, "not above"), (3, 0, "above zero")),
    ),
    Row(
        lambda *given: by_name(idle_supply.idle_supply, *given).blower_v,
        (10, 6, 28, 12, 50, 13.8, 13, 13),
        (
            (0, -1, "currents"),
            (3, 48, "nominal"),
            (5, 12.9, "not above"),
            (6, 0, "above zero"),
            (7, 31, "whole kit"),
            (1, 5000, "leave volts"),
        ),
    ),
    Row(
        lambda x, d: belt.belt_run([0, x], [0, 0], [180, d], [False, False]).length_mm,
        (300, 120),
        ((0, 10, "belt"), (1, 0, "belt"), (1, -120, "belt")),
    ),
    Row(belt.belt_pull_n, (14, 120), ((0, -1, "torque"), (1, 0, "diameter"))),
    Row(belt.engagement_pull_n, (200,), ((0, -1, "negative"),)),
    Row(belt.driven_rpm, (800, 180, 120), ((0, -1, "speed"), (1, 0, "diameters"), (2, 0, "diameters"))),
    Row(belt.crank_torque_nm, (14, 180, 120), ((0, -1, "torque"), (2, 0, "diameters"))),
    Row(belt.air_rise_k, (5000, 0.5), ((0, -1, "heat"), (1, 0, "flow"))),
    Row(
        fasteners.tightening_torque_nm,
        (0.2, 8, 15000),
        ((0, 1, "nut factor"), (1, 0, "diameter"), (2, -1, "preload")),
    ),
    Row(lambda d: fasteners.proof_load_n(d, "8.8"), (8,), ((0, 9, "not among"),)),
    Row(
        pulldown.one_node_c,
        (300, 58, 38, 6e4, 45, -3100),
        ((0, -1, "Time"), (3, 0, "above 0"), (4, 0, "above 0")),
    ),
    Row(
        pulldown.one_node_seconds,
        (27, 58, 38, 6e4, 45, -3100),
        ((0, 59, "way"), (3, 0, "capacity"), (4, -45, "conductance")),
    ),
    Row(pulldown.mass_capacity_kj_k, (2.4, 20), ((0, 0, "above 0"), (1, -1, "above 0"))),
    Row(
        lambda air, mass, minutes: pulldown.two_node_course(
            CABIN, air, mass, lambda s, t: pulldown.Line(-2000.0, 0.0), minutes
        ).air_c[-1],
        (60.0, 60.0, 5.0),
        ((2, 0.0, "minutes"), (2, -5.0, "minutes")),
    ),
)

PEOPLE_ROWS = (
    Row(
        spot.jet_velocity_m_s, (8, 0.003, 0.7, 4.4), ((0, -8, "velocity"), (1, 0, "area"), (2, 0, "distance"))
    ),
    Row(spot.jet_temperature_c, (8, 35, 0.003, 0.7, 4.4, 0.8), ((2, 0, "area"), (5, 1.2, "share"))),
    Row(spot.jet_reach_m, (8, 0.003, 3, 4.4), ((2, 9, "velocity"), (2, 0, "velocity"))),
    Row(spot.projected_share, (45, 90), ((0, 91, "90°"), (1, 181, "180°"))),
    Row(spot.sun_field_w_m2, (400, 80, 50, 0, 0.8, 0.5, 0.3, 0.7, 0.2), ((0, -1, "Sun"), (4, 1.2, "shares"))),
    Row(spot.sun_rise_k, (60,), ((0, -1, "negative"),)),
    Row(spot.inner_surface_c, (70, 30, 3, 7.7), ((2, 9, "U value"), (3, 0, "film"))),
    Row(
        lambda t, area: spot.mean_radiant_c([t, 30.0], [area, 1.0]),
        (60, 2),
        ((0, -300, "temperatures"), (1, 0, "areas"), (1, -1, "areas")),
    ),
    Row(spot.operative_c, (25, 30, 0.5), ((2, -1, "velocity"),)),
    Row(
        lambda t, rh: readings.expected_bands(t, rh).vent_to_c,
        (30, 0.5),
        ((0, 45, "20 to 40"), (1, 0.9, "30 to 70")),
    ),
    Row(readings.humidity_beyond, (30, 0.5), ((0, 15, "20 to 40"), (1, 0.2, "30 to 70"))),
    Row(readings.rest_pressure_bar_g, (25,), ((0, 40, "15 to 35"),)),
)

ROWS = AIR_ROWS + REFRIGERANT_ROWS + EXCHANGER_ROWS + WALL_ROWS + ENGINE_ROWS + PEOPLE_ROWS
