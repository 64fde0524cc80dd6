"""A small kit in an invented car and an answer of the sizing: what the documents are tried on."""

from datetime import UTC, date, datetime
from decimal import Decimal

from kits.bom.resolved import (
    Charge,
    Finding,
    Hose,
    HoseEnd,
    Item,
    Joint,
    Reading,
    ResolvedKit,
    Step,
    Wire,
)
from kits.documents.source import DocumentSource
from kits.sizing.verdict.record import Criterion, DutyAnswer, LeverAnswer, RunTest, RunTestPoint, SizingRecord
from kits.sizing.words.gap import Gap
from vehicles.physics.origin import Kind, Origin

ON = date(2026, 3, 2)
SIZED_AT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
MEASURED = Origin(Kind.MEASURED, "dummy hose", "M. Ferro", date(2026, 2, 3))
PROTOTYPE = Finding(
    "part-prototype",
    "blocks",
    "part:KW-310",
    "Dash panel (KW-310 B) is still a prototype: not for a production box.",
)
WARNING = Finding("position-no-step", "warns", "position:140", "Position 140 is filled, but no step fits it.")


def item(
    position,
    part,
    name,
    quantity="1",
    unit="pc",
    *,
    zone="engine bay",
    bag="E1",
    maturity="released",
    children=(),
):
    """A line of the parts list."""
    return Item(
        position,
        zone,
        bag,
        "",
        part,
        "B",
        name,
        unit,
        Decimal(quantity),
        maturity,
        None,
        "any",
        tuple(children),
    )


BOLT = item(110, "KW-900", "Bolt M8 × 25", "4")
BRACKET = item(
    110,
    "KW-100",
    "Compressor bracket",
    "2",
    children=(BOLT, item(110, "KW-901", "Washer 8", "8")),
)
ITEMS = (
    BRACKET,
    item(120, "KW-200", "Compressor, 7 pistons"),
    item(120, "KW-900", "Bolt M8 × 25", "3"),
    item(130, "KW-210", "Condenser", zone="nose", bag="N1"),
    item(210, "KW-310", "Dash panel", zone="cabin", bag="C1", maturity="prototype"),
    item(300, "KW-510", "Barrier hose #8", "1.243", "m"),
    item(300, "KW-530", "End #8, straight", "2"),
)
HOSES = (
    Hose(
        300,
        "Hose discharge",
        "H1",
        "DIS",
        "KW-510",
        "#8",
        10.3,
        HoseEnd("KW-530", "End #8, straight", 0, 20),
        HoseEnd("KW-531", "End #8, 90°", 90, 25),
        45,
        1180,
        MEASURED,
        35,
        1243,
        6.2,
        "heat sleeve",
        "high",
        "works",
    ),
    Hose(
        310,
        "Hose suction",
        "H2",
        "SUC",
        "KW-511",
        "#10",
        12.7,
        HoseEnd("KW-532", "End #10, straight", 0, 22),
        HoseEnd("KW-532", "End #10, straight", 0, 22),
        0,
        None,
        None,
        None,
        None,
        None,
        "",
        "",
        "car",
    ),
)
JOINTS = (
    Joint("J1", "Compressor D", "Hose discharge A", 120, 300, "#8", "#8 HNBR", 24.4, 31.2, "table"),
    Joint("J2", "Hose discharge B", "Condenser I", 300, 130, "pad", "", None, None, ""),
)
WIRES = (Wire(400, 1, "X1/1", "CLUTCH/1", "green", 1.5, 820.0, "6.3", "", 10.0, 4.2),)


def step(number, kind, text, zone="engine bay", **more):
    """A step with nothing but its text, unless said otherwise."""
    values = {
        "minutes_min": 10.0,
        "tool": "",
        "caution": "",
        "hold_point": False,
        "photo": False,
        "fits": (),
        "joints": (),
        "readings": (),
    }
    return Step(f"S{number:02d}", number, zone, kind, text, **(values | more))


