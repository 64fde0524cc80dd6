"""The sheets of kits, their routes and steps, and of kits in cars."""

from typing import Final

from kits.exchange.columns import LINE, ORIGIN, SHARED, TERMS, sheet_of

_KIT = {"kit": ("Kits", "kit")}
_POSITION = {"position": ("Positions", "kit position")}
_FITMENT = {"fitment": ("Fitments", "kit variant")}

KITS: Final = (
    sheet_of(
        "Kits",
        "kits.Kit",
        SHARED,
        "code* name! refrigerant!:choice oil oil_ml superheat_k subcooling_k freeze_mode:choice "
        "freeze_cut_out_c freeze_cut_in_c fan_on_bar_g high_cut_out_bar_g high_reset_bar_g low_cut_out_bar_g "
        "discharge_limit_c supply_voltage_v kit_current_a " + ORIGIN,
        purpose="The kits: refrigerant, oil, freeze control, pressure limits. The kit's current is that with "
        "everything on, the blowers at full speed and at their rated voltage (13.5 V of most 12 V motors).",
    ),
    sheet_of("Markets", "kits.Market", SHARED, "code* name!", purpose="Where kits are sold."),
    sheet_of(
        "Market rules",
        "kits.MarketRule",
        SHARED,
        "market* code* vehicle_category:choice refrigerant above_gwp effect!:choice text! "
        "in_force_from:date in_force_until:date source!",
        {"market": ("Markets", "market")},
        purpose="What a market forbids, asks or tells, from when, with the source.",
    ),
    sheet_of(
        "Offers",
        "kits.KitOffer",
        LINE,
        "kit* market* duty_set!",
        {**_KIT, "market": ("Markets", "market"), "duty_set": ("Duty sets", "duty_set")},
        of_line=True,
        options=(TERMS, "kits.OfferTerm", "offer"),
        purpose="Which kits are offered for this line, where, and held against which duty set.",
    ),
    sheet_of(
        "Positions",
        "kits.Position",
        SHARED,
        "kit* number*:whole name! zone! bag role rule:choice hold_spacing_mm",
        _KIT,
        purpose="The numbered places of a kit's parts list.",
    ),
    sheet_of(
        "Entries",
        "kits.Entry",
        SHARED,
        "kit* position*:whole number*:whole part_number!:text quantity:decimal in_force_from:date "
        "in_force_until:date alternate:yes",
        {**_POSITION, "part": ("Parts", "part_number")},
        options=(TERMS, "kits.EntryTerm", "entry"),
        purpose="Which part fills a position, how many of it, and for which options.",
    ),
    sheet_of(
        "Routes",
        "kits.Route",
        LINE,
        "code* name! heat_note rock_mm tightest_bend_mm " + ORIGIN,
        of_line=True,
        purpose="Named paths through the car, for hoses and wires.",
    ),
    sheet_of(
        "Hose runs",
        "kits.HoseRun",
        SHARED,
        "kit* position*:whole number*:whole route! hose! end_a!:text end_b!:text clocking_deg slack_share "
        "slack_min_mm sleeve service_port crimp_place:choice tag! " + ORIGIN,
        {
            **_POSITION,
            "route": ("Routes", "route"),
            "hose": ("Parts", "hose"),
            "end_a": ("Parts", "end_a"),
            "end_b": ("Parts", "end_b"),
        },
        options=(TERMS, "kits.HoseRunTerm", "hose_run"),
        purpose="The hoses of a kit: route, hose, ends, clocking.",
    ),
    sheet_of(
        "Joints",
        "kits.Joint",
        SHARED,
        "kit* code* position_a!:whole port_a!:text position_b!:whole port_b!:text clip_position:whole",
        {
            **_KIT,
            "position_a": ("Positions", "kit position_a"),
            "position_b": ("Positions", "kit position_b"),
            "clip_position": ("Positions", "kit clip_position"),
        },
        purpose="Which port is joined to which: the closed loop.",
    ),
    sheet_of(
        "Harness branches",
        "kits.HarnessBranch",
        SHARED,
        "kit* position*:whole number*:whole route! covering",
        {**_POSITION, "route": ("Routes", "route")},
        purpose="The branches of a harness and the route each takes.",
    ),
    sheet_of(
        "Circuits",
        "kits.Circuit",
        SHARED,
        "kit* position*:whole number*:whole from_connector! from_cavity! to_connector! to_cavity! colour! "
        "section_mm2! length_mm terminal seal fuse_a current_a diode_band:choice branch:whole " + ORIGIN,
        {**_POSITION, "branch": ("Harness branches", "kit position branch")},
        options=(TERMS, "kits.CircuitTerm", "circuit"),
        purpose="The wires of a kit, from a cavity to a cavity.",
    ),
    sheet_of(
        "Steps",
        "kits.KitStep",
        SHARED,
        "kit* key* step_order!:whole zone! kind!:choice text! minutes_min tool caution pattern:choice "
        "standard_caution:choice hold_point:yes photo:yes in_force_from:date in_force_until:date "
        "fits_positions:list joins_joints:list wires_circuits:list",
        _KIT,
        options=(TERMS, "kits.StepTerm", "step"),
        purpose="The installation, step by step, with what each step fits, joins and wires.",
    ),
    sheet_of(
        "Readings",
        "kits.ReadingSpec",
        SHARED,
        "kit* step_key* number*:whole name! writes:choice unit low:decimal high:decimal limit_from:choice "
        "predicted:choice answers",
        {"step": ("Steps", "kit step_key")},
        purpose="What is read at a step, and the limits it must keep.",
    ),
    sheet_of(
        "Originals",
        "kits.StepOriginal",
        SHARED,
        "kit* step_key* number*:whole name! fate!:choice",
        {"step": ("Steps", "kit step_key")},
        purpose="What a step does with the car's own things: removed, refitted, kept, scrapped, cut, drilled.",
    ),
    sheet_of(
        "Fitments",
        "kits.Fitment",
        LINE,
        "kit* variant* condenser_place:choice ram_share fan_installed_share air_on_rise_idle_k "
        "air_on_rise_cruise_k suction_gain_k blower_voltage_v intake:choice calibrated:yes note " + ORIGIN,
        {**_KIT, "variant": ("Variants", "variant")},
        purpose="A kit in a variant: where the condenser sits, how warm its air is.",
    ),
    sheet_of(
        "Lengths",
        "kits.RouteLength",
        LINE,
        "kit! variant! route! length_mm! cars_count:whole spread_mm " + ORIGIN,
        {**_FITMENT, "route": ("Routes", "route")},
        append_only=True,
        purpose="Measured lengths of routes in a fitment. A better value is another row.",
    ),
    sheet_of(
        "Charges",
        "kits.ChargeRecord",
        LINE,
        "kit! variant! charge_g! tolerance_g " + ORIGIN,
        _FITMENT,
        append_only=True,
        purpose="Refrigerant charges of a fitment. A better value is another row.",
    ),
    sheet_of(
        "Air trials",
        "kits.AirTrial",
        LINE,
        "kit! variant! airflow_m3_h! blower_static_pa! motor_voltage_v! air_c " + ORIGIN,
        _FITMENT,
        append_only=True,
        purpose="What a fitted car's blower was measured to move. The newest row that wins calibrates the air side.",
    ),
    sheet_of(
        "Plateau steps",
        "kits.PlateauStep",
        LINE,
        "kit* variant* trial*:text charge_g* engine_rpm! ambient_c! subcooling_k! high_side_bar_g! vent_c! "
        + ORIGIN,
        _FITMENT,
        purpose="A charge found by filling in steps: what was read after each step.",
    ),
)
