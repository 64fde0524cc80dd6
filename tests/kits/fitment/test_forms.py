"""Codes with a slash find their way through an address and back."""

from django.urls import resolve, reverse


def test_a_code_with_a_slash_stands_in_an_address():
    where = reverse("fitment-sheet", args=["A/B #2", "S4", "V 1"])
    assert where == "/fitments/A~B%20%232/S4/V%201/"
    assert resolve("/fitments/A~B #2/S4/V 1/").kwargs == {"kit": "A/B #2", "line": "S4", "variant": "V 1"}
