"""A change that is tried is answered in under 100 ms on the server: the median of 20 different questions."""

import statistics

import pytest
from django.utils import timezone

from kits.exchange.actions import DEMONSTRATIONS, import_demonstration
from kits.fitment.actions import size_all
from tests.kits.exchange.demonstration.world import ON
from vehicles.records.access import CONSOLE

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]

MOST_S = 0.100
ROUNDS = 20
FITMENTS = ("S4-DASH/S4/CP12L", "M220-UNDER/M220/CLH", "V30-BELT/V30/C14R", "V30-EV/V30/SEVL")
DUTIES = ("cruise-35", "fresh-35", "idle-35", "town-35", "warm-27")


@pytest.fixture(scope="module")
def sized(module_rows):
    """The whole demonstration, imported and sized."""
    import_demonstration(CONSOLE, DEMONSTRATIONS)
    size_all(actor=CONSOLE, on=ON, now=timezone.now())


@pytest.mark.usefixtures("sized")
@pytest.mark.parametrize("duty", DUTIES)
@pytest.mark.parametrize("fitment", FITMENTS)
def test_a_change_is_answered(benchmark, owner_client, fitment, duty):
    address = f"/fitments/{fitment}/study/"
    # no two questions are the same, so that every one of them is worked out
    questions = iter(range(10_000))

    def ask():
        asked = {"duty": duty, "outside_c": f"{33 + 0.01 * next(questions):.2f}"}
        return owner_client.get(address, asked, HTTP_HX_REQUEST="true")

    answer = ask()
    assert answer.status_code == 200
    assert b"study-answer" in answer.content
    benchmark.pedantic(ask, rounds=ROUNDS, warmup_rounds=1)
    benchmark.extra_info.update(address=address, duty=duty, limit_s=MOST_S)
    if benchmark.enabled:
        median_s = statistics.median(benchmark.stats.stats.data)
        benchmark.extra_info["within"] = median_s < MOST_S
        verdict = "within" if median_s < MOST_S else "OVER"
        print(f"\n{verdict} {MOST_S:g} s: {median_s:.3f} s {fitment} {duty}")
