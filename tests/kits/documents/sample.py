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
MEASURED = Origin(Kind.MEASURED, source="dummy hose", by="M. Ferro", on=date(2026, 2, 3))
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
        position=position,
        zone=zone,
        bag=bag,
        role="",
        part=part,
        revision="B",
        name=name,
        unit=unit,
        quantity=Decimal(quantity),
        maturity=maturity,
        mass_g=None,
        why="any",
        children=tuple(children),
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
        position=300, name="Hose discharge", tag="H1", route="DIS", hose="KW-510", size="#8", bore_mm=10.3,
        end_a=HoseEnd("KW-530", "End #8, straight", 0, 20), end_b=HoseEnd("KW-531", "End #8, 90°", 90, 25),
        clocking_deg=45, routed_mm=1180, routed_origin=MEASURED, slack_mm=35, cut_mm=1243, tolerance_mm=6.2,
        sleeve="heat sleeve", service_port="high", crimp_place="works",
    ),
    Hose(
        position=310, name="Hose suction", tag="H2", route="SUC", hose="KW-511", size="#10", bore_mm=12.7,
        end_a=HoseEnd("KW-532", "End #10, straight", 0, 22), end_b=HoseEnd("KW-532", "End #10, straight", 0, 22),
        clocking_deg=0, routed_mm=None, routed_origin=None, slack_mm=None, cut_mm=None, tolerance_mm=None,
        sleeve="", service_port="", crimp_place="car",
    ),
)  # fmt: skip
JOINTS = (
    Joint(
        code="J1",
        a="Compressor D",
        b="Hose discharge A",
        position_a=120,
        position_b=300,
        size="#8",
        o_ring="#8 HNBR",
        torque_low_nm=24.4,
        torque_high_nm=31.2,
        source="table",
    ),
    Joint(
        code="J2",
        a="Hose discharge B",
        b="Condenser I",
        position_a=300,
        position_b=130,
        size="pad",
        o_ring="",
        torque_low_nm=None,
        torque_high_nm=None,
        source="",
    ),
)
WIRES = (
    Wire(
        position=400,
        number=1,
        start="X1/1",
        end="CLUTCH/1",
        colour="green",
        section_mm2=1.5,
        length_mm=820.0,
        terminal="6.3",
        seal="",
        fuse_a=10.0,
        current_a=4.2,
    ),
)


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
    return Step(key=f"S{number:02d}", number=number, zone=zone, kind=kind, text=text, **(values | more))


STEPS = (
    step(
        1,
        "as-found",
        "Note the car as it stands.",
        "car",
        photo=True,
        hold_point=True,
        readings=(
            Reading(
                name="Charging voltage",
                unit="V",
                low=Decimal("13.2"),
                high=Decimal("14.8"),
                limit_from="fixed",
            ),
            Reading(name="Old leaks", unit="", low=None, high=None, limit_from="fixed"),
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
        readings=(Reading(name="Drop", unit="bar", low=None, high=Decimal("0.05"), limit_from="fixed"),),
    ),
    step(
        6,
        "evacuate",
        "Pull the vacuum.",
        hold_point=True,
        readings=(Reading(name="Vacuum held", unit="Pa", low=None, high=Decimal("130"), limit_from="fixed"),),
    ),
    step(
        7,
        "charge",
        "Charge by mass on a scale.",
        hold_point=True,
        readings=(Reading(name="Charged", unit="g", low=None, high=None, limit_from="charge"),),
    ),
    step(
        8,
        "test",
        "Run at 1,500 rpm for ten minutes.",
        readings=(
            Reading(
                name="Head", unit="bar g", low=None, high=None, limit_from="prediction", predicted="high side"
            ),
            Reading(
                name="Vent", unit="°C", low=None, high=None, limit_from="prediction", predicted="coldest vent"
            ),
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
                code="I40",
                name="Idle, 40 °C",
                kind="idle",
                required=False,
                verdict="not sized",
                missing=(Gap("powertrain.hot_idle_rpm", "powertrain:P1", "The hot idle speed is missing."),),
            ),
        ),
        "levers": (
            LeverAnswer(
                code="film",
                name="Solar film on side and rear glass",
                work_min=180.0,
                gain_share=0.11,
                verdict="not enough",
                margin_share=-0.082,
                source="estimate",
            ),
            LeverAnswer(
                code="flap",
                name="Seal the intake flap",
                work_min=30.0,
                gain_share=0.06,
                verdict="not enough",
                margin_share=-0.132,
                source="estimate",
            ),
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
    return DocumentSource(kit=resolved or kit(), record=answer or record(), **(values | changes))


def unsized(resolved=None) -> DocumentSource:
    """The source of a fitment that nobody has sized."""
    return DocumentSource(kit=resolved or kit(), record=None, sized_at=None, is_stale=False)


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
    return RunTestPoint(air_c=air_c, humidity_share=humidity_share, status="full", limits=limits, **more)


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
