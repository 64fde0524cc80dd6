"""Each defect is found in the cars that have it and in no other, and its link opens the field that mends it."""

import html
import json
import re
from urllib.parse import parse_qs, urlsplit

import pytest
from django.utils import timezone

from kits.fitment.bridge import load_catalogue
from kits.fitment.queries import findings_of_car
from tests.kits.findings.defect import KIT, LINE
from tests.kits.findings.of_cars import CARS, FITMENTS, STEPS
from tests.kits.findings.of_parts import HOSES, JOINTS, PARTS, POSITIONS, WIRES
from tests.sampling import sampler
from vehicles.catalogue.models import Variant

pytestmark = pytest.mark.one_database
GRAVEST = ("blocks", "warns", "notes")
LINKS = 20
DEFECTS = (*POSITIONS, *PARTS, *HOSES, *JOINTS, *WIRES, *STEPS, *FITMENTS, *CARS)


def found(codes, on_car):
    """The findings of cars by their code."""
    if on_car:
        cars = Variant.objects.filter(line__code=LINE, code__in=codes)
        return {car.code: findings_of_car(car) for car in cars}
    catalogue = load_catalogue([(KIT, LINE, code) for code in codes], timezone.localdate())
    return {row.key[2]: catalogue.resolve(row).findings for row in catalogue.fitments}


@pytest.fixture(scope="module")
def clean(first_line_in_module, django_db_blocker):
    """The findings of every car before anything is spoilt: (on the car's page, car) -> findings."""
    with django_db_blocker.unblock():
        cars = Variant.objects.values_list("code", flat=True)
        return {(on, car): f for on in (False, True) for car, f in found(cars, on).items()}


def news(defect, clean, car, findings):
    """The findings of the defect's code that were not there before."""
    before = {f.sentence for f in clean[defect.on_car, car]}
    return [f for f in findings if f.code == defect.code and f.sentence not in before]


def link_of(page, sentence):
    """The link beside a sentence on a page."""
    shown = re.escape(html.escape(sentence))
    match = re.search(shown + r'</span><a class="finding__link" href="([^"]*)"', page)
    assert match, f"The page does not say: {sentence}"
    return html.unescape(match.group(1))


def page_of(defect, car):
    """The page that tells the defect."""
    return f"/vehicles/{LINE}/{car}/" if defect.on_car else f"/fitments/{KIT}/{LINE}/{car}/"


def pytest_generate_tests(metafunc):
    """Each run follows the links of other defects."""
    if "linked" in metafunc.fixturenames:
        some = sampler(metafunc.config)(DEFECTS, LINKS)
        metafunc.parametrize("linked", some, ids=[defect.name for defect in some])


def told_of(defect, clean, manager):
    """What the cars of the defect, and those that must be spared, are newly told once it is there."""
    defect.spoil(manager)
    told = found([*defect.cars.split(), *defect.spared.split()], defect.on_car)
    return {car: news(defect, clean, car, told[car]) for car in told}


def gravest(findings):
    assert findings, "not found"
    return min(findings, key=lambda f: GRAVEST.index(f.severity))


@pytest.mark.parametrize("defect", DEFECTS, ids=lambda defect: defect.name)
def test_a_defect_is_found_in_the_cars_that_have_it_alone(defect, clean, demonstration, manager):
    cars = defect.cars.split()
    fresh = told_of(defect, clean, manager)
    severity = gravest(fresh[cars[0]]).severity
    # that another car of the line has a gap is noted in every car; it is as grave only where it is
    assert {car for car in fresh if severity in {f.severity for f in fresh[car]}} == set(cars)


def test_its_link_opens_the_field_that_mends_it(linked, clean, demonstration, manager, manager_client):
    car = linked.cars.split()[0]
    finding = gravest(told_of(linked, clean, manager)[car])
    page = manager_client.get(page_of(linked, car)).content.decode()
    url = urlsplit(link_of(page, finding.sentence))
    query = parse_qs(url.query)
    if finding.where.startswith("pattern:"):
        assert url.path == f"/kits/{KIT}/steps/asked/"
        offered = manager_client.get(url.path).content.decode()
        assert f'value="{finding.where.removeprefix("pattern:")}"' in offered
        return
    assert url.path == f"/edit/{linked.line}/{linked.sheet}/"
    if linked.key is None:
        assert "key" not in query
        assert set(linked.given) <= {(name, values[0]) for name, values in query.items()}
    else:
        assert json.loads(query["key"][0]) == list(linked.key)
    assert query["next"] == [f"{page_of(linked, car)}#findings"]
    assert url.fragment == f"id_row-{linked.field}"

    form = manager_client.get(f"{url.path}?{url.query}")
    assert form.status_code == 200
    assert f'id="{url.fragment}"' in form.content.decode()


SEEN = (
    ("one O-ring too few", "position-410"),
    ("a superseded part is still chosen", "entry-102-1"),
    ("an end of the wrong size", "hose-400-1"),
    ("a fuse that outlives its wire", "circuit-500-6"),
    ("ports of two sizes in one joint", "joint-J3"),
    ("a vacuum before the pressure test", "step-EVACUATE"),
    ("a reading without a limit", "reading-RING-1"),
    ("a length that nobody took", "length-LIQ-R"),
    ("no charge recorded", "charge"),
    ("a car that the kit is not offered for", "fitment"),
    ("chassis numbers of two cars", "variant"),
    ("a prototype in a production box", ""),
)


@pytest.mark.parametrize(("name", "anchor"), SEEN)
def test_who_may_only_read_comes_to_the_place_it_is_about(
    name, anchor, clean, demonstration, manager, owner_client
):
    defect = next(defect for defect in DEFECTS if defect.name == name)
    car = defect.cars.split()[0]
    defect.spoil(manager)
    finding = news(defect, clean, car, found([car], defect.on_car)[car])[0]
    page = owner_client.get(page_of(defect, car)).content.decode()
    url = urlsplit(link_of(page, finding.sentence))
    assert url.fragment == anchor
    shown = owner_client.get(url.path)
    assert shown.status_code == 200
    assert not anchor or f'id="{anchor}"' in shown.content.decode()


def test_there_are_enough_defects_and_each_has_its_own_name():
    names = [defect.name for defect in DEFECTS]
    assert len(set(names)) == len(names) >= 30
