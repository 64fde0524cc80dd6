"""Cars are found by words, line, survey and options; nothing that somebody types breaks the list or means more."""

import pytest
from django.http import QueryDict

from tests.vehicles.catalogue.cars import make_cars
from vehicles.catalogue.filters import CarFilter
from vehicles.catalogue.models import Variant

pytestmark = pytest.mark.django_db

S4_CARS = ["S4 CP-L", "S4 CP-R", "S4 TR_L"]
V30_CARS = ["V30 CP-L", "V30 VX"]
ALL = [*S4_CARS, *V30_CARS]


@pytest.fixture
def cars() -> None:
    make_cars()


def asked(query: str) -> CarFilter:
    return CarFilter(QueryDict(query), Variant.objects.all())


def found(query: str) -> list[str]:
    return [f"{line} {code}" for line, code in asked(query).qs.values_list("line__code", "code")]


FOUND = {
    "": ALL,
    "text=": ALL,
    "text=+++": ALL,
    # the car's name, its code, its line's name, code and maker, its powertrain, one of its options
    "text=tourer": ["S4 TR_L"],
    "text=cp-l": ["S4 CP-L", "V30 CP-L"],
    "text=SOLENNE": S4_CARS,
    "text=v30": V30_CARS,
    "text=orlock+%26": V30_CARS,
    "text=diesel": V30_CARS,
    "text=right-hand": ["S4 CP-R", "V30 VX"],
    # each word has to stand somewhere, one in the name and one in an option, in any order
    "text=left+solenne": ["S4 CP-L", "S4 TR_L"],
    "text=open+left": ["S4 TR_L"],
    "text=left+diesel": ["V30 CP-L"],
    "text=coup%C3%A9+diesel": [],
    # an option that is offered but that no car has
    "text=dome": [],
    "line=S4": S4_CARS,
    "line=V30&text=left": ["V30 CP-L"],
    "survey=open": ["S4 TR_L"],
    "survey=done": ["S4 CP-L", "S4 CP-R", *V30_CARS],
    "survey=done&line=S4&text=left": ["S4 CP-L"],
    "option.steering=left": ["S4 CP-L", "S4 TR_L", "V30 CP-L"],
    "option.steering=left&option.roof=open": ["S4 TR_L"],
    "option.roof=": ALL,
    # the last of two answers counts
    "option.steering=left&option.steering=right": ["S4 CP-R", "V30 VX"],
    "line=V30&option.steering=right": ["V30 VX"],
    # what stands for itself, and for nothing else
    "text=100%25": ["S4 TR_L"],
    "text=%25": ["S4 TR_L"],
    "text=_": ["S4 TR_L"],
    "text=%5C": ["V30 VX"],
    "text='": ["V30 CP-L", "V30 VX"],
    "text=%3Cscript%3E": ["V30 CP-L"],
    "text='%3B+DROP+TABLE+vehicles_variant%3B--": [],
    "text=%27+OR+1%3D1": [],
    "text=.*": [],
    "text=zzzz": [],
    "text=%F0%9F%9A%97": [],
    "text=" + "x" * 200: [],
    "text=a+b+c+d+e+f+g+h": [],
}


@pytest.mark.usefixtures("cars")
def test_these_cars_are_found():
    assert {query: found(query) for query in FOUND} == FOUND
    assert [query for query in FOUND if asked(query).form.errors] == []


LEFT_OUT = {
    "text=a+b+c+d+e+f+g+h+i": ("text", "Search by 8 words at most; this search is left out."),
    "text=" + "x" * 201: ("text", "at most 200 characters"),
    "text=S4%00": ("text", "Null characters are not allowed."),
    "line=s4": ("line", "There is no “s4” to choose here; this filter is left out."),
    "line=%00": ("line", "Null characters are not allowed."),
    "line=%3Cscript%3E": ("line", "There is no “<script>” to choose here; this filter is left out."),
    "survey=perhaps": ("survey", "There is no “perhaps” to choose here; this filter is left out."),
    "option.steering=middle": ("option.steering", "There is no “middle” to choose here"),
    "option.roof=%00": ("option.roof", "this filter is left out."),
    # an option of another line, and one that no line has
    "line=S4&option.roof=glass": ("option.roof", "There is no “glass” to choose here"),
}


@pytest.mark.usefixtures("cars")
def test_what_can_not_be_followed_is_said_and_left_out():
    for query, (field, sentence) in LEFT_OUT.items():
        errors = asked(query).form.errors
        assert list(errors) == [field], query
        assert sentence in " ".join(errors[field]), query
        assert found(query) == (S4_CARS if query.startswith("line=S4&") else ALL), query


@pytest.mark.usefixtures("cars")
def test_a_wrong_answer_leaves_the_other_fields_in_force():
    assert found("survey=perhaps&line=V30&text=left") == ["V30 CP-L"]


@pytest.mark.usefixtures("cars")
def test_a_chosen_line_offers_its_own_features_and_options_in_their_order():
    def offered(query):
        fields = asked(query).folded_fields
        return {field.name: [code for code, _ in field.field.choices][1:] for field in fields}

    assert offered("line=S4") == {"option.steering": ["left", "right"], "option.roof": ["coupe", "open"]}
    assert offered("line=V30") == {"option.steering": ["left", "right"]}
    assert list(offered("")) == ["option.steering", "option.roof"]
    assert offered("line=nowhere") == {}
    # a feature that the line does not have is no field there, so it filters nothing
    assert found("line=V30&option.roof=open") == V30_CARS


@pytest.mark.usefixtures("cars")
def test_options_are_folded_away_until_one_is_chosen():
    assert not asked("text=left").is_unfolded
    assert asked("option.roof=open").is_unfolded
    assert [field.name for field in asked("").open_fields] == ["text", "line", "survey"]


def test_without_a_car_there_is_nothing_to_find_and_nothing_to_choose():
    filtered = asked("text=left")
    assert (list(filtered.qs), filtered.folded_fields) == ([], [])
