"""Defects of steps, of one fitment, and of cars within their line."""

from datetime import date

from kits.bom.step_models import KitStep
from kits.editing.changes import RowEdit
from kits.fitment.models import ChargeRecord, RouteLength
from tests.kits.findings.defect import Defect, add, change, changed, edits, remove

K = "s4-dash"
POINTS = ("cruise-35", "town-35", "idle-35")
MEASURED = {"origin_kind": "measured", "origin_on": date(2026, 11, 1)}


def _gone(model, **which):
    """Recorded values are only added on screen and steps take their readings along: these go by hand."""

    def spoil(manager):
        assert model.objects.filter(**which).delete()[0]

    return spoil


STEPS = (
    Defect(
        "a part that no step fits", change("Steps", K, "fan", fits_positions="113, 603"), "position-no-step", "CP12L",
        "fits_positions", "steps", given=(("kind", "fit"), ("fits_positions", "114")),
    ),
    Defect(
        "a joint that no step connects", change("Steps", K, "connect-j7", joins_joints=""), "joint-no-step", "CP12L",
        "joins_joints", "steps", given=(("kind", "connect"), ("joins_joints", "J7")),
    ),
    Defect(
        "a joint that is connected twice", change("Steps", K, "connect-j8", joins_joints="J7, J8"), "joint-two-steps",
        "CP12L", "joins_joints", "steps", (K, "connect-j8"),
    ),
    Defect(
        "a circuit that no step tests", change("Steps", K, "test-supply", wires_circuits="501/1"), "circuit-no-test",
        "CP12L", "wires_circuits", "steps", spared="CP6R", given=(("kind", "test"), ("wires_circuits", "501/2")),
    ),
    Defect(
        "a vacuum before the pressure test", change("Steps", K, "pressure-test", step_order=645), "step-order",
        "CP12L CP6R", "step_order", "steps", (K, "evacuate"),
    ),
    Defect(
        "the battery taken off after work has begun", change("Steps", K, "battery-off-12", step_order=95),
        "step-order", "CP12L", "step_order", "steps", (K, "battery-off-12"), spared="CP6R",
    ),
    Defect(
        "a joint made after the drier was opened", change("Steps", K, "connect-j1", step_order=505), "step-order",
        "CP12L", "step_order", "steps", (K, "connect-j1"),
    ),
    Defect(
        "no vacuum at all", _gone(KitStep, kit__code="S4-DASH", key="EVACUATE"), "pattern-missing", "CP12L", "pattern",
        "steps", given=(("kind", "evacuate"), ("pattern", "vacuum")),
    ),
    Defect(
        "wires laid with the battery on", _gone(KitStep, kit__code="S4-DASH", key__startswith="BATTERY-OFF"),
        "pattern-missing", "CP12L CP6R", "pattern", "steps", given=(("kind", "prepare"), ("pattern", "battery-off")),
    ),
    Defect(
        "a circuit that nobody sniffs at under gas", _gone(KitStep, kit__code="S4-DASH", key="LEAK-GAS"),
        "pattern-missing", "CP12L CP6R", "pattern", "steps", given=(("pattern", "leak-search"),),
    ),
    Defect(
        "a gauge whose number nobody writes down", remove("Readings", K, "pressure-test", 1), "blank-missing",
        "CP12L CP6R", "name", "readings", given=(("step_key", "PRESSURE-TEST"), ("answers", "gauge")),
    ),
    Defect(
        "a vacuum that may rise too far", change("Readings", K, "evacuate", 6, high=500), "blank-looser", "CP12L CP6R",
        "high", "readings", (K, "evacuate", 6),
    ),
    Defect(
        "a certificate that is only ticked", change("Readings", K, "charge", 2, writes="tick"), "blank-other",
        "CP12L CP6R", "writes", "readings", (K, "charge", 2),
    ),
    Defect(
        "grams judged by a typed limit", change("Readings", K, "charged", 3, limit_from="fixed", low=500, high=900),
        "blank-other", "CP12L CP6R", "limit_from", "readings", (K, "charged", 3),
    ),
    Defect(
        "a compressor started before it is looked at", change("Steps", K, "before-start", step_order=665),
        "pattern-order", "CP12L", "step_order", "steps", (K, "charge-run"), spared="CP6R",
    ),
    Defect(
        "a pressure test that nobody signs", change("Steps", K, "pressure-test", hold_point=False), "pattern-no-hold",
        "CP12L CP6R", "hold_point", "steps", (K, "pressure-test"),
    ),
    Defect(
        "a leak search by way of fitting", change("Steps", K, "leak-gas", kind="fit"), "pattern-kind", "CP12L CP6R",
        "kind", "steps", (K, "leak-gas"),
    ),
    Defect(
        "a leak search that names no joint", change("Steps", K, "leak-gas", text="Sniff everywhere."), "pattern-text",
        "CP12L CP6R", "text", "steps", (K, "leak-gas"),
    ),
    Defect(
        "a petrol car whose high voltage is proved dead", change("Steps", K, "wire-fan", standard_caution="hv-dead"),
        "caution-untrue", "CP12L CP6R", "standard_caution", "steps", (K, "wire-fan"),
    ),
    Defect(
        "gas told of in an empty circuit", change("Steps", K, "connect-j1", standard_caution="refrigerant"),
        "caution-untrue", "CP12L CP6R", "standard_caution", "steps", (K, "connect-j1"),
    ),
    Defect(
        "a drier open for longer than is asked", change("Steps", K, "connect-j4", minutes_min=9), "drier-minutes",
        "CP12L CP6R", "minutes_min", "steps", (K, "drier"),
    ),
    Defect(
        "a bag that is opened too late", edits(
            changed("Steps", K, "ring", text="Clean the crank pulley's face and hang {position:102} on its studs."),
            changed("Steps", K, "belt", text="{open:1}. {open:7}. Put on {position:103}."),
        ),
        "bag-late", "CP12L CP6R", "text", "steps", (K, "ring"),
    ),
    Defect(
        "a bag that nobody opens",
        change("Steps", K, "ring", text="Lay out {bag:1}. Hang {position:102} on its studs."),
        "bag-never", "CP12L CP6R", "text", "steps", (K, "ring"),
    ),
    Defect(
        "a bag that is opened twice",
        change("Steps", K, "control-tr", text="{open:5}. {open:6}. Fit {position:502} with {position:503}."),
        "bag-twice", "TR12L", "text", "steps", (K, "control-tr"), spared="CP12L",
    ),
    Defect(
        "a step that fits nothing", change("Steps", K, "fan", fits_positions="", text="Fit the fan.", tool=""),
        "step-filler", "CP12L", "fits_positions", "steps", (K, "fan"),
    ),
    Defect(
        "a step about a part that one car lacks", change("Steps", K, "heat-shield", option__carburettors=""),
        "step-empty", "CP12L", "text", "steps", (K, "heat-shield"), spared="CT12R",
    ),
    Defect(
        "a step about a position the kit does not have", change("Steps", K, "fan", text="Fit {position:999}."),
        "step-placeholder", "CP12L", "text", "steps", (K, "fan"),
    ),
    Defect(
        "a reading without a limit", change("Readings", K, "ring", 1, low=None, high=None), "reading-no-limits",
        "CP12L", "high", "readings", (K, "ring", 1),
    ),
    Defect(
        "a predicted reading that does not say what it reads", change("Readings", K, "run-cp", 8, predicted=""),
        "reading-unpredicted", "CP12L", "predicted", "readings", (K, "run-cp", 8), spared="TR12L",
    ),
    Defect(
        "a predicted reading in another unit", change("Readings", K, "run-cp", 7, unit="psi"), "reading-unpredicted",
        "CP12L", "unit", "readings", (K, "run-cp", 7), spared="TR12L",
    ),
    Defect(
        "a thing taken out and forgotten", remove("Originals", K, "belt", 2), "original-lost", "CP12L", "step_key",
        "originals", given=(("name", "fan blades"),),
    ),
    Defect(
        "a thing refitted and scrapped",
        add("Originals", kit="S4-DASH", step_key="BACK-NOSE", number=9, name="Fan blades", fate="scrapped"),
        "original-twice", "CP12L", "fate", "originals", (K, "back-nose", 9),
    ),
)  # fmt: skip

