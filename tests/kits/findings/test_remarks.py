"""What a calculation finds stands among the fitment's findings, once, with its topic and the field that mends it."""

import json
import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from django.utils import timezone

from kits.documents.checklist import checklist
from kits.documents.queries import document_source
from kits.documents.sizing_sheet import sizing_sheet
from kits.fitment.actions import ask_to_size
from kits.fitment.models import SizedFitment
from kits.fitment.queries import fitment_sheet
from tests.kits.findings.defect import KIT, LINE
from tests.kits.findings.of_calculations import BLOCKING, CALCULATIONS
from tests.kits.findings.test_defects import link_of
from tests.sampling import sampler

pytestmark = pytest.mark.one_database


def sized(manager, car):
    """The findings of the fitment after it was sized anew."""
    keys = [(KIT, LINE, car)]
    ask_to_size(actor=manager, on=timezone.localdate(), fitment=keys[0])
    return fitment_sheet(*keys[0], timezone.localdate()).kit.findings


def pytest_generate_tests(metafunc):
    """Each run spoils other rows: every one takes a sizing."""
    if "defect" in metafunc.fixturenames:
        some = sampler(metafunc.config)(CALCULATIONS, 7)
        metafunc.parametrize("defect", some, ids=[defect.name for defect in some])


def test_a_remark_is_a_finding_of_the_sheet_and_its_link_opens_the_field(
    defect, demonstration, manager, manager_client
):
    defect.spoil(manager)
    findings = sized(manager, defect.cars)
    told = [f for f in findings if f.code == defect.code]
    assert told, {f.code for f in findings}
    assert all((f.severity == "blocks") is (f.code in BLOCKING) for f in told)
    stored = SizedFitment.objects.get(fitment__variant__code=defect.cars)
    assert stored.blocking_count == sum(f.severity == "blocks" for f in findings)

    path = f"/fitments/{KIT}/{LINE}/{defect.cars}/"
    page = manager_client.get(path).content.decode()
    assert f'href="{path}calculations/#{told[0].topic[0]}">Calculation: {told[0].topic[1]}' in unescape(page)
    links = [urlsplit(link_of(page, f.sentence)) for f in told]
    assert {(url.path, url.fragment) for url in links} == {
        (f"/edit/{defect.line}/{defect.sheet}/", f"id_row-{defect.field}")
    }
    queries = [parse_qs(url.query) for url in links]
    if defect.key is None:
        assert set(defect.given) <= {(name, values[0]) for name, values in queries[0].items()}
    else:
        assert list(defect.key) in [json.loads(query["key"][0]) for query in queries]
    form = manager_client.get(f"{links[0].path}?{links[0].query}")
    assert f'id="{links[0].fragment}"' in form.content.decode()


def test_what_the_kit_and_a_calculation_tell_is_told_once(demonstration, manager, owner_client):
    findings = sized(manager, "TR12L")
    assert [f.topic for f in findings if (f.code, f.where) == ("length-missing", "length:LIQ-L")] == [None]
    page = owner_client.get(f"/fitments/{KIT}/{LINE}/TR12L/").content.decode()
    severities = re.findall(
        r"finding finding--(\w+)", page[page.index('id="findings"') : page.index('id="parts"')]
    )
    assert severities == sorted(severities, key=["blocks", "warns", "notes"].index)
    assert page.count("route LIQ-L is not measured") == 0


def test_what_blocks_stands_on_the_papers_and_in_the_fit_table(demonstration, manager, manager_client):
    defect = next(d for d in CALCULATIONS if d.code == "gas-refused")
    defect.spoil(manager)
    findings = sized(manager, defect.cars)
    blocking = tuple(f for f in findings if f.severity == "blocks")
    assert {f.code for f in blocking} >= {"gas-refused"}
    source = document_source(KIT, LINE, defect.cars, timezone.localdate(), "home")
    for paper in (checklist, sizing_sheet):
        assert {f.sentence for f in blocking} <= set(paper(source, "us").title.stop.reasons)
    assert f"{len(blocking)} finding" in manager_client.get("/fit/").content.decode()


def test_each_defect_has_its_own_name_and_each_blocking_kind_is_seeded():
    assert len({d.name for d in CALCULATIONS}) == len(CALCULATIONS)
    assert {d.code for d in CALCULATIONS} >= BLOCKING
