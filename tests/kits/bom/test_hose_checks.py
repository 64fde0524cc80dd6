"""A hose can be made from its parts and laid on its route."""

from dataclasses import replace

import pytest

from kits.bom.catalogue import CrimpSpec
from tests.kits.bom.sample import (
    PARTS,
    POSITIONS,
    TAPED,
    codes,
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


def test_a_hose_carries_what_the_ports_of_its_ends_carry_whatever_its_position_is_called():
    kit = resolved(with_position(60, name="Hose, compressor to coil"))
    assert {hose.position: hose.side for hose in kit.hoses} == {
        60: "discharge", 61: "liquid", 62: "liquid", 63: "suction",
    }  # fmt: skip


def test_a_hose_between_two_sides_is_on_neither():
    kit = resolved(with_position(62, hose_runs=(replace(LIQUID, end_b="E10"),)))
    (finding,) = found(kit, "hose-sides")
    assert (finding.severity, finding.where, finding.mend.field) == ("blocks", "hose:62/1", "end_b")
    assert next(hose.side for hose in kit.hoses if hose.position == 62) == ""


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


CRIMP = CrimpSpec(
    wall_family="thin",
    ferrule="F-6, one piece",
    die="6T",
    insertion_depth_mm=24,
    low_mm=15.1,
    high_mm=15.5,
    origin=TAPED,
)


def at_car(place, *ends, crimps=(CRIMP,)):
    """The liquid hose crimped at this place, with the crimps of these ends recorded."""
    parts = PARTS
    for number in ends:
        (revision,) = next(p for p in parts if p.number == number).revisions
        parts = with_part(number, parts, data={**revision.data, "crimps": crimps})
    return resolved(with_run(crimp_place=place, end_b="E6B"), parts=(*parts, *OTHER_END))


OTHER_END = tuple(replace(p, number="E6B") for p in PARTS if p.number == "E6")


@pytest.mark.parametrize(
    ("place", "missing"),
    [("works", []), ("car A", ["A (E6)"]), ("car B", ["B (E6B)"]), ("car", ["A (E6)", "B (E6B)"])],
)
def test_an_end_that_the_fitter_crimps_needs_its_crimp(place, missing):
    findings = found(at_car(place), "crimp-missing")
    assert [f.sentence.partition("end ")[2].partition(" is")[0] for f in findings] == missing
    assert {(f.severity, f.where) for f in findings} <= {("blocks", "hose:62/1")}
    if missing:
        given = {"part_number": missing[0][3:-1], "part_revision": "A", "wall_family": "thin"}
        assert dict(findings[0].mend.given) == given
        assert findings[0].mend.sheet == "Crimps"


def test_an_end_has_the_crimp_of_its_hose_and_says_it():
    kit = at_car("car A", "E6")
    assert kit.findings == ()
    hose = next(h for h in kit.hoses if h.tag == "H-LIQ")
    ((code, end),) = hose.crimped_at_car
    assert (code, end.part, hose.end_b.crimp) == ("A", "E6", None)
    assert end.crimp.text() == (
        "ferrule F-6, one piece, die 6T, hose 24 mm deep, crimp diameter 15.1 to 15.5 mm"
    )
    assert end.crimp.origin == TAPED


def test_a_crimp_for_another_wall_is_none():
    assert codes(at_car("car A", "E6", crimps=(replace(CRIMP, wall_family="thick"),))) == {"crimp-missing"}


@pytest.mark.parametrize(("rated", "is_bad"), [(27.9, True), (28.0, False), (None, False)])
def test_a_hose_that_bears_less_than_the_cut_out_is_found(rated, is_bad):
    kit = resolved(parts=with_data("HOSE8", rated_pressure_bar_g=rated))
    assert [(f.code, f.severity, f.where) for f in kit.findings] == [
        ("hose-pressure", "blocks", "hose:60/1")
    ] * is_bad
