"""What the pages of vehicles fetch: in which order, for which line, in how many queries."""

import pytest

from tests.vehicles.catalogue.cars import make_cars
from tests.vehicles.rows import make_variant
from vehicles.catalogue.queries import options_of_lines, variant_page, variants
from vehicles.models import ChassisRange, ModelLine, Surface

pytestmark = pytest.mark.django_db


@pytest.fixture
def cars() -> None:
    make_cars()


def codes(line: str = "") -> list[tuple[str, list[str]]]:
    return [
        (feature.code, [option.code for option in options]) for feature, options in options_of_lines(line)
    ]


@pytest.mark.usefixtures("cars")
def test_options_stand_by_feature_and_order_and_only_where_a_line_has_them():
    assert codes("S4") == [("steering", ["left", "right"]), ("roof", ["coupe", "open"])]
    assert codes("V30") == [("steering", ["left", "right"])]
    assert codes() == codes("S4"), "an option of two lines stands once, one of no line not at all"
    assert codes("V3") == codes("v30") == []


def test_without_a_line_there_is_no_option():
    assert codes() == []


def test_a_list_of_many_cars_asks_no_more_often_than_one_of_one(cars, django_assert_num_queries):
    def shown(rows):
        return [
            (v.line.name, v.cabin.name, [held.option.name for held in v.variant_options.all()]) for v in rows
        ]

    with django_assert_num_queries(2):
        one = shown(variants().filter(code="VX"))
    with django_assert_num_queries(2):
        many = shown(variants())
    assert (len(one), len(many)) == (1, 5)
    assert many[0][2] == ["left-hand drive", "coupé"]


@pytest.mark.usefixtures("cars")
def test_one_code_in_two_lines_is_two_cars():
    assert variant_page("S4", "CP-L").name == "Coupé left"
    assert variant_page("V30", "CP-L").name.startswith("<script>")


@pytest.mark.usefixtures("cars")
def test_a_car_that_is_not_there_is_none():
    asked = (("S4", "VX"), ("S4", "cp-l"), ("S4", ""), ("", "CP-L"), ("S4", "%"))
    assert [variant_page(line, code) for line, code in asked] == [None] * 5


def test_a_cars_page_does_not_ask_more_for_more_rows(cars, django_assert_max_num_queries):
    car = ModelLine.objects.get(code="S4").variants.get(code="CP-R")
    for n in range(6):
        make_variant(car.line, f"N{n}", cabin=car.cabin, powertrain=car.powertrain)
        Surface.objects.create(cabin=car.cabin, code=f"s{n}", name="Side", kind="opaque")
        ChassisRange.objects.create(variant=car, prefix="S", first=n * 10, last=n * 10 + 5)
    # the car, and one for each kind of row that it has
    with django_assert_max_num_queries(16):
        page = variant_page("S4", "CP-R")
        told = (
            page.chassis_ranges.all(), page.cabin.surfaces.all(), page.cabin.variants.all(),
            page.powertrain.variants.all(), page.powertrain.pulleys.all(), page.powertrain.charging_curve.all(),
        )  # fmt: skip
        assert [len(rows) for rows in told] == [6, 6, 7, 7, 0, 0]
        assert [list(s.layers.all()) + list(s.terms.all()) for s in page.cabin.surfaces.all()] == [[]] * 6
