"""The rear blower's own step and volts: what one switch turns, what is refused, and what the wires leave."""

from dataclasses import replace

import pytest

from kits.bom.resolved import Wire
from kits.sizing.case.blower_circuits import circuit_loses_more_v
from kits.sizing.case.case import Case, Point
from kits.sizing.case.rear_blower import rear_step_share, recorded_rear_v, share_at, step_gap
from kits.sizing.electrics.electrics import voltage_drop_v
from kits.sizing.verdict.answers import answers_at
from tests.kits.sizing.cases import AIR_PATH, CRUISE, case, rear_coil, smaller
from tests.kits.sizing.plants import COIL

FRONT = {1: 0.5, 2: 0.7, 3: 1.0}
REAR = {1: 0.55, 2: 0.75, 3: 0.9}


@pytest.mark.parametrize(
    ("share", "front", "rear", "expected"),
    [
        (0.7, FRONT, REAR, 0.75),  # the number that is 2 in the front table
        (1.0, FRONT, REAR, 0.9),  # the highest step of the rear one may have a resistor too
        (0.7, FRONT, FRONT, 0.7),
        (0.6, FRONT, REAR, 0.6),  # no step of the switch
        (0.7, {}, REAR, 0.7),  # a front blower without a table
        (1.0, FRONT, {}, 1.0),
        (0.7, FRONT, {}, None),  # full voltage only
        (0.7, FRONT, {1: 0.5, 3: 1.0}, None),
    ],
)
def test_the_rear_blower_stands_at_the_step_of_the_same_number(share, front, rear, expected) -> None:
    assert rear_step_share(share, front, rear) == expected


def two(front: dict[int, float], rear: dict[int, float], loses_more_v: float | None = None) -> Case:
    """A coupé with two coils, its blowers with step tables."""
    whole = case(CRUISE)
    unit = replace(
        rear_coil(smaller(COIL, 0.8), AIR_PATH),
        blower="B-REAR",
        blower_steps=tuple(rear.items()),
        circuit_loses_more_v=loses_more_v,
    )
    return replace(whole, unit=replace(whole.plant, rear=unit, blower_steps=tuple(front.items())))


AT_TWO = replace(CRUISE, blower_share=0.7)


def test_a_duty_point_at_a_step_that_the_rear_blower_lacks_is_refused_with_a_sentence() -> None:
    lacking = two(FRONT, {1: 0.55, 3: 1.0})
    (full, part) = answers_at(lacking, (CRUISE, replace(AT_TWO, code="part")), with_holds=False)
    assert full.capacity_w is not None
    assert part.verdict == "not sized"
    assert [(gap.path, gap.where) for gap in part.missing] == [("part.B-REAR.step.2", "part:B-REAR")]
    assert part.missing[0].sentence == (
        "At “Cruise” the blowers stand at step 2, which the rear blower B-REAR does not have: enter that step of it."
    )


def test_a_circuit_that_loses_the_whole_voltage_is_refused() -> None:
    gap = step_gap(Point(two(FRONT, REAR, 14.0), CRUISE))
    assert gap is not None
    assert "loses more than the whole voltage" in gap.sentence
    assert step_gap(Point(two(FRONT, REAR, 0.5), CRUISE)) is None
    assert step_gap(Point(case(CRUISE), CRUISE)) is None


def test_each_blower_runs_at_its_own_share_and_volts() -> None:
    same, own = two(FRONT, FRONT), two(FRONT, REAR, 0.5)
    (alike,), (apart,) = (answers_at(c, (AT_TWO,), with_holds=False) for c in (same, own))
    front, rear = apart.coils
    assert (front.blower_v, front.blower_share) == (13.0, 0.7)
    assert (rear.blower_v, rear.blower_share) == (12.5, 0.75)
    # fan laws against nearly square losses: air as the motor's voltage
    volts = (12.5 * 0.75) / (13.0 * 0.7)
    assert rear.airflow_m3_h / alike.coils[1].airflow_m3_h == pytest.approx(volts, rel=0.02)
    assert front.airflow_m3_h == pytest.approx(alike.coils[0].airflow_m3_h, rel=1e-9)


def test_without_a_voltage_or_a_rear_coil_there_is_none() -> None:
    bare = two(FRONT, REAR, 0.5)
    unread = replace(bare, mounting=replace(bare.mounting, blower_voltage_v=None))
    assert recorded_rear_v(unread) is None
    assert recorded_rear_v(case(CRUISE)) is None
    assert share_at(Point(case(CRUISE), CRUISE)) is None


def wire(
    number: int,
    start: str,
    end: str,
    to: str,
    mm: float | None = 1000.0,
    mm2: float = 2.5,
    amps: float = 10.0,
) -> Wire:
    return Wire(
        position=500,
        number=number,
        start=start,
        end=end,
        colour="black",
        section_mm2=mm2,
        length_mm=mm,
        terminal="",
        seal="",
        fuse_a=20.0,
        current_a=amps,
        leads_to=to,
    )


def harness(rear_mm: float | None, rear_mm2: float = 2.5, to: str = "rear blower") -> tuple[Wire, ...]:
    return (
        wire(1, "battery plus/1", "relays/30", "other", mm2=10.0, amps=40.0),
        wire(2, "relays/1", "motor in front/1", "blower"),
        wire(3, "motor in front/2", "dash stud/1", "earth"),
        wire(4, "relays/2", "motor behind/1", to, rear_mm, rear_mm2),
        wire(5, "motor behind/2", "roof stud/1", "earth"),
    )


def test_equal_circuits_lose_the_same() -> None:
    assert circuit_loses_more_v(harness(1000.0)) == pytest.approx(0.0, abs=1e-12)


def test_a_longer_wire_of_the_rear_blower_loses_what_that_length_does() -> None:
    more_v = circuit_loses_more_v(harness(4000.0))
    assert more_v == pytest.approx(float(voltage_drop_v(10.0, 2.5, 3.0)))
    assert circuit_loses_more_v(harness(1000.0, 6.0)) < 0


@pytest.mark.parametrize("wires", [harness(None), harness(1000.0)[:3], harness(1000.0, to="other")])
def test_a_circuit_that_is_not_told_leaves_the_difference_open(wires: tuple[Wire, ...]) -> None:
    assert circuit_loses_more_v(wires) is None
