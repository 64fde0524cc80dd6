"""What is written down of the workbook: its sheets in order, and what their models do not say.

One sheet is one table. Its columns, key and references are read from its model (`kits/exchange/sheets/bridge.py`);
here stand its name, what it is for, and how it uses option columns. A sheet points only at sheets before it.
"""

from dataclasses import dataclass
from typing import Final

from kits.exchange.columns import NO_OPTIONS, ONE_EACH, SEVERAL, TERMS

FORMAT: Final = 1
ABOUT: Final = "About"
ABOUT_LINE: Final = "model line"
ABOUT_FORMAT: Final = "format"
ABOUT_COMPLETE: Final = "complete"


@dataclass(frozen=True)
class Table:
    """A sheet's name, its model, what it is for, and how its option columns are used."""

    name: str
    model: str
    purpose: str
    options: str = NO_OPTIONS


TABLES: Final = (
    Table("Model line", "vehicles.ModelLine", "The model line itself. One row."),
    Table("Features", "vehicles.Feature",
          "What cars differ in: steering side, roof, charging. Each feature heads a column of options."),
    Table("Options", "vehicles.Option", "What a feature can be: left, right."),
    Table("Line features", "vehicles.LineFeature", "Which features this line has."),
    Table("Line options", "vehicles.LineOption", "Which of their options exist in this line."),
    Table("Excluded", "vehicles.ExcludedCombination",
          "Options that never come together in this line, and why.", SEVERAL),
    Table("Cabins", "vehicles.Cabin",
          "The rooms to be cooled: volume, fresh air, leaks of flap, duct and heater."),
    Table("Leakage", "vehicles.CabinLeakage", "How much air a closed cabin leaks at a road speed."),
    Table("Seats", "vehicles.Seat",
          "Who sits where and does what: heat and moisture of people, and where their faces are."),
    Table("Surfaces", "vehicles.Surface",
          "Roof, sides, floor, glass, canvas: area, tilt, and how heat and sun pass. By option.", TERMS),
    Table("Layers", "vehicles.SurfaceLayer",
          "What a surface is made of, from outside to inside, in place of its U."),
    Table("Openings", "vehicles.Opening", "What is open while driving: windows without glass, an open back."),
    Table("Powertrains", "vehicles.Powertrain", "Engines or motors: idle speed, pulley, battery, limits."),
    Table("Pulleys", "vehicles.Pulley",
          "Where each pulley stands, seen from the front. "
          "The belt's order counts from 1, a second one's from 11."),
    Table("Charging", "vehicles.ChargingPoint", "What dynamo or alternator gives at an engine speed."),
    Table("Car loads", "vehicles.ElectricalLoad", "What the car itself draws, by day, by night, in rain."),
    Table("Engine side", "vehicles.EngineTemperature",
          "How warm bulkhead, tunnel, floor and lid get. A better value is another row."),
    Table("Coolant", "vehicles.CoolantState",
          "Coolant temperature and flow through the heater, idling and cruising."),
    Table("Variants", "vehicles.Variant",
          "The buildable cars: one option of each feature, a cabin, a powertrain.", ONE_EACH),
    Table("Chassis", "vehicles.ChassisRange", "Chassis numbers by which a car is told to be a variant."),
    Table("Sites", "vehicles.Site", "Places whose sun is worked out by date and hour."),
    Table("Design states", "vehicles.DesignState",
          "A clear, hot day of a month at a site: its air and its sky."),
    Table("Duty points", "vehicles.DutyPoint",
          "The climates and driving states to size for, with a fixed sun or the sun of a site."),
    Table("Bench points", "vehicles.BenchPoint",
          "The states in which compressors and systems are measured on a bench."),
    Table("Duty sets", "vehicles.DutySet", "Named sets of duty points, with the reserve they ask for."),
    Table("Duty set points", "vehicles.DutySetPoint",
          "Which duty points a set has, and which of them must be held."),
    Table("Parts", "kits.Part", "Everything with a part number, bought or made."),
    Table("Revisions", "kits.PartRevision",
          "The states of a part, each with its mass, volume and dates in force."),
    Table("Structure", "kits.StructureEdge", "What an assembly consists of."),
    Table("Ports", "kits.Port", "Where a part is joined: refrigerant, water, air, drain, wire."),
    Table("Compressors", "kits.CompressorData", "Technical data of compressors."),
    Table("Compressor points", "kits.CompressorPoint",
          "What a compressor moves and needs at a speed and pressure ratio."),
    Table("Evaporators", "kits.EvaporatorData", "Technical data of evaporators."),
    Table("Evaporator points", "kits.EvaporatorPoint", "What an evaporator takes out of air at a rated state."),
    Table("Condensers", "kits.CondenserData", "Technical data of condensers."),
    Table("Condenser points", "kits.CondenserPoint", "What a condenser gives to air at a rated state."),
    Table("Fans", "kits.FanData", "Technical data of condenser fans."),
    Table("Blowers", "kits.BlowerData", "Technical data of blowers."),
    Table("Blower curve", "kits.BlowerPoint", "Pressure and flow of a blower, point by point."),
    Table("Blower steps", "kits.BlowerStep",
          "The steps of a blower's switch: the share of the plug's voltage that reaches the motor."),
    Table("Ducts", "kits.DuctData", "Technical data of air ducts."),
    Table("Vents", "kits.VentData", "Technical data of outlets."),
    Table("Valves", "kits.ValveData", "Technical data of expansion valves."),
    Table("Driers", "kits.DrierData", "Technical data of receiver-driers."),
    Table("Switches", "kits.SwitchData", "Technical data of pressure switches."),
    Table("Hoses", "kits.HoseData", "Technical data of hose by the metre."),
    Table("Hose ends", "kits.HoseEndData",
          "Technical data of hose ends: what they add, and the ferrule they take."),
    Table("Crimps", "kits.Crimp",
          "How an end is crimped on hose of a wall family: ferrule, die, depth, diameter with its limits."),
    Table("Filters", "kits.FilterData", "Technical data of air filters."),
    Table("Matrices", "kits.MatrixData", "Technical data of heater matrices."),
    Table("Matrix points", "kits.MatrixPoint", "What a heater matrix gives to air at a rated state."),
    Table("Water valves", "kits.WaterValveData", "Technical data of water valves, with what leaks past."),
    Table("Insulation", "kits.InsulationData", "Technical data of insulation."),
    Table("Pulley data", "kits.PulleyData", "Technical data of pulleys as parts."),
    Table("Brackets", "kits.BracketData", "Technical data of brackets: their bolts and torques."),
    Table("Generators", "kits.GeneratorData", "Technical data of dynamos and alternators as parts."),
    Table("Generator curve", "kits.GeneratorPoint", "What a generator gives at its own speed."),
    Table("Harness data", "kits.HarnessData", "Technical data of harnesses: voltage and polarity."),
    Table("Connectors", "kits.ConnectorData", "Technical data of connectors."),
    Table("Controllers", "kits.ControllerData", "Technical data of controllers, with the software they carry."),
    Table("O-rings", "kits.ORingData", "Technical data of O-rings: size and rubber."),
    Table("Clips", "kits.ClipData",
          "Technical data of clips: worm drive, ear, spring or P-clip, and the hose they go round."),
    Table("Belts", "kits.BeltData",
          "Technical data of belts: the groove they run in, and their length on their line."),
    Table("Oils", "kits.OilData", "Technical data of oils to add: their family and ISO viscosity grade."),
    Table("Supersessions", "kits.Supersession", "Which part takes the place of which, from when."),
    Table("Suppliers", "kits.Supplier", "Whom parts are bought from."),
    Table("Supplier parts", "kits.SupplierPart", "Which part a supplier sells, under which number."),
    Table("Prices", "kits.PartPrice", "What a supplier's part costs, from a quantity and a date on."),
    Table("Kits", "kits.Kit",
          "The kits: refrigerant, oil, freeze control, pressure limits. The kit's current is that with "
          "everything on, the blowers at full speed and at their rated voltage (13.5 V of most 12 V motors)."),
    Table("Markets", "kits.Market", "Where kits are sold."),
    Table("Market rules", "kits.MarketRule",
          "What a market forbids, asks or tells, from when, with the source."),
    Table("Offers", "kits.KitOffer",
          "Which kits are offered for this line, where, and held against which duty set.", TERMS),
    Table("Positions", "kits.Position", "The numbered places of a kit's parts list."),
    Table("Entries", "kits.Entry",
          "Which part fills a position, how many of it, and for which options.", TERMS),
    Table("Routes", "kits.Route", "Named paths through the car, for hoses and wires."),
    Table("Hose runs", "kits.HoseRun", "The hoses of a kit: route, hose, ends, clocking.", TERMS),
    Table("Joints", "kits.Joint", "Which port is joined to which: the closed loop."),
    Table("Harness branches", "kits.HarnessBranch", "The branches of a harness and the route each takes."),
    Table("Circuits", "kits.Circuit", "The wires of a kit, from a cavity to a cavity.", TERMS),
    Table("Steps", "kits.KitStep",
          "The installation, step by step, with what each step fits, joins and wires.", TERMS),
    Table("Readings", "kits.ReadingSpec", "What is read at a step, and the limits it must keep."),
    Table("Originals", "kits.StepOriginal",
          "What a step does with the car's own things: removed, refitted, kept, scrapped, cut, drilled."),
    Table("Fitments", "kits.Fitment", "A kit in a variant: where the condenser sits, how warm its air is."),
    Table("Lengths", "kits.RouteLength",
          "Measured lengths of routes in a fitment. A better value is another row."),
    Table("Charges", "kits.ChargeRecord", "Refrigerant charges of a fitment. A better value is another row."),
    Table("Air trials", "kits.AirTrial",
          "What a fitted car's blower was measured to move. The newest row that wins calibrates the air side."),
    Table("Plateau steps", "kits.PlateauStep",
          "A charge found by filling in steps: what was read after each step."),
)  # fmt: skip

