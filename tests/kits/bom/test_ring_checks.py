"""Each joint has an O-ring of its size, of a rubber that bears the gas."""

import pytest

from tests.kits.bom.sample import (
    PARTS,
    entry,
    found,
    only,
    part,
    place,
    resolved,
    with_data,
    with_position,
)


@pytest.mark.parametrize(("number", "ring", "needed", "joint"), [(70, "R6", 4, "J3"), (71, "R8", 2, "J1")])
def test_a_ring_too_few_is_found(number, ring, needed, joint):
    enough = with_position(number, entries=(entry(1, ring, needed),))
    short = with_position(number, entries=(entry(1, ring, needed - 1),))
    assert resolved(enough).findings == ()
    finding = only(resolved(short), "o-ring-missing")
    assert (finding.severity, finding.where) == ("blocks", f"position:{number}")
    assert joint in finding.sentence
    assert f"the kit has {needed - 1}" in finding.sentence


def test_a_size_without_any_ring_is_mended_at_its_joint():
    kit = with_position(72, entries=(entry(1, "SCREW"),))
    assert only(resolved(kit), "o-ring-missing").where == "joint:J7"


def test_spare_rings_do_not_stand_in_for_missing_ones():
    kit = with_position(70, entries=(entry(1, "R6", 3),))
    spare = place(75, "O-rings in the glovebox", entry(1, "R6", 2))
    kit = with_position(73, kit=kit, role="spare", entries=spare.entries)
    assert only(resolved(kit), "o-ring-missing").severity == "blocks"


def test_rings_within_an_assembly_count():
    box = part("BOX", "assembly", structure=(("R6", 2),))
    kit = with_position(70, entries=(entry(1, "BOX", 2),))
    assert resolved(kit, parts=(*PARTS, box)).findings == ()


def test_a_rubber_that_the_gas_attacks_is_found_and_does_not_count():
    kit = resolved(parts=with_data("R8", rubber="NBR"))
    (wrong,) = found(kit, "o-ring-rubber")
    assert (wrong.severity, wrong.where) == ("blocks", "part:R8")
    assert [f.where for f in found(kit, "o-ring-missing")] == ["joint:J1"]


def test_a_ring_of_unknown_size_is_said_and_nothing_is_called_missing():
    kit = resolved(with_position(71, entries=(entry(1, "R8", 1),)), parts=with_data("R6", size=""))
    assert only(kit, "o-ring-unknown").where == "part:R6"
