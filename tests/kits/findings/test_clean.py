"""On the demonstration nothing is found but what is meant to be there, each with its reason."""

import pytest

from kits.exchange.values import terms_of
from kits.fitment.line_checks import Chassis, Excluded, LineCar, car_findings
from kits.fitment.queries import findings_of_car
from kits.topics.circuit.charge import charge
from tests.kits.topics.contexts import context_of
from vehicles.catalogue.models import Variant

# no supply harness for 6 V is made, so nothing runs the kit there: it can be neither filled running nor tried
SIX_VOLT = {
    ("position-gap", "position:501"), ("pattern-missing", "pattern:charge-running"),
    ("pattern-missing", "pattern:run"),
}  # fmt: skip
INTENDED = {
    # such a car needs its charging converted first
    ("S4-DASH", "CP6L"): SIX_VOLT,
    ("S4-DASH", "CP6R"): SIX_VOLT,
    ("S4-DASH", "TR6L"): SIX_VOLT,
    # the liquid route of the left-hand tourer was never measured
    ("S4-DASH", "TR12L"): {("length-missing", "length:LIQ-L")},
    # the far duct of the right-hand tourer is still a prototype
    ("S4-DASH", "TR12R"): {("part-prototype", "part:BM60-114")},
    # the early crew cab was copied from the later one and waits for its survey: two routes and the charge
    ("M220-UNDER", "CRN"): {
        ("length-missing", "length:LIQ-R"),
        ("length-missing", "length:SUC-R"),
        ("charge-missing", "charge"),
    },
}
SURVEYS_OPEN = {"CRN", "TR6L"}


def wrong_drive(key):
    """The belt kit in an electric van and the electric kit in a petrol one: made to show what does not go."""
    kit, _, car = key
    return (kit == "V30-BELT" and car.startswith("SEV")) or (kit == "V30-EV" and not car.startswith("SEV"))


def test_nothing_blocks_or_warns_but_what_is_meant_to(world):
    found = {
        (key[0], key[2]): {(f.code, f.where) for f in kit.findings if f.severity != "notes"}
        for key, kit in world.kits.items()
        if not wrong_drive(key)
    }
    assert {key: told for key, told in found.items() if told} == INTENDED


# of the calculations, each with its reason; a code stands for all the fitments of a kit where it is told
CALCULATED = {
    # 6 V and positive earth can't run the kit; nothing feeds its relay block until the charging is converted
    "S4-DASH": {"convert-electrics", "circuit-unfed"},
    # a dynamo of 22 A, and lamps with everything on; 4.2 m of 4 mm² to the roof; no idle-up on these engines
    "V30-BELT": {"convert-charging", "charging-short", "battery-idle", "circuit-loss", "idle-torque"},
    "V30-EV": {"circuit-loss"},
    # an alternator of 65 A at night with two blowers, the battery just bears it; no idle-up
    "V30-TWIN": {"charging-short", "idle-torque"},
    # R-1234yf in a small cab stays under the limit, but far above a quarter of it
    "M220-UNDER": {"gas-cabin", "idle-torque"},
}
EVERYWHERE = {
    # a bare expansion valve sweats: its water falls into the drain pan
    "wall-sweats",
    # told by the kit too, of the two cars that were not measured to the end
    "length-missing", "charge-missing",
}  # fmt: skip
OURS = ("charge", "oil-gas", "hoses", "electrics", "belt", "fasteners", "condensation")
MAY_BLOCK = {"convert-electrics", "convert-charging"}


def test_the_calculations_warn_of_nothing_but_what_is_meant_to(world):
    for key, record in world.records.items():
        told = {r.code for r in record.remarks if r.topic[0] in OURS and r.severity != "notes"}
        assert told <= CALCULATED[key[0]] | EVERYWHERE, key


def test_each_remark_that_is_meant_to_be_there_is_there(world):
    told = {}
    for key, record in world.records.items():
        told.setdefault(key[0], set()).update(r.code for r in record.remarks)
    for kit, codes in CALCULATED.items():
        assert codes <= told[kit], kit


def test_of_the_calculations_only_what_must_be_converted_blocks(world):
    for key, record in world.records.items():
        assert {r.code for r in record.remarks if r.severity == "blocks"} <= MAY_BLOCK, key


def test_the_trial_of_the_van_gives_the_charge_that_is_recorded(world):
    topic = charge(context_of(world, ("V30-BELT", "V30", "S18L")))
    assert next(f.text for f in topic.figures if f.label == "Charge by trial V30-2026-02") == "875 g"
    assert world.kits["V30-BELT", "V30", "S18L"].charge.charge_g == 875
    assert {"plateau-charge", "plateau-none", "charge-estimate"}.isdisjoint(r.code for r in topic.remarks)
    assert [picture.code for picture in topic.pictures] == ["plateau"]


def test_a_kit_for_another_drive_is_said_to_be_offered_for_no_such_car(world):
    for key, kit in world.kits.items():
        assert any(f.code == "offer-missing" for f in kit.findings) == wrong_drive(key), key


@pytest.mark.parametrize("line", ["S4", "V30", "M220"])
def test_the_cars_of_a_line_agree_but_for_the_surveys_that_are_open(world, line):
    rows = world.rows[line]
    chassis = {}
    for row in rows["Chassis"].values():
        chassis.setdefault(row["variant"], []).append(Chassis(row["prefix"], row["first"], row["last"]))
    cars = [
        LineCar(
            code=row["code"],
            name=row["name"],
            options={
                name.partition(":")[2]: value
                for name, value in row.items()
                if name.startswith("option:") and value
            },
            built_from=row["built_from"],
            built_until=row["built_until"],
            to_be_surveyed=row["to_be_surveyed"],
            chassis=tuple(chassis.get(row["code"], ())),
        )
        for row in rows["Variants"].values()
    ]
    excluded = [
        Excluded(
            row["code"],
            row["reason"],
            {
                name.partition(":")[2]: frozenset(terms_of(value)[1])
                for name, value in row.items()
                if name.startswith("option:") and value
            },
        )
        for row in rows["Excluded"].values()
    ]
    assert all(car.chassis and len(car.options) >= 4 for car in cars)
    assert all(combination.options for combination in excluded)
    found = {car.code: {f.code for f in car_findings(car, cars, excluded)} for car in cars}
    assert {code: told for code, told in found.items() if told} == {
        car.code: {"car-to-be-surveyed"} for car in cars if car.code in SURVEYS_OPEN
    }


def test_the_page_of_a_car_is_given_the_same(demonstration):
    found = {car.code: [f.code for f in findings_of_car(car)] for car in Variant.objects.all()}
    assert {code: told for code, told in found.items() if told} == {"TR6L": ["car-to-be-surveyed"]}
