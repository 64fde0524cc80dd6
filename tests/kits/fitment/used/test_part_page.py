"""The page of a part: rows with their links, curves, use, supersession, and suppliers only for the office."""

import re
from datetime import date
from decimal import Decimal
from html import unescape
from io import BytesIO
from zipfile import ZipFile

import pytest
from pypdf import PdfReader

from kits.bom.models import Kit
from kits.parts.models import Part, PartPrice, PartRevision, Supersession, Supplier, SupplierPart
from tests.kits.fitment.pages import text

pytestmark = pytest.mark.one_database


@pytest.fixture
def priced(demonstration_here) -> Part:
    """A part with a supplier, two prices and parts it supersedes and is superseded by."""
    part = Part.objects.get(number="BM10-146")
    supplier = Supplier.objects.create(code="TIDE", name="Tideway Cold Works")
    offer = SupplierPart.objects.create(
        supplier=supplier, part=part, supplier_number="TW-77-146", lead_time_d=21
    )
    for quantity, price in ((1, "187.4321"), (10, "161.9")):
        PartPrice.objects.create(
            supplier_part=offer, in_force_from=date(2026, 1, 1), from_quantity=quantity, price=Decimal(price)
        )
    old, new = (
        Part.objects.create(number=f"BM10-{n}", name=f"{n} one", kind="compressor") for n in ("OLD", "NEW")
    )
    Supersession.objects.create(old=old, new=part, both_ways=True, in_force_from=date(2025, 3, 1))
    Supersession.objects.create(old=part, new=new, note="from stock first")
    return part


@pytest.mark.parametrize("role", ["manager", "production", "owner"])
def test_suppliers_and_prices_are_for_the_office(clients, priced, role):
    page = text(clients[role].get("/parts/BM10-146/"))
    assert "Tideway Cold Works TW-77-146 21" in page
    assert "187.4321 from 1 pc, since 2026-01-01" in page and "161.9 from 10 pc" in page


def test_an_installer_finds_no_supplier_and_no_price_on_any_page_or_in_any_file(clients, priced):
    here = "/fitments/S4-DASH/S4/CP12L/"
    for address in (
        "/parts/", "/parts/?text=tideway", "/parts/BM10-146/", "/kits/S4-DASH/", "/kits/S4-DASH/steps/", here,
        "/parts/BM10-146/A/volumetric.svg", f"{here}parts-list.xlsx?market=home",
        f"{here}parts-list.pdf?market=home",
    ):  # fmt: skip
        names = [*Supplier.objects.values_list("name", flat=True), "TW-77-146", "187.4321", "161.9", "TIDE"]
        said = everything(clients["installer"].get(address))
        assert len(said) > 200
        assert not [name for name in names if name in said], address
    for address in (
        "/lines/S4/workbook.xlsx",
        "/history/",
        "/edit/-/prices/",
        "/edit/-/suppliers/",
        "/import/blank.xlsx",
    ):
        assert clients["installer"].get(address).status_code == 403


def everything(answer) -> str:
    """All text of an answer, a workbook's cells and a paper's pages included."""
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    if answer.status_code == 200 and content[:2] == b"PK":
        with ZipFile(BytesIO(content)) as book:
            return " ".join(book.read(name).decode("utf-8", "ignore") for name in book.namelist())
    if answer.status_code == 200 and content[:4] == b"%PDF":
        return " ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)
    return content.decode("utf-8", "ignore")


def test_a_supersession_is_shown_from_both_parts(clients, priced):
    page = text(clients["installer"].get("/parts/BM10-146/"))
    assert "By BM10-NEW NEW one ; from stock first" in page
    assert (
        "It took the place of BM10-OLD OLD one , from 2025-03-01; either may take the place of the other"
        in page
    )
    assert "By BM10-146" in text(clients["installer"].get("/parts/BM10-OLD/"))
    assert "It took the place of BM10-146" in text(clients["installer"].get("/parts/BM10-NEW/"))


@pytest.mark.usefixtures("demonstration_here")
def test_a_part_says_in_how_many_vehicles_each_place_uses_it(owner_client):
    kit = Kit.objects.get(code="S4-DASH")
    left = kit.fitments.filter(variant__variant_options__option__code="left").count()
    assert 0 < left < kit.fitments.count()
    page = text(owner_client.get("/parts/BM30-200/"))
    assert f"101 Compressor bracket set entry 1 1 set steering left {left} of {kit.fitments.count()}" in page


@pytest.mark.usefixtures("demonstration_here")
def test_rated_points_are_drawn_and_told_in_words(owner_client):
    body = owner_client.get("/parts/BM10-146/").content.decode()
    assert 'src="/parts/BM10-146/A/volumetric.svg"' in body
    assert "volumetric efficiency against pressure ratio." in body and "800 rpm: from 0.7 at 3" in body


def test_a_manager_finds_a_link_for_every_row_and_each_opens(clients, priced):
    body = clients["manager"].get("/parts/BM10-146/").content.decode()
    links: dict[tuple[str, bool], str] = {}
    for link in map(unescape, re.findall(r'href="(/edit/[^"]+)"', body)):
        links[link.split("/")[3], "key=" in link] = link
    kinds = {
        "revisions",
        "ports",
        "compressors",
        "compressor-points",
        "supersessions",
        "supplier-parts",
        "prices",
    }
    assert kinds <= {kind for kind, is_change in links if is_change}
    assert kinds - {"compressors"} | {"structure"} <= {kind for kind, is_change in links if not is_change}
    assert {k: clients["manager"].get(link).status_code for k, link in links.items()} == dict.fromkeys(
        links, 200
    )
    assert 'href="/history/?text=BM10-146"' in body
    for role in ("production", "installer", "owner"):
        assert "/edit/" not in clients[role].get("/parts/BM10-146/").content.decode()


def test_a_part_with_nothing_says_what_is_missing(clients):
    part = Part.objects.create(number="X-1", name="x" * 160, kind="evaporator")
    assert "no revision yet" in text(clients["installer"].get("/parts/X-1/"))
    PartRevision.objects.create(part=part, revision="A", un_number="UN 3358", goods_class="2.1")
    page = text(clients["manager"].get("/parts/X-1/"))
    for words in (
        "Not recorded yet",
        "Record the technical data",
        "Nobody is named who sells it",
        "UN 3358, class 2.1",
    ):
        assert words in page
    assert "Nowhere yet." in page