STEPS = (
    step(
        1,
        "as-found",
        "Note the car as it stands.",
        "car",
        photo=True,
        hold_point=True,
        readings=(
            Reading("Charging voltage", "V", Decimal("13.2"), Decimal("14.8"), "fixed"),
            Reading("Old leaks", "", None, None, "fixed"),
        ),
    ),
    step(
        2,
        "fit",
        "Bolt the bracket to the block.",
        tool="torque wrench",
        fits=("Compressor bracket (KW-100)",),
        caution="The manifold stays hot for an hour.",
    ),
    step(3, "connect", "Join the discharge hose, O-ring oiled.", joints=("J1", "J2"), minutes_min=None),
    step(4, "fit", "Screw the panel under the dash.", "cabin", fits=("Dash panel (KW-310)",)),
    step(
        5,
        "pressure test",
        "Hold 10 bar g of dry nitrogen.",
        hold_point=True,
        minutes_min=30.0,
        readings=(Reading("Corrected drop", "bar", None, Decimal("0.05"), "fixed"),),
    ),
    step(
        6,
        "evacuate",
        "Pull the vacuum.",
        hold_point=True,
        readings=(Reading("Vacuum held", "Pa", None, Decimal("130"), "fixed"),),
    ),
    step(
        7,
        "charge",
        "Charge by mass on a scale.",
        hold_point=True,
        readings=(Reading("Charged", "g", None, None, "charge"),),
    ),
    step(
        8,
        "test",
        "Run at 1,500 rpm for ten minutes.",
        readings=(
            Reading("Head", "bar g", None, None, "prediction", predicted="high side"),
            Reading("Vent", "°C", None, None, "prediction", predicted="coldest vent"),
        ),
    ),
    step(9, "hand over", "Give the car back with its papers."),
)


def kit(**changes) -> ResolvedKit:
    """The sample kit, with fields changed by name."""
    values = {
        "kit": "DASH-1",
        "kit_name": "Dash kit",
        "line": "S4",
        "variant": "S4-LC",
        "variant_name": "Solenne S4 left coupé",
        "on": ON,
        "options": {"steering": "left"},
        "settings": {"refrigerant": "R-134a"},
        "items": ITEMS,
        "hoses": HOSES,
        "joints": JOINTS,
        "wires": WIRES,
        "charge": Charge(850.0, 25.0, Origin(Kind.WEIGHED), "PAG 46", 120.0),
        "steps": STEPS,
        "plant": {},
        "findings": (PROTOTYPE, WARNING),
    }
    return ResolvedKit(**(values | changes))


def empty_kit() -> ResolvedKit:
    """A kit with nothing in it."""
    return kit(
        items=(),
        hoses=(),
        joints=(),
        wires=(),
        steps=(),
        findings=(),
        charge=Charge(None, None, None, "", None),
    )


def duty(code, name, verdict, margin_share, **more) -> DutyAnswer:
    """A duty point that was solved."""
    values = {
        "kind": "town",
        "required": True,
        "limit": "airflow over the condenser",
        "sensible_w_by_term": {"glass": 1210.0, "engine_side": 900.0, "fresh_air": 300.0, "duct": -60.0},
        "latent_w_by_term": {"fresh_air": 250.0},
        "load_w": 2600.0,
        "load_sensible_w": 2350.0,
        "capacity_w": 2210.0,
        "capacity_sensible_w": 1900.0,
        "judged_at_c": 28.0,
        "holds_c": 29.4,
        "vent_c": 8.6,
        "airflow_m3_h": 312.0,
        "low_side_bar_g": 2.13,
        "high_side_bar_g": 17.46,
        "evaporating_c": 1.2,
        "condensing_c": 63.0,
        "discharge_c": 92.0,
        "condenser_air_c": 46.0,
        "compressor_rpm": 2100.0,
        "power_w": 1470.0,
        "criteria": (Criterion("margin", "At 28 °C the kit gives 2.2 kW against 2.6 kW.", False),),
    }
    return DutyAnswer(code=code, name=name, verdict=verdict, margin_share=margin_share, **(values | more))


