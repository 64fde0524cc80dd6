"""Links to the forms of rows name the row as its sheet does, and lead back."""

from django.template import Context, Template
from django.test import RequestFactory

from kits.editing.slugs import key_of_param
from kits.exchange.sheets.bridge import BY_NAME


def drawn(text):
    request = RequestFactory().get("/kits/K/", {"page": "2"})
    return Template("{% load editing %}" + text).render(Context({"request": request}))


def test_a_row_is_named_by_its_folded_key_and_the_page_is_the_way_back():
    url = drawn('{% change_url "entries" "" "S4-DASH" 110 1 at="#position-110" %}')
    assert url.startswith("/edit/-/entries/?key=%5B%22s4-dash%22%2C110%2C1%5D")
    assert url.endswith("next=%2Fkits%2FK%2F%3Fpage%3D2%23position-110")


def test_a_new_row_is_given_what_it_belongs_to():
    assert drawn('{% add_url "surfaces" "S4" cabin="C 1" %}').startswith("/edit/S4/surfaces/?cabin=C+1&")


def test_a_key_reads_back_whatever_its_capitals():
    sheet = BY_NAME["Leakage"]
    assert key_of_param(sheet, '["Cabin",50]') == ("cabin", 50.0)
    assert key_of_param(sheet, '["Cabin"]') is None
    assert key_of_param(sheet, '{"a":1}') is None