FITMENTS = (
    Defect(
        "a length that nobody took",
        _gone(RouteLength, fitment__variant__code="CP12R", route__code="LIQ-R"),
        "length-missing", "CP12R", "length_mm", "lengths", line="S4", spared="CT12R",
        given=(("kit", "S4-DASH"), ("variant", "CP12R"), ("route", "LIQ-R")),
    ),
    Defect(
        "a length outside the spread of another",
        add(
            "Lengths", kit="S4-DASH", variant="CP12L", route="LIQ-L", length_mm=1560.0, cars_count=1,
            **MEASURED,
        ),
        "length-outside", "CP12L", "length_mm", "lengths", line="S4", spared="CP6L", given=(("route", "LIQ-L"),),
    ),
    Defect(
        "lengths that scatter more than the slack",
        add(
            "Lengths", kit="S4-DASH", variant="CP12L", route="LIQ-L", length_mm=1480.0, cars_count=4,
            spread_mm=90.0, **MEASURED,
        ),
        "length-spread", "CP12L", "length_mm", "lengths", line="S4", given=(("route", "LIQ-L"),),
    ),
    Defect(
        "no charge recorded", _gone(ChargeRecord, fitment__variant__code="CP12R"), "charge-missing", "CP12R",
        "charge_g", "charges", line="S4", spared="CP12L", given=(("kit", "S4-DASH"), ("variant", "CP12R")),
    ),
    Defect(
        "a charge with a digit too many",
        add("Charges", kit="S4-DASH", variant="CP12R", charge_g=6300.0, tolerance_g=25.0, origin_kind="weighed"),
        "charge-volume", "CP12R", "charge_g", "charges", line="S4", spared="CP12L", given=(("variant", "CP12R"),),
    ),
    Defect(
        "a mark of calibration without a trial", change("Fitments", K, "cp12l", calibrated=True),
        "calibrated-no-trial", "CP12L", "airflow_m3_h", "air-trials", line="S4", spared="CP12R",
        given=(("kit", "S4-DASH"), ("variant", "CP12L")),
    ),
    Defect(
        "a duty set that requires nothing",
        edits(*(changed("Duty set points", "summer-35", point, required=False) for point in POINTS)),
        "duty-none-required", "CP12L CP6R", "required", "duty-set-points", ("summer-35", "cruise-35"),
    ),
    Defect(
        "a gas that the law forbids in the car",
        change("Market rules", "home", "gwp-150", effect="forbids"),
        "market-forbids", "CP12L", "refrigerant", "kits", (K,),
    ),
    Defect(
        "a law about a category that nobody recorded",
        edits(
            changed("Market rules", "home", "gwp-150", effect="forbids"),
            changed("Variants", "cp12l", vehicle_category=""),
        ),
        "market-category-missing", "CP12L", "vehicle_category", "variants", ("cp12l",), "S4", "CP12R",
    ),
    Defect(
        "a car that the kit is not offered for",
        edits(
            *(
                RowEdit("change", "Offers", (K, market), {"option:electrics": "12v"})
                for market in ("home", "us")
            )
        ),
        "offer-missing", "CP6L", "option:electrics", "offers", (K, "us"), "S4", "CP12L",
    ),
)  # fmt: skip

