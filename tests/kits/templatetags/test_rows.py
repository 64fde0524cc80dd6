"""Links from a stored row to its form: the key comes from the row, the line from what it belongs to."""

from urllib.parse import parse_qs, urlsplit

import pytest
from django.template import Context
from django.test import RequestFactory

from kits.bom.models import Entry, HoseRun, KitOffer, Route
from kits.parts.models import Part, PartRevision
from kits.parts.refrigerant_models import CompressorPoint
from kits.templatetags.rows import changes_url, data_url, point_url, row_url

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]


@pytest.fixture
def context():
    return Context({"request": RequestFactory().get("/somewhere/")})


def read(url):
    parts = urlsplit(url)
    return parts.path, {name: values[0] for name, values in parse_qs(parts.query).items()}


def test_a_shared_row_is_named_by_its_key(context):
    entry = Entry.objects.get(position__number=101, number=2)
    path, query = read(row_url(context, entry, "#here"))
    assert path == "/edit/-/entries/"
    assert query == {"key": '["s4-dash",101,2]', "next": "/somewhere/#here"}


@pytest.mark.parametrize("model", [Route, HoseRun, KitOffer])
def test_a_row_that_belongs_to_a_line_is_opened_in_it(context, model, manager_client):
    url = row_url(context, model.objects.first())
    assert url.startswith("/edit/S4/")
    assert manager_client.get(url).status_code == 200


def test_a_rated_point_is_named_by_all_that_tells_it_from_others(context, manager_client):
    point = CompressorPoint.objects.first()
    url = row_url(context, point)
    assert read(url)[0] == "/edit/-/compressor-points/"
    assert manager_client.get(url).status_code == 200


def test_technical_data_is_changed_where_it_is_and_recorded_where_it_is_not(context):
    revision = PartRevision.objects.get(part__number="BM10-146", revision="A")
    assert '["bm10-146","a"]' in read(data_url(context, revision, "compressor"))[1]["key"]
    bare = PartRevision.objects.create(
        part=Part.objects.create(number="N", name="n", kind="blower"), revision="A"
    )
    path, query = read(data_url(context, bare, "blower"))
    assert path == "/edit/-/blowers/"
    assert (query["part_number"], query["part_revision"]) == ("N", "A")
    assert data_url(context, bare, "trim") == ""
    assert read(point_url(context, bare, "blower"))[0] == "/edit/-/blower-curve/"


def test_changes_are_searched_by_the_text():
    assert changes_url("A B/1") == "/history/?text=A+B%2F1"
