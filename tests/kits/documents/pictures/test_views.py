"""The load chart of a stored answer."""

from dataclasses import replace

import pytest
from django.urls import reverse

from kits.fitment.models import Fitment
from kits.topics.figure import Line, Picture, Topic
from tests.kits.fitment.answers import NOT_SIZED, store, tell

WHERE = "/fitments/S4-DASH/S4/CP12L/load.svg"
pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]


def test_a_sized_fitment_has_its_picture_light_dark_and_narrow(owner_client):
    store(Fitment.objects.get(variant__code="CP12L"))
    light = owner_client.get(WHERE)
    assert light["Content-Type"] == "image/svg+xml; charset=utf-8"
    assert light.content.lstrip().startswith((b"<?xml", b"<svg"))
    assert owner_client.get(WHERE + "?theme=dark").content != light.content
    assert owner_client.get(WHERE + "?size=narrow").content != light.content


def test_without_a_load_there_is_no_picture(owner_client):
    assert owner_client.get(WHERE).status_code == 404
    store(Fitment.objects.get(variant__code="CP12L"), NOT_SIZED)
    assert owner_client.get(WHERE).status_code == 404


COURSE = Picture(
    "course",
    "Pull-down",
    "It cools.",
    "time, min",
    y_label="°C",
    lines=(Line("cabin", (0.0, 30.0), (60.0, 25.0)),),
)
BROKEN = replace(COURSE, code="broken", lines=(Line("cabin", (0.0,), (60.0,)),))
TOPIC = Topic("pull-down", "Pull-down", "It cools.", pictures=(COURSE, BROKEN))


def address_of(name, query="", variant="CP12L"):
    """The address of a picture of a topic."""
    return reverse("topic-picture", args=["S4-DASH", "S4", variant, *name.split("/")]) + query


def test_a_topic_has_its_picture_light_dark_and_narrow(owner_client, monkeypatch):
    tell(monkeypatch, TOPIC)
    store(Fitment.objects.get(variant__code="CP12L"))
    light = owner_client.get(address_of("pull-down/course"))
    assert (light.status_code, light["Content-Type"]) == (200, "image/svg+xml; charset=utf-8")
    for query in ("?theme=dark", "?size=narrow", "?size=narrow&theme=dark"):
        assert owner_client.get(address_of("pull-down/course", query)).content != light.content


@pytest.mark.parametrize("name", ["pull-down/other", "charge/course", "pull-down/broken"])
def test_what_is_not_there_or_cannot_be_drawn_is_not_found(owner_client, monkeypatch, name):
    tell(monkeypatch, TOPIC)
    store(Fitment.objects.get(variant__code="CP12L"))
    assert owner_client.get(address_of(name)).status_code == 404


def test_a_fitment_without_an_answer_has_no_picture(owner_client):
    assert owner_client.get(address_of("pull-down/course")).status_code == 404


def test_the_rated_points_of_a_part_have_their_pictures(owner_client):
    where = "/parts/BM10-146/A/volumetric.svg"
    light = owner_client.get(where)
    assert (light.status_code, light["Content-Type"]) == (200, "image/svg+xml; charset=utf-8")
    assert owner_client.get(where + "?theme=dark").content != light.content
    assert owner_client.get(where + "?size=narrow").content != light.content


@pytest.mark.parametrize(
    "path", ["BM10-146/A/heat.svg", "BM10-146/Z/volumetric.svg", "NONE/A/heat.svg", "BM30-200/A/heat.svg"]
)
def test_a_part_without_such_points_has_no_picture(owner_client, path):
    assert owner_client.get(f"/parts/{path}").status_code == 404
