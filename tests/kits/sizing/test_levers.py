"""Each lever changes what it says and nothing else; pulled and sized again it gives the margin it promised."""

from dataclasses import replace

import pytest

from kits.sizing.case import Case
from kits.sizing.levers import Lever, levers, pulled
from kits.sizing.record import VERDICTS, SizingRecord
from kits.sizing.verdict import size
from tests.kits.sizing.cases import CRUISE, case, electric_case
from tests.vehicles.heatload.cars import COUPE

BY_CODE = {lever.code: lever for lever in levers()}
LEAKY = replace(COUPE, flap_leak_share=0.2)
WEAK = (
    case(CRUISE, cabin=LEAKY, matrix_leak_w=300.0, blower_voltage_v=11.5),
    # a small belt compressor, slow and behind a hot condenser: not held by the freeze control
    case(CRUISE, pulley_mm=260.0, fan_free_m3_h=900.0, ram_share=0.05, air_on_rise_cruise_k=12.0),
    electric_case(CRUISE, cabin=LEAKY, is_electric=True, matrix_leak_w=0.0),
)


@pytest.fixture(scope="module")
def records() -> list[SizingRecord]:
    return size(WEAK)


def differing(a: Case, b: Case) -> set[str]:
    """Which fields of car, mounting and plant two cases hold differently."""
    return {
        f"{part}.{name}"
        for part in ("car", "mounting", "plant")
        for name in getattr(a, part).__dataclass_fields__
        if getattr(getattr(a, part), name) != getattr(getattr(b, part), name)
    }


@pytest.mark.parametrize(
    ("code", "fields"),
    [
        ("seal-condenser", {"mounting.air_on_rise_idle_k", "mounting.air_on_rise_cruise_k"}),
        ("second-fan", {"plant.fan_free_m3_h"}),
        ("idle-up", {"car.hot_idle_rpm"}),
        ("pulley", {"plant.pulley_mm"}),
        ("seal-flap", {"car.cabin"}),
        ("water-valve", {"car.matrix_leak_w"}),
        ("lag-engine-side", {"car.cabin"}),
        ("roof-liner", {"car.cabin"}),
        ("film", {"car.cabin"}),
        ("close-openings", {"car.cabin"}),
        ("blower-relay", {"mounting.blower_voltage_v"}),
        ("suction-hose", {"plant.suction"}),
        ("alternator", {"car.charging_curve"}),
    ],
)
def test_a_lever_changes_what_it_says_and_nothing_else(code: str, fields: set[str]) -> None:
    changed = pulled(WEAK[0], BY_CODE[code])
    assert changed is not None
    assert differing(WEAK[0], changed) == fields
    assert changed.duties == WEAK[0].duties and changed.reserve_share == WEAK[0].reserve_share


def test_every_lever_of_the_file_is_looked_at_above() -> None:
    assert {lever.rule["change"] for lever in levers()} == {
        "air_on_rise", "fan", "idle", "pulley", "flap", "matrix", "engine_side", "roof", "film", "leakage", "blower",
        "suction", "charging",
    }  # fmt: skip
    assert len(BY_CODE) == len(levers()) == 13
    assert all(lever.minutes_min > 0 and lever.source for lever in levers())


@pytest.mark.parametrize(
    ("code", "one"),
    [
        ("water-valve", case(matrix_leak_w=0.0)),
        ("seal-flap", case(cabin=replace(COUPE, flap_leak_share=0.02))),
        ("blower-relay", case(blower_voltage_v=13.5)),
        ("blower-relay", case(system_voltage_v=6.0, blower_voltage_v=5.5)),
        ("idle-up", electric_case(is_electric=True)),
        ("pulley", electric_case()),
        ("alternator", electric_case(is_electric=True)),
        ("idle-up", case(hot_idle_rpm=None)),
    ],
)
def test_a_lever_that_changes_nothing_here_is_not_offered(code: str, one: Case) -> None:
    assert pulled(one, BY_CODE[code]) is None


def test_a_converted_car_has_the_kits_voltage_at_its_blower_too() -> None:
    # 5.5 of 6 V arrive; of 12 V it is 11
    six = case(system_voltage_v=6.0, positive_earth=True, blower_voltage_v=5.5)
    changed = pulled(six, BY_CODE["alternator"])
    assert changed is not None
    assert (changed.car.system_voltage_v, changed.car.positive_earth) == (12.0, False)
    assert changed.mounting.blower_voltage_v == pytest.approx(11.0)


def test_pulled_and_sized_again_each_lever_gives_the_margin_it_promised(records: list[SizingRecord]) -> None:
    again: list[tuple[SizingRecord, Lever, Case]] = []
    for one, record in zip(WEAK, records, strict=True):
        assert record.levers, record.verdict
        for answer in record.levers:
            changed = pulled(one, BY_CODE[answer.code])
            assert changed is not None
            again.append((record, BY_CODE[answer.code], changed))
    fresh = size([changed for _, _, changed in again])
    for (record, lever, _), after in zip(again, fresh, strict=True):
        told = next(a for a in record.levers if a.code == lever.code)
        assert after.margin_share == pytest.approx(told.margin_share, abs=0.01)
        assert after.verdict == told.verdict
        assert record.margin_share is not None and told.margin_share is not None
        assert told.gain_share == pytest.approx(told.margin_share - record.margin_share)


def test_levers_stand_by_what_they_bring(records: list[SizingRecord]) -> None:
    for record in records:
        keys = [(VERDICTS.index(a.verdict), -(a.gain_share or 0)) for a in record.levers]
        assert keys == sorted(keys)


def test_what_holds_the_plant_decides_which_lever_helps(records: list[SizingRecord]) -> None:
    # held by the freeze control nothing on the refrigerant's side brings anything; behind a hot condenser it does
    refrigerant_side = {"seal-condenser", "second-fan", "pulley", "suction-hose"}
    assert records[0].limit == "freeze"
    assert not refrigerant_side & {a.code for a in records[0].levers}
    assert records[1].limit != "freeze"
    assert {"seal-condenser", "pulley"} <= {a.code for a in records[1].levers}


def test_the_smallest_change_is_a_lever_that_turns_the_verdict_or_says_that_none_does(
    records: list[SizingRecord],
) -> None:
    for record in records:
        turning = [a for a in record.levers if VERDICTS.index(a.verdict) < VERDICTS.index(record.verdict)]
        if turning:
            least = min(turning, key=lambda a: a.work_min or 0)
            assert record.smallest_change == f"{least.name}: {least.verdict}."
        else:
            assert "all of these together" in record.smallest_change or record.smallest_change.startswith(
                "None"
            )