CARS = (
    Defect(
        "chassis numbers of two cars", change("Chassis", "cp12l", "s4c/l", 20418, first=20000), "chassis-overlap",
        "CP12L", "first", "chassis", ("cp12l", "s4c/l", 20000), "S4", "TR12L", on_car=True,
    ),
    Defect(
        "options that the line excludes", change("Variants", "cp6l", option__radiator="wide"), "car-excluded", "CP6L",
        "option:electrics", "variants", ("cp6l",), "S4", "CP12L", on_car=True,
    ),
    Defect(
        "two cars that no kit can tell apart",
        change(
            "Variants", "ct12r", option__carburettors="single", option__radiator="narrow",
            built_from=date(1965, 1, 1),
        ),
        "car-twin", "CT12R CP12R", "option:body", "variants", ("ct12r",), "S4", "CP12L", on_car=True,
    ),
    Defect(
        "a car that nobody surveyed", change("Variants", "tr12l", to_be_surveyed=True), "car-to-be-surveyed", "TR12L",
        "to_be_surveyed", "variants", ("tr12l",), "S4", "CP12L", on_car=True,
    ),
    Defect(
        "chassis numbers twice in one car",
        add("Chassis", variant="CP6R", prefix="s4x", first=50, last=90),
        "chassis-twice", "CP6R", "first", "chassis", ("cp6r", "s4x", 50), "S4", "CP12L", on_car=True,
    ),
)  # fmt: skip
