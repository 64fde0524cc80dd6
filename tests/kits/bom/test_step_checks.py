"""The steps do everything once, in the right order, and account for what was taken out."""

from dataclasses import replace

import pytest

from kits.bom.mending import row
from tests.kits.bom.sample import (
    KIT,
    RIGHT,
    RIGHT_CAR,
    codes,
    entry,
    found,
    only,
    originals,
    resolved,
    step,
    with_position,
    with_step,
    without_step,
)


def plus(*steps):
    return replace(KIT, steps=(*KIT.steps, *steps))


def test_a_filled_position_no_step_fits_is_found():
    kit = with_step("BIG", positions=(10, 20, 30))
    assert [f.where for f in found(resolved(kit), "position-no-step")] == ["position:50"]


def test_a_step_about_an_empty_position_is_found():
    optional = with_position(50, rule="at most one", entries=(entry(1, "BR-R", 1, RIGHT),))
    optional = with_step("BIG", optional, text="{open:1}. Fit it.")
    # one of several things a step fits may be lacking in a car
    assert resolved(optional).findings == ()
    spoken = with_step("BIG", optional, text="{open:1}. Fit {position:50}.")
    assert only(resolved(spoken), "step-empty").where == "step:BIG"
    alone = replace(optional, steps=(*optional.steps, step("X", 55, "fit", positions=(50,))))
    assert only(resolved(alone), "step-empty").where == "step:X"


def test_a_step_about_a_hose_of_another_car_is_found():
    run = next(p for p in KIT.positions if p.number == 62).hose_runs[0]
    kit = with_position(62, hose_runs=(run, replace(run, number=2, route="LIQ-R", terms=RIGHT)))
    kit = with_step("LAY", kit, text="Cut {length:LIQ-R}.")
    assert only(resolved(replace(kit, lines=())), "step-empty").where == "step:LAY"


@pytest.mark.parametrize("kind", ["fit", "prepare"])
def test_a_joint_no_step_connects_is_found(kind):
    kit = with_step("DRIER", joints=("J4",))
    assert [f.where for f in found(resolved(kit), "joint-no-step")] == ["joint:J5"]
    # a step of another kind that names it does not connect it
    kit = replace(kit, steps=(*kit.steps, step("X", 121, kind, joints=("J5",))))
    assert [f.where for f in found(resolved(kit), "joint-no-step")] == ["joint:J5"]


def test_a_joint_that_is_connected_twice_is_found():
    finding = only(resolved(plus(step("AGAIN", 121, "connect", joints=("J5",)))), "joint-two-steps")
    assert (finding.severity, finding.where) == ("warns", "step:AGAIN")


@pytest.mark.parametrize(("key", "code"), [("WIRE", "circuit-no-step"), ("RING", "circuit-no-test")])
def test_a_wire_is_connected_by_one_step_and_tested_by_another(key, code):
    finding = only(resolved(with_step(key, circuits=((80, 1),))), code)
    assert (finding.severity, finding.where) == ("warns", "circuit:80/2")


@pytest.mark.parametrize(
    ("late", "order", "where"),
    [("PT", 165, "EV"), ("EV", 185, "CH"), ("CH", 195, "BACK"), ("BACK", 205, "OVER"), ("CH", 205, "BACK")],
)
def test_test_vacuum_charge_trim_and_hand_over_follow_each_other(late, order, where):
    finding = found(resolved(with_step(late, order=order)), "step-order")[0]
    assert (finding.severity, finding.where) == ("blocks", f"step:{where}")


@pytest.mark.parametrize(("order", "is_bad"), [(105, False), (113, True), (155, True)])
def test_trim_that_goes_back_over_joints_before_the_charge_is_found(order, is_bad):
    kit = resolved(plus(step("HANG", order, "refit")))
    assert [(f.code, f.where) for f in kit.findings] == [("step-order", "step:HANG")] * is_bad


def test_a_checklist_without_its_end_is_found():
    assert only(resolved(without_step("OVER")), "step-kind-missing").severity == "blocks"


def test_a_checklist_that_puts_no_trim_back_still_has_its_order():
    kit = with_step("OUT", without_step("BACK"), originals=originals(("Liner", "removed")))
    assert resolved(kit).findings == ()
    assert found(resolved(with_step("CH", kit, order=205)), "step-order")[0].where == "step:OVER"


