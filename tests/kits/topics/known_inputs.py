"""What a figure may show that was no argument of its calculation, and why; nothing else may.

By the calculation: the input's label, or RESULT for the figure itself, or NOT_CALLED, or EVERY for any input.
"""

from tests.kits.topics.shown import NOT_CALLED, RESULT

EVERY = "any input"

COMPARED = "is no input: what the figure is held against stands beside it"
SIZED = "the calculation ran when the fitment was sized; the topic tells its stored answer"
STATES = (
    "what goes in are densities and volumes, looked up in the refrigerant's tables for these states and parts"
)
AIR_BY_MASS = "goes in as a mass flow"
IN_A_SUM = "goes in as part of a sum"
AS_RADIUS = "goes in as a radius, with the wall it is added to"
IN_A_RESISTANCE = "goes in as a resistance"
ROUNDED_UP = "is told as the next whole millimetre that is enough"
PER_EXTENT = "the calculation gives it for a metre or a square metre; the figure is all of it"
OF_THE_COURSE = "is read off the course of temperatures that the calculation gives"
OF_STATES = "is the difference between two of the states that the calculation gives, or its heat by the flow"
THROUGH_THE_SUN = "goes in as the sun-warmed temperature that the outside air stands for, and as a film"

KNOWN: dict[str, dict[str, str]] = {
    "kits.sizing.air.airflow:calibrate": {NOT_CALLED: SIZED},
    "kits.sizing.heat.heating:fit_matrix": {NOT_CALLED: SIZED},
    "kits.sizing.verdict.judge:margin_of": {NOT_CALLED: SIZED},
    "kits.sizing.verdict.outlook:crossing_c": {NOT_CALLED: SIZED},
    "kits.sizing.machine.plant_figures:rms": {NOT_CALLED: SIZED},
    "kits.sizing.verdict.run_test:run_test_limits": {NOT_CALLED: SIZED},
    "kits.sizing.verdict.run_test:run_tests": {NOT_CALLED: SIZED},
    "kits.sizing.gas.readings:judge_readings": {NOT_CALLED: "the readings' page calls it with what is typed there"},
    "kits.sizing.mechanics.belt:air_rise_k": {
        "Limit": COMPARED,
        "Coolant at idle without the kit": COMPARED,
        "Coolant at cruise without the kit": COMPARED,
        "Rise of the air, at most that of the coolant": "is what the calculation gives",
    },
    "kits.sizing.mechanics.belt:belt_pull_n": {"Limit of the belt": COMPARED},
    "kits.sizing.gas.gases:gas_in_cabin_kg_m3": {"Lower flammable limit": COMPARED},
    "kits.sizing.electrics.idle_supply:idle_supply": {"Asked at least": COMPARED},
    "kits.sizing.electrics.idle_speed:engine_speed_for_current_rpm": {
        "Hot idle": COMPARED,
        "Loads of the car": IN_A_SUM,
        "Kit, everything on, on the battery's own volts": IN_A_SUM,
    },
    "kits.sizing.gas.charge:inventory_g": {EVERY: STATES},
    "kits.sizing.gas.charge:held_g": {"Bore": "goes in as the volume of one metre"},
    "kits.sizing.heat.condensation:flat_wall": {
        RESULT: PER_EXTENT, "Surface": PER_EXTENT, "Wall": IN_A_RESISTANCE,
    },
    "kits.sizing.heat.condensation:round_wall": {
        RESULT: PER_EXTENT, "Length": PER_EXTENT, "Bore": AS_RADIUS, "Wall of the duct": AS_RADIUS,
        "Wall of the hose": AS_RADIUS,
    },
    "kits.sizing.heat.condensation:flat_thickness_mm": {
        RESULT: ROUNDED_UP, "Wall": IN_A_RESISTANCE, "Dew point of outside air": IN_A_SUM,
        "Margin above the dew point": IN_A_SUM,
    },
    "kits.sizing.heat.condensation:round_thickness_mm": {
        RESULT: ROUNDED_UP, "Bore": AS_RADIUS, "Wall of the duct": AS_RADIUS, "Wall of the hose": AS_RADIUS,
        "Dew point of outside air": IN_A_SUM, "Margin above the dew point": IN_A_SUM,
    },
    "kits.topics.circuit.cycle_points:cycle_points": {RESULT: OF_STATES},
    "kits.sizing.machine.freeze_time:cycling": {
        RESULT: "cycles an hour follow from the seconds on and off that it gives"
    },
    "kits.sizing.heat.heating:matrix_heat": {"Air flow": AIR_BY_MASS},
    "kits.sizing.heat.heating:vent_with_heat_c": {
        RESULT: "is how far what the calculation gives lies above the vents without the heat",
        "Air flow": AIR_BY_MASS,
    },
    "kits.sizing.heat.heating:matrix_conductance_w_k": {
        RESULT: "a share has no calculation of its own: it names that of the heat it is made from",
        "Heat of the matrix": "follows from what the calculation gives",
        "Capacity": COMPARED,
    },
    "kits.sizing.verdict.outlook:weather": {"Water outside": "is worked out within, from the duty point's air"},
    "kits.sizing.cabin.pulldown:minutes_to_reach": {
        "How far the soaked cabin's air is above outside in the sun": "is where the course begins",
        "Open area of the windows in those minutes": "goes in as the air that it lets through",
    },
    "kits.sizing.cabin.pulldown:two_node_course": {
        RESULT: OF_THE_COURSE,
        "Area round the cabin": "goes in as a conductance",
        "Film between cabin air and what it touches": "goes in as a conductance",
        "Error of the steps": "comes with the course that the calculation gives",
        "Minutes in which a cold engine's coolant reaches its recorded temperature, evenly": (
            "goes in as a capacity that grows with time"
        ),
    },
    "kits.sizing.cabin.spot:inner_surface_c": {"Outside": THROUGH_THE_SUN, "Road speed": THROUGH_THE_SUN},
    "kits.sizing.gas.valve:valve_word": {
        "Share of an expansion valve's capacity above which it starves the coil": "a valve that hunts is held against "
        "the other share first",
    },
    "vehicles.heatload.sweep:design_day_sweep": {
        "Humidity in the cabin": "goes in as water per dry air",
        "Load of the duty point": COMPARED,
    },
}  # fmt: skip
