"""The way of a current through a harness."""

from dataclasses import replace

from kits.bom.resolved import Wire
from kits.sizing.case.wire_paths import circuits, feeds_to, fuse_before_a


def wire(number, start, end, current, section=1.0, fuse=None, to="other"):
    return Wire(
        position=500,
        number=number,
        start=start,
        end=end,
        colour="red",
        section_mm2=section,
        length_mm=1000.0,
        terminal="",
        seal="",
        fuse_a=fuse,
        current_a=current,
        leads_to=to,
    )


HARNESS = (
    wire(1, "battery plus/1", "relay block/30", 27.5, 10, 60),
    wire(2, "key tap/1", "panel/1", 0.9, 0.75, 5),
    wire(3, "panel/2", "relay block/86", 0.2, 0.75),
    wire(4, "relay block/87", "blower/1", 15.2, 4, 30, "blower"),
    wire(5, "resistor/3", "blower/1", 7.6, 2.5),
    wire(6, "blower/2", "cab stud/1", 15.2, 4, to="earth"),
    wire(7, "relay block/30B", "panel/7", 7.6, 2.5, 20),
    wire(8, "panel/3", "resistor/1", 7.6, 2.5),
    wire(9, "relay block/85", "cab stud/2", 0.2, to="earth"),
)


def numbers(wires):
    return [w.number for w in wires]


def test_a_consumer_is_followed_to_the_battery_and_to_its_earth():
    blower = next(c for c in circuits(HARNESS) if c.consumer == "blower")
    assert numbers(blower.feeds) == [1, 4]
    assert numbers(blower.wires) == [1, 4, 6]
    assert blower.current_a == 15.2
    assert blower.leads_to == "blower"


def test_a_small_current_comes_by_the_smallest_feed_that_is_enough():
    assert numbers(feeds_to(HARNESS, "panel", 0.2)) == [2]
    assert numbers(feeds_to(HARNESS, "panel", 7.6)) == [1, 7]


def test_a_device_that_nothing_feeds_has_no_circuit():
    lonely = (wire(1, "fan/2", "nose stud/1", 8.6, to="earth"),)
    assert circuits(lonely) == ()
    assert feeds_to(lonely, "fan", 8.6) == ()


def test_a_ring_of_wires_ends():
    ring = (wire(1, "a/1", "b/1", 1.0), wire(2, "b/2", "a/2", 1.0), wire(3, "a/3", "stud", 1.0, to="earth"))
    assert numbers(feeds_to(ring, "a", 1.0)) == [2]


def test_the_fuse_of_a_wire_is_its_own_or_the_nearest_before_it():
    by_number = {w.number: w for w in HARNESS}
    assert fuse_before_a(HARNESS, by_number[4]) == 30
    assert fuse_before_a(HARNESS, by_number[3]) == 5
    assert fuse_before_a(HARNESS, by_number[8]) == 20
    assert fuse_before_a(HARNESS, by_number[6]) == 30
    assert fuse_before_a((by_number[8],), by_number[8]) is None


def test_an_earth_is_told_by_its_column_and_not_by_its_name():
    named = tuple(replace(w, end="earth", leads_to="other") for w in HARNESS if w.number == 6)
    assert circuits((*HARNESS[:5], *named)) == ()
