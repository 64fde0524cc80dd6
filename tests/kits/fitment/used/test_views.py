"""The list of parts and a part's page."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import escape

from kits.parts.models import Part, PartRevision
from tests.kits.fitment.pages import text
from vehicles.climate.models import BenchPoint


def test_without_parts_the_page_says_what_to_do_first(manager_client):
    assert "Import a workbook" in text(manager_client.get("/parts/"))


@pytest.mark.usefixtures("demonstration_here")
def test_parts_are_searched_by_every_word(owner_client):
    page = text(owner_client.get("/parts/?text=compressor+belt"))
    assert "BM10-146" in page
    assert "BM10-180" not in page
    assert "No part matches" in text(owner_client.get("/parts/?text=%25%27%22--"))


@pytest.mark.usefixtures("demonstration_here")
@pytest.mark.parametrize(
    "typed", ["%3Cb%3E", "&lt;b&gt;", "<b>", '"><script>x</script>', "{{ rights }}{% debug %}"]
)
def test_what_is_searched_is_read_once_and_shown_as_it_was_typed(owner_client, typed):
    page = owner_client.get("/parts/", {"text": typed}).content.decode()
    (field,) = re.findall(r'<input[^>]* name="text"[^>]*>', page)
    assert f'value="{escape(typed)}"' in field
    assert typed not in page or escape(typed) == typed


@pytest.mark.usefixtures("demonstration_here")
def test_of_a_name_given_twice_the_last_counts_and_a_form_is_not_read_from_the_address(owner_client):
    twice = owner_client.get("/parts/?text=nothing&text=BM10-146").content.decode()
    assert "BM10-146" in twice and "No part matches" not in twice


@pytest.mark.usefixtures("demonstration_here")
def test_parts_come_in_pages(owner_client):
    page = text(owner_client.get("/parts/"))
    assert f"Rows 1 to 50 of {Part.objects.count()}" in page


@pytest.mark.usefixtures("demonstration_here")
def test_a_part_shows_its_data_with_origin_ports_and_use(owner_client):
    page = text(owner_client.get("/parts/BM10-146/"))
    for words in ("Displacement 146 cm³", "data sheet", "800 3 0.7 0.57", "D discharge O-ring thread #8"):
        assert words in page
    assert "S4 Dash kit 100 Compressor entry 1" in page


@pytest.mark.usefixtures("demonstration_here")
def test_an_assembly_and_its_content_lead_to_each_other(owner_client):
    assert "/parts/BM30-211/" in owner_client.get("/parts/BM30-200/").content.decode()
    assert "/parts/BM30-200/" in owner_client.get("/parts/BM30-211/").content.decode()


def test_an_unknown_part_is_not_found(owner_client):
    assert owner_client.get("/parts/NONE/").status_code == 404


@pytest.mark.usefixtures("demonstration_here")
def test_a_rated_point_names_its_bench_point_without_a_query_for_each(
    owner_client, django_assert_max_num_queries
):
    data = PartRevision.objects.get(part__number="BM10-146").compressor_data
    bench = BenchPoint.objects.create(code="B1", name="Bench, hot", subject="compressor")
    with CaptureQueriesContext(connection) as before:
        owner_client.get("/parts/BM10-146/")
    data.rated_points.update(bench_point=bench)
    assert data.rated_points.count() > 3
    # one query more for all bench points together
    with django_assert_max_num_queries(len(before) + 1):
        page = text(owner_client.get("/parts/BM10-146/"))
    assert page.count("Bench, hot") == data.rated_points.count()
