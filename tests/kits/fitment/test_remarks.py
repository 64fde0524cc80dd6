"""Findings of the kit and remarks of the calculations make one list."""

from dataclasses import replace

from kits.bom.mending import row
from kits.bom.resolved import Finding
from kits.fitment.remarks import with_remarks

MEND = row("Kits", "oil")
OWN = (
    Finding("charge-missing", "warns", "charge", "No charge."),
    Finding("part-note", "notes", "part:A", "A note."),
)


def of(topic, *remarks):
    return [replace(remark, topic=(topic, topic.title())) for remark in remarks]


def test_remarks_stand_among_the_findings_the_gravest_first():
    found = with_remarks(OWN, of("oil", Finding("oil-type", "blocks", "kit", "Wrong oil.", MEND)))
    assert [f.code for f in found] == ["oil-type", "charge-missing", "part-note"]
    assert (found[0].topic, found[0].mend) == (("oil", "Oil"), MEND)
    assert found[1:] == OWN


def test_what_two_tell_of_one_place_is_told_once_as_the_first_tells_it():
    again = Finding("charge-missing", "warns", "charge", "Said otherwise.")
    route = Finding("length-missing", "warns", "length:LIQ", "Not measured.")
    found = with_remarks(OWN, [*of("charge", again, route), *of("hoses", route)])
    assert [(f.code, f.topic and f.topic[0]) for f in found] == [
        ("charge-missing", None), ("length-missing", "charge"), ("part-note", None),
    ]  # fmt: skip


def test_one_calculation_may_say_several_things_of_a_place():
    pairs = [
        Finding("belt-offset", "warns", "powertrain:P", f"From {pair}.") for pair in ("a to b", "b to c")
    ]
    assert len(with_remarks((), of("belt", *pairs))) == 2


def test_without_an_answer_the_kit_speaks_alone():
    assert with_remarks(OWN, ()) == OWN
