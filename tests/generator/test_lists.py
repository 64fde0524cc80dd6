"""Lists at real size: each filter, each sort, first, middle and last page; queries and rows bounded by the page."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kits.bom.models import Kit
from kits.fitment.models import CatalogueStamp, Fitment, SizedFitment
from kits.fitment.queries import worst_fitments
from kits.parts.models import Part, PartRevision
from tests.generator.addresses import FIT, LISTS, PARTS, VEHICLES, Listed, sorts_of
from tests.generator.test_loading import parts_of
from tests.kits.fitment.pages import text
from vehicles.catalogue.models import Variant

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("real_size")]

MOST_QUERIES = 20


def seen_at(client, address: str, listed: Listed, fetched: list[int]) -> int:
    """Ask for a page and hold it against its bounds; returns how many pages there are."""
    fetched.clear()
    with CaptureQueriesContext(connection) as seen:
        answer = client.get(address)
    body = answer.content.decode()
    assert answer.status_code == 200, address
    assert len(seen) <= MOST_QUERIES, address
    assert sum(fetched) <= listed.most_rows, address
    assert "message--warning" not in body, address
    assert "errorlist" not in body, address
    return answer.context["table"].paginator.num_pages


@pytest.mark.parametrize("listed", LISTS, ids=lambda listed: listed.path)
def test_each_page_takes_few_queries_and_fetches_no_more_than_its_rows(
    owner_client, listed, fetched, sampled
):
    kit = Kit.objects.first().pk
    for query in sampled((*listed.filters, *sorts_of(listed, kit)), 8):
        last = seen_at(owner_client, f"{listed.path}?{query}", listed, fetched)
        for page in {last // 2, last} - {0, 1}:
            seen_at(owner_client, f"{listed.path}?{query}&page={page}", listed, fetched)
    for sort in sampled(sorts_of(listed, kit) if listed.filters else (), 3):
        seen_at(owner_client, f"{listed.path}?{listed.filters[0]}&{sort}", listed, fetched)


def shown(client, listed: Listed, query: str) -> list[int]:
    """The keys of all pages in their order."""
    table = client.get(f"{listed.path}?{query}").context["table"]
    return list(table.data.data.values_list("pk", flat=True))


def test_pages_together_show_each_row_once_however_sorted(owner_client):
    """Sorted by what many rows share, too."""
    for listed, sort, model in (
        (FIT, "-verdict", Variant),
        (VEHICLES, "powertrain", Variant),
        (PARTS, "kind", Part),
    ):
        together = shown(owner_client, listed, f"sort={sort}")
        assert len(together) == len(set(together)) == model.objects.count(), sort
        beginning = []
        for page in (1, 2, 3):
            table = owner_client.get(f"{listed.path}?sort={sort}&page={page}").context["table"]
            beginning += [row.record.pk for row in table.page]
        assert beginning == together[: len(beginning)], sort
        assert len(beginning) == 3 * table.paginator.per_page


def test_the_fit_table_sorts_by_the_best_or_worst_answer_of_each_car(owner_client):
    answers: dict[int, list[tuple[int, float]]] = {}
    rows = SizedFitment.objects.values_list("fitment__variant", "verdict_rank", "margin_share")
    for variant, verdict_rank, margin in rows:
        answers.setdefault(variant, []).append((verdict_rank, -9.0 if margin is None else margin))
    best_first = [
        min((r, -m) for r, m in answers[pk])
        for pk in shown(owner_client, FIT, "sort=verdict")
        if pk in answers
    ]
    assert best_first == sorted(best_first)
    worst_first = [
        max((r, -m if r < 3 else 0) for r, m in answers[pk])
        for pk in shown(owner_client, FIT, "sort=-verdict")
        if pk in answers
    ]
    assert worst_first == sorted(worst_first, reverse=True)
    least = [
        min(known) for pk in shown(owner_client, FIT, "sort=margin")
        if (known := [m for _, m in answers.get(pk, ()) if m != -9.0])
    ]  # fmt: skip
    assert least == sorted(least)
    assert len(least) > 1_000


def test_a_filter_of_the_fit_table_shows_the_cars_with_one_fitment_that_matches_all(owner_client):
    expected = {
        "verdict=marginal": {"sized__verdict": "marginal"},
        "kit=KIT-03&verdict=not+enough": {"kit__code": "KIT-03", "sized__verdict": "not enough"},
        "state=blocking&kit=KIT-04": {"kit__code": "KIT-04", "sized__blocking_count__gt": 0},
        "state=missing": {"sized__missing_count__gt": 0},
        "state=unsized": {"sized__isnull": True},
    }
    for query, fitments in expected.items():
        wanted = set(Fitment.objects.filter(**fitments).values_list("variant", flat=True))
        assert wanted, query
        assert set(shown(owner_client, FIT, query)) == wanted, query
    old = SizedFitment.objects.filter(catalogue_stamp__lt=CatalogueStamp.objects.get().value)
    never = Fitment.objects.filter(sized__isnull=True)
    stale = set(old.values_list("fitment__variant", flat=True)) | set(never.values_list("variant", flat=True))
    assert set(shown(owner_client, FIT, "state=stale")) == stale


def test_with_a_kit_chosen_only_its_column_is_shown(owner_client):
    table = owner_client.get("/fit/?kit=KIT-03").context["table"]
    assert [str(column.header) for column in table.columns] == ["Variant", "KIT-03 Slate coast kit 3"]


def test_cars_are_found_by_option_survey_and_words(owner_client):
    both = {"variant_options__option__code": "canvas"}
    wanted = Variant.objects.filter(variant_options__option__code="left").filter(**both)
    query = "option.steering=left&option.roof=canvas"
    for listed in (VEHICLES, FIT):
        assert set(shown(owner_client, listed, query)) == set(wanted.values_list("pk", flat=True))
    open_ones = set(Variant.objects.filter(to_be_surveyed=True).values_list("pk", flat=True))
    assert open_ones
    assert set(shown(owner_client, VEHICLES, "survey=open")) == open_ones
    electric = wanted.filter(line__maker="Morva").filter(powertrain__drive="electric")
    words = "text=Morva+roof+canvas+steering+left+electric&option.heater="
    assert set(shown(owner_client, VEHICLES, words)) == set(electric.values_list("pk", flat=True))


def test_parts_are_found_by_use(owner_client):
    kits = {code: parts_of(code) for code in Kit.objects.values_list("code", flat=True)}
    numbers = dict(Part.objects.values_list("pk", "number"))
    uses = {number: sum(number in used for used in kits.values()) for number in numbers.values()}

    def found(query: str) -> set[str]:
        return {numbers[pk] for pk in shown(owner_client, PARTS, query)}

    assert found("kit=KIT-05") == kits["KIT-05"]
    assert found("use=one") == {number for number, count in uses.items() if count == 1}
    assert found("use=several") == {number for number, count in uses.items() if count > 1}
    nowhere = Part.objects.filter(entries__isnull=True, used_in__isnull=True).exclude(
        kind__in=("hose", "hose end")
    )
    assert set(nowhere.values_list("number", flat=True)) <= found("use=none")
    assert not any(uses[number] for number in found("use=none"))
    counts = [uses[numbers[pk]] for pk in shown(owner_client, PARTS, "sort=-kits")]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > 1
    cells = owner_client.get("/parts/?sort=-kits").context["table"].kit_counts
    assert {numbers[pk]: count for pk, count in cells.items()} == {
        n: uses[n] for n in (numbers[pk] for pk in cells)
    }


def test_parts_are_found_by_the_maturity_of_a_revision_and_show_the_newest(owner_client):
    wanted = set(PartRevision.objects.filter(maturity="prototype").values_list("part", flat=True))
    assert set(shown(owner_client, PARTS, "maturity=prototype")) == wanted
    assert "C prototype" in text(owner_client.get("/parts/?maturity=prototype"))


def test_links_to_pages_and_sorts_keep_the_filters(owner_client):
    body = owner_client.get("/fit/?verdict=marginal&option.roof=canvas&sort=-margin&page=2").content.decode()
    links = re.findall(r'href="(\?[^"]+)"', body)
    following = [link for link in links if "page=3" in link]
    assert following
    for part in ("verdict=marginal", "option.roof=canvas", "sort=-margin"):
        assert all(part in link for link in following), part
    by_name = next(link for link in links if re.search(r"sort=name\b", link))
    assert "verdict=marginal" in by_name
    assert "page=" not in by_name, "another order begins at its first page"


NONSENSE = (
    "page=zz", "page=0", "page=-3", "page=99999999999999999999", f"page={'9' * 5000}", "page=1e3", "page=",
    "sort=nonsense", "sort=-", "sort=--name", "sort=name,-line", "sort=pk", "sort=variant_options__option__name",
    "per_page=0", "per_page=100000", "line=nonsense", "line=%00", "text=%00", "text=" + "x" * 5000,
    "text=a+b+c+d+e+f+g+h+i", "kit=nonsense", "verdict=%F0%9F%9A%97", "state=x", "survey=perhaps", "kind=x", "use=x",
    "option.roof=nonsense", "option.roof=%00", "option.=x", "option.roof=steel&option.roof=canvas", "maturity=%27--",
)  # fmt: skip


@pytest.mark.parametrize("listed", LISTS, ids=lambda listed: listed.path)
def test_nonsense_in_the_address_gives_the_page(owner_client, listed, fetched, sampled):
    for query in sampled(NONSENSE, 10):
        fetched.clear()
        answer = owner_client.get(f"{listed.path}?{query}")
        assert answer.status_code == 200, query
        assert sum(fetched) <= listed.most_rows, query


@pytest.mark.parametrize(
    ("path", "sentence"),
    [
        ("/fit/?page=zz", "There is no page “zz”; this is page 1."),
        ("/parts/?page=999", "There is no page “999”; this is page 100 of 100."),
        ("/vehicles/?page=0", "There is no page “0”; this is page 1 of 40."),
        ("/kits/?sort=nonsense", "The list can’t be sorted by “nonsense”; that is left out."),
        ("/fit/?verdict=perhaps", "There is no “perhaps” to choose here; this filter is left out."),
        ("/fit/?kit=KIT-99", "There is no “KIT-99” to choose here; this filter is left out."),
        ("/vehicles/?option.roof=glass", "There is no “glass” to choose here; this filter is left out."),
        ("/parts/?text=a+b+c+d+e+f+g+h+i", "Search by 8 words at most; this search is left out."),
    ],
)
def test_what_can_not_be_followed_is_said(owner_client, path, sentence):
    assert sentence in text(owner_client.get(path))


def test_a_wrong_filter_leaves_the_others_in_force(owner_client):
    table = owner_client.get("/fit/?kit=nonsense&verdict=marginal&line=ORV30").context["table"]
    right = owner_client.get("/fit/?verdict=marginal&line=ORV30").context["table"]
    assert table.paginator.count == right.paginator.count


def test_nothing_and_one_row_are_shown_too(owner_client):
    assert "No variant matches these filters." in text(owner_client.get("/fit/?text=zzzz"))
    assert "No vehicle matches these filters." in text(owner_client.get("/vehicles/?text=zzzz"))
    assert "No part matches these filters." in text(owner_client.get("/parts/?text=zzzz"))
    one = owner_client.get("/parts/?text=BM00011")
    assert one.context["table"].paginator.count == 1
    assert "Rows 1 to" not in text(one)


def test_the_home_page_names_the_worst_first_without_reading_all_answers(owner_client, fetched):
    expected = list(worst_fitments())
    assert {sized.verdict for sized in expected} == {"not enough"}
    fetched.clear()
    with CaptureQueriesContext(connection) as seen:
        body = text(owner_client.get("/"))
    assert len(seen) <= MOST_QUERIES
    assert sum(fetched) <= 30
    assert all(str(sized.fitment.variant) in body for sized in expected)


def test_pages_of_one_thing_do_not_grow_with_the_catalogue(owner_client, fetched):
    fitment = Fitment.objects.select_related("kit", "variant__line").first()
    part = Part.objects.filter(entries__isnull=False, kind="bracket").first()
    car = f"{fitment.variant.line.code}/{fitment.variant.code}/"
    used = len(parts_of(fitment.kit.code))
    for path, most in (
        (f"/fitments/{fitment.kit.code}/{car}", 12 * used),
        # its chassis numbers and options are held against those of the other cars of its line
        (f"/vehicles/{car}", 200 + 8 * fitment.variant.line.variants.count()),
        # it says in how many of their kits' vehicles a part is: each with its options, so 7 rows a vehicle
        (
            f"/parts/{part.number}/",
            100 + 8 * Fitment.objects.filter(kit__positions__entries__part=part).count(),
        ),
    ):
        fetched.clear()
        with CaptureQueriesContext(connection) as seen:
            assert owner_client.get(path).status_code == 200
        assert len(seen) <= 90, path
        assert sum(fetched) <= most, path
