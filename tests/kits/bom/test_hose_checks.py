"""A hose can be made from its parts and laid on its route."""

from dataclasses import replace

import pytest

from tests.kits.bom.sample import (
    POSITIONS,
    found,
    only,
    resolved,
    run,
    with_data,
    with_part,
    with_position,
)

LIQUID = next(p for p in POSITIONS if p.number == 62).hose_runs[0]


def with_run(**changes):
    return with_position(62, hose_runs=(replace(LIQUID, **changes),))


def test_a_ferrule_for_another_wall_is_found():
    finding = only(resolved(parts=with_data("E10", ferrule_family="thick")), "hose-ferrule")
    assert (finding.severity, finding.where) == ("blocks", "hose:63/1")
    assert "end A (E10)" in finding.sentence


def test_an_end_of_another_size_than_the_hose_is_found():
    finding = only(resolved(parts=with_data("E10", size="#8")), "hose-end-size")
    assert (finding.severity, finding.where) == ("blocks", "hose:63/1")


@pytest.mark.parametrize(("bend_mm", "is_bad"), [(59.9, True), (60.0, False), (None, False)])
def test_a_bend_tighter_than_the_hose_bears_is_found(bend_mm, is_bad):
    kit = resolved(with_run(tightest_bend_mm=bend_mm))
    assert [f.where for f in found(kit, "hose-bend")] == ["hose:62/1"] * is_bad
    assert len(kit.findings) == is_bad


def test_a_hose_without_barrier_is_found():
    assert only(resolved(parts=with_data("HOSE8", barrier=False)), "hose-barrier").where == "hose:60/1"


def test_an_end_that_does_not_say_what_it_adds_is_found():
    finding = only(resolved(parts=with_data("E10", adds_mm=None)), "hose-end-length")
    assert (finding.severity, finding.where) == ("blocks", "part:E10")


def test_a_service_port_is_on_the_hose_and_on_its_sheet_or_on_neither():
    named = only(resolved(with_run(service_port="high side")), "hose-service-port")
    assert (named.severity, named.where) == ("warns", "hose:62/1")
    kit = with_position(60, hose_runs=(run("DIS", "HOSE8", "E8S", "E8"),))
    assert "names none" in only(resolved(kit), "hose-service-port").sentence


def test_the_tail_in_the_hose_is_no_port_of_the_circuit():
    tail = next(p for p in with_part("E6") if p.number == "E6").revisions[0].ports[1]
    missing = found(resolved(parts=with_part("E6", ports=(tail,))), "part-no-ports")
    assert [f.where for f in missing] == ["part:E6"]