# The three list columns of the Steps sheet: field, what a step points at, and the sheet whose key is meant.
# A list holds "10, 20", "J1, J2" or "110/1, 110/2" (position/number) within the step's kit.
STEP_LISTS: Final = (
    ("fits_positions", "position", "Positions"),
    ("joins_joints", "joint", "Joints"),
    ("wires_circuits", "circuit", "Circuits"),
)
STEPS: Final = "Steps"

LINE_SHEET: Final = "Model line"
FITMENTS: Final = "Fitments"
SITES: Final = "Sites"
STRUCTURE: Final = "Structure"

# What is no column, and why; every other field of a sheet's model is one, or a reference to another sheet's row.
LEFT_OUT: Final = {
    "id": "counts rows here; a workbook knows a row by its key",
    "version": "counts changes here",
    "line": "the first sheet says which line it is",
    "recorded_at": "when the row was recorded here",
}
# What a column that names the row of another sheet is called, where that is not the name of the field.
REFERENCE_COLUMNS: Final = {
    "part": "part_number",
    "revision": "part_revision",
    "parent": "part_revision",
    "step": "step_key",
}

# What a row must hold beyond single cells, by the name of the database's own rule.
RULE_SENTENCES: Final = {
    "surface_absorbs_and_passes_at_most_all": "Absorptance and transmittance together are at most 1.",
    "variant_built_in_order": "Built until must be later than built from.",
    "duty_point_site_with_month_and_hour": "A site needs month and hour; without one month, day and hour stay empty.",
    "duty_point_one_sun": "The sun comes from the site; leave beam, diffuse and sun altitude empty or 0.",
    "duty_point_day_exists": "There is no such day in that month; 29 February is not counted.",
    "design_state_day_exists": "There is no such day in that month; 29 February is not counted.",
    "chassis_range_in_order": "The last number must not be below the first.",
    "part_revision_dates_in_order": "In force until must be later than in force from.",
    "entry_dates_in_order": "In force until must be later than in force from.",
    "step_dates_in_order": "In force until must be later than in force from.",
    "kit_oil_with_refrigerant": "A kit states the oil of its refrigerant; one that heats only has neither.",
    "reading_limits_in_order": "The high limit must not be below the low one.",
    "reading_number_has_unit": "A number has a unit; words, a tick, a date or a time have none.",
    "reading_limits_of_number": "Only a number has limits.",
}
