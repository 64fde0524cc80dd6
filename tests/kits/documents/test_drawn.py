"""A picture that can't be drawn says so in its place."""

from xml.etree import ElementTree

import pytest

from kits.documents.drawn import drawn
from vehicles.physics.arrays import Refusal


def broken():
    raise ZeroDivisionError("a fault of our own")


def words(svg):
    return "".join(ElementTree.fromstring(svg).itertext())


def test_what_can_be_drawn_is_as_it_was_drawn():
    assert drawn("The curve", lambda: "<svg/>") == "<svg/>"


def test_what_can_not_says_so_in_a_picture_of_its_width(guarding):
    svg = drawn("The curve “<script>”", broken, 440)
    assert words(svg).startswith("The curve “<script>” could not be worked out (log ")
    assert ElementTree.fromstring(svg).get("width") == "440"


def test_why_something_is_refused_is_told(guarding):
    def refuses():
        raise Refusal("A curve needs two points.")

    assert words(drawn("The curve", refuses)).endswith("A curve needs two points.")


def test_in_tests_a_fault_goes_through():
    with pytest.raises(ZeroDivisionError):
        drawn("The curve", broken)