def test_the_battery_is_off_before_any_work():
    finding = only(resolved(with_step("BAT-OFF", order=35)), "step-order")
    assert (finding.severity, finding.where) == ("blocks", "step:BAT-OFF")


def test_the_battery_is_back_on_after_the_last_wire():
    kit = with_step("REST", with_step("BAT-ON", order=126), order=125)
    assert only(resolved(kit), "step-order").where == "step:WIRE"


def test_the_drier_is_opened_last():
    finding = only(resolved(with_step("BAG", with_step("DRIER", order=105), order=104)), "step-order")
    assert (finding.severity, finding.where) == ("blocks", "step:JOIN")
    assert "opened last" in finding.sentence


def test_what_was_removed_needs_a_fate():
    finding = only(resolved(without_step("KEEP")), "original-lost")
    assert (finding.severity, finding.where) == ("warns", "step:OUT")
    assert "Liner" in finding.sentence


def test_what_was_removed_has_one_fate():
    kit = with_step("BACK", originals=originals(("Grille", "refitted"), ("Liner", "scrapped")))
    finding = only(resolved(kit), "original-twice")
    assert "kept in KEEP and scrapped in BACK" in finding.sentence


def test_nothing_is_refitted_that_was_not_removed():
    kit = with_step("BACK", originals=originals(("Grille", "refitted"), ("Horn", "refitted")))
    assert only(resolved(kit), "original-not-removed").where == "step:BACK"


def test_nothing_is_kept_before_it_is_removed():
    assert only(resolved(with_step("KEEP", order=25)), "step-order").where == "step:KEEP"


def test_what_is_cut_or_drilled_needs_no_fate():
    assert resolved(with_step("BIG", originals=originals(("Cowl lip", "drilled")))).findings == ()


def test_the_balance_is_kept_for_each_car():
    # the right car's liner is removed in a step of its own and never put back
    out = step("OUT-R", 31, "remove", terms=RIGHT, originals=originals(("Horn", "removed")))
    assert codes(resolved(plus(out))) == set()
    assert codes(resolved(plus(out), car=RIGHT_CAR)) == {"original-lost"}


def test_a_part_that_is_fitted_before_its_bag_is_opened_is_found():
    kit = with_step("DRAIN", with_step("BIG", text="Fit."), text="{open:1}. Push it on.")
    findings = found(resolved(kit), "bag-late")
    assert [(f.severity, f.where) for f in findings] == [
        ("warns", f"step:{key}") for key in ("BIG", "UNIT", "WATER")
    ]
    assert "opened later, in DRAIN" in findings[0].sentence
    assert codes(resolved(kit)) == {"bag-late"}


def test_the_step_that_fits_may_open_the_bag_itself_or_any_before_it():
    assert (
        resolved(with_step("BAT-OFF", with_step("BIG", text="Fit."), text="Battery. {open:1}.")).findings
        == ()
    )


def test_a_bag_that_no_step_opens_is_found_once_where_it_is_first_needed():
    # to speak of a bag opens none
    finding = only(resolved(with_step("BIG", text="Lay out {bag:1} to {bag:2}.")), "bag-never")
    assert (finding.severity, finding.where) == ("warns", "step:BIG")
    assert finding.mend == row("Steps", "text", "BIG")


def test_a_bag_whose_parts_no_step_fits_is_found_too():
    kit = with_step("UNIT", text="Fit {position:40}.", positions=(73,))
    findings = found(resolved(kit), "bag-never")
    assert [(f.where, f.mend.is_new) for f in findings] == [("position:40", True)]


def test_a_bag_that_is_opened_twice_is_found():
    finding = only(resolved(plus(step("AGAIN", 55, "prepare", "{open:1}."))), "bag-twice")
    assert (finding.severity, finding.where) == ("warns", "step:AGAIN")
    # each car has its own step
    kit = replace(KIT, steps=(*KIT.steps, step("R", 49, "prepare", "{open:1}.", terms=RIGHT)))
    assert codes(resolved(kit)) == set()
    assert codes(resolved(kit, car=RIGHT_CAR)) == {"bag-twice"}


def test_what_is_in_no_bag_asks_for_none():
    kit = replace(KIT, positions=tuple(replace(p, bag="") for p in KIT.positions))
    for key in ("BIG", "UNIT"):
        kit = with_step(key, kit, text="Fit it.")
    assert resolved(kit).findings == ()
