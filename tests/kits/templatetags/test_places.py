"""Every reference leads to one place."""

import json
from urllib.parse import parse_qs, urlsplit

import pytest
from django.template import Context
from django.test import RequestFactory

from kits.bom.mending import row
from kits.bom.resolved import Finding
from kits.templatetags.places import changing, limit_words, mending, on_kit_page, place

SHEET = "/fitments/K~1/L/V/"


@pytest.mark.parametrize(
    ("where", "url"),
    [
        ("length:LIQ 1", f"{SHEET}#length-LIQ-1"),
        ("charge", f"{SHEET}#charge"),
        ("fitment", f"{SHEET}#fitment"),
        ("part:AB/12", "/parts/AB~12/"),
        ("powertrain:P", "/vehicles/L/V/#powertrain"),
        ("cabin:C", "/vehicles/L/V/#cabin"),
        ("variant", "/vehicles/L/V/#variant"),
        ("position:110", "/kits/K~1/#position-110"),
        ("joint:J1", "/kits/K~1/#joint-J1"),
        ("step:OUT.1", "/kits/K~1/#step-OUT-1"),
        ("circuit:110/3", "/kits/K~1/#circuit-110-3"),
        ("entry:110/1", "/kits/K~1/#entry-110-1"),
        ("hose:400/1", "/kits/K~1/#hose-400-1"),
        ("kit", "/kits/K~1/"),
        ("something new", "/kits/K~1/"),
    ],
)
def test_a_reference_has_one_address(where, url):
    assert place(where, "K/1", "L", "V") == url


def test_on_the_kits_own_page_a_reference_is_an_anchor():
    assert on_kit_page("position:10") == "#position-10"
    assert on_kit_page("part:X") == "/parts/X/"
    assert on_kit_page("kit") == ""


def test_a_limit_is_said_in_words():
    assert limit_words("freeze") == "the freeze control"
    assert limit_words("") == "–"


def opened(finding, *, may_edit=True, variant="V"):
    context = Context({"request": RequestFactory().get("/fitments/x/"), "rights": {"edit_rows": may_edit}})
    return mending(context, finding, "K/1", "L", variant, "#findings")


def finding(where, mend=None):
    return Finding("code", "blocks", where, "Sentence.", mend)


@pytest.mark.parametrize(
    ("told", "form"),
    [
        (finding("circuit:110/3", row("Circuits", "fuse_a", 110, 3)), ("/edit/L/circuits/", ["k/1", 110, 3], "fuse_a")),
        (finding("circuit:110/3"), ("/edit/L/circuits/", ["k/1", 110, 3], "section_mm2")),
        (finding("kit", row("Kits", "oil")), ("/edit/-/kits/", ["k/1"], "oil")),
        (finding("step:OUT/1"), ("/edit/-/steps/", ["k/1", "out/1"], "text")),
        (finding("reading:OUT/1/2"), ("/edit/-/readings/", ["k/1", "out/1", 2], "high")),
        (finding("joint:7"), ("/edit/-/joints/", ["k/1", "7"], "port_b")),
        (finding("variant"), ("/edit/L/variants/", ["v"], "name")),
        (finding("fitment"), ("/edit/L/fitments/", ["k/1", "v"], "condenser_place")),
        (finding("cabin:C"), ("/edit/L/cabins/", ["c"], "volume_m3")),
        (finding("part:P", row("Revisions", "maturity", "P", "A")), ("/edit/-/revisions/", ["p", "a"], "maturity")),
    ],
)  # fmt: skip
def test_who_may_edit_comes_to_the_field(told, form):
    url = urlsplit(opened(told))
    query = parse_qs(url.query)
    assert (url.path, json.loads(query["key"][0]), url.fragment) == (form[0], form[1], f"id_row-{form[2]}")
    assert query["next"] == ["/fitments/x/#findings"]


def test_a_row_to_be_added_is_given_what_is_known():
    url = urlsplit(opened(finding("length:LIQ")))
    assert (url.path, url.fragment) == ("/edit/L/lengths/", "id_row-length_mm")
    assert parse_qs(url.query) == {
        "kit": ["K/1"], "variant": ["V"], "route": ["LIQ"], "next": ["/fitments/x/#findings"]
    }  # fmt: skip


def test_the_others_come_to_the_place_it_is_about():
    told = finding("circuit:110/3", row("Circuits", "fuse_a", 110, 3))
    assert opened(told, may_edit=False) == "/kits/K~1/#circuit-110-3"
    assert opened(told, may_edit=False, variant="") == "#circuit-110-3"
    assert opened(finding("part:P")) == "/parts/P/"


@pytest.mark.parametrize(
    ("where", "form"),
    [
        ("site:Red flats", ("/edit/-/sites/", ["red flats"], "latitude_deg")),
        ("design:Red flats/6", ("/edit/-/design-states/", ["red flats", 6], "dry_bulb_max_c")),
        ("duty:hot-43", ("/edit/-/duty-points/", ["hot-43"], "site")),
    ],
)
def test_an_input_on_no_page_is_changed_in_its_form_by_who_may_edit(where, form):
    def found(*, may_edit):
        request = RequestFactory().get("/fitments/x/")
        return changing(
            Context({"request": request, "rights": {"edit_rows": may_edit}}), where, "K/1", "L", "V"
        )

    url = urlsplit(found(may_edit=True))
    key = json.loads(parse_qs(url.query)["key"][0])
    assert (url.path, key, url.fragment) == (form[0], form[1], f"id_row-{form[2]}")
    assert found(may_edit=False) == ""


def test_an_input_with_a_page_is_changed_there():
    assert changing(Context({}), "cabin:C", "K/1", "L", "V") == place("cabin:C", "K/1", "L", "V")
    assert changing(Context({}), "site:X", "K/1", "L", "V") == ""