def record(**changes) -> SizingRecord:
    """An answer with one duty point that fails, one that holds and one for information."""
    values = {
        "verdict": "not enough",
        "worst_duty_point": "T35",
        "margin_share": -0.192,
        "limit": "airflow over the condenser",
        "basis": "estimated",
        "load_uncertainty_share": 0.15,
        "capacity_uncertainty_share": 0.1,
        "duties": (
            duty("T35", "Town, 35 °C", "not enough", -0.192),
            duty(
                "C35",
                "Cruise, 35 °C",
                "strong enough",
                0.234,
                kind="cruise",
                capacity_w=3210.0,
                criteria=(Criterion("margin", "The kit gives 3.2 kW against 2.6 kW.", True),),
            ),
            DutyAnswer(
                "I40",
                "Idle, 40 °C",
                "idle",
                False,
                "not sized",
                missing=(Gap("powertrain.hot_idle_rpm", "powertrain:P1", "The hot idle speed is missing."),),
            ),
        ),
        "levers": (
            LeverAnswer(
                "film", "Solar film on side and rear glass", 180.0, 0.11, "not enough", -0.082, "estimate"
            ),
            LeverAnswer("flap", "Seal the intake flap", 30.0, 0.06, "not enough", -0.132, "estimate"),
        ),
        "smallest_change": "Solar film and flap, together: marginal.",
        "missing": (),
        "assumed": ("fins louvred",),
    }
    return SizingRecord(**(values | changes))


def of(resolved=None, answer=None, **changes) -> DocumentSource:
    """What a paper of a kit is drawn from, with the sample's answer and no market, unless said otherwise.

    The sample is not for production: it has a prototype, a hose that nobody measured, and is not enough.
    """
    values = {"sized_at": SIZED_AT, "is_stale": False}
    return DocumentSource(resolved or kit(), answer or record(), **(values | changes))


def unsized(resolved=None) -> DocumentSource:
    """The source of a fitment that nobody has sized."""
    return DocumentSource(resolved or kit(), None, None, False)


def sound_kit(**changes) -> ResolvedKit:
    """The sample without what keeps it from production."""
    return kit(**({"findings": (WARNING,), "hoses": HOSES[:1]} | changes))


def sound_record(**changes) -> SizingRecord:
    """An answer whose required duty point holds with less than the reserve."""
    one = duty("C35", "Cruise, 35 °C", "marginal", 0.034, kind="cruise")
    values = {
        "verdict": "marginal",
        "worst_duty_point": "C35",
        "duties": (one,),
        "run_test": RUN_TEST.run_test,
    }
    return record(**(values | changes))


def sound(resolved=None, answer=None, **changes) -> DocumentSource:
    """The source of a fitment that may be made."""
    return of(resolved or sound_kit(), answer or sound_record(), **changes)


def run_test_point(air_c, humidity_share, high_side, coldest_vent, **more) -> RunTestPoint:
    """A predicted state with the limits of two readings."""
    limits = {"high side": high_side, "coldest vent": coldest_vent}
    return RunTestPoint(air_c, humidity_share, "full", limits=limits, **more)


RUN_TEST = record(
    run_test=RunTest(
        1500.0,
        1900.0,
        8.0,
        15.0,
        (
            run_test_point(20.0, 0.5, (9.0, 12.5), (2.4, 6.4), cycles=True),
            run_test_point(30.0, 0.5, (14.0, 19.0), (5.0, 9.0)),
            RunTestPoint(40.0, 0.5, "high pressure", "the high-pressure switch would stop it"),
            RunTestPoint(40.0, 0.7, "out of range", "Condensing would be above 85 °C."),
        ),
    )
)
