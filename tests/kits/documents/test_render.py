"""Documents as PDF: what a stranger has to find is there, on every sheet, whatever the names."""

import logging
import os
import re
import subprocess
import sys

import pytest
from django.conf import settings

from kits.documents.checklist import checklist
from kits.documents.parts_list import parts_list
from kits.documents.render import _pdf, _style, document_html, document_pdf, live_address
from kits.documents.sizing_report import sizing_report
from kits.documents.sizing_sheet import sizing_sheet
from tests.kits.documents.reading import lowest_pt, pages, text
from tests.kits.documents.sample import STEPS, empty_kit, item, kit, of, sound, sound_kit, step

PRINTABLE_FROM_PT = 17.0
"""6 mm: what most laser printers leave white."""
SCRIPT = "<script>alert('x')</script>"


def size_sheet(resolved):
    """The sizing sheet of the sample answer."""
    return sizing_sheet(of(resolved), "x")


def report(resolved):
    """The report of the sample answer."""
    return sizing_report(of(resolved), "x")


MAKERS = (lambda k: parts_list(of(k), "x"), lambda k: checklist(of(k), "x"), size_sheet, report)


@pytest.fixture(scope="module")
def checklist_pages():
    """The pages of the sample's checklist."""
    return pages(document_pdf(checklist(of(kit()), "M. Ferro")))


def test_each_sheet_says_kit_variant_standard_and_n_of_m(checklist_pages):
    assert len(checklist_pages) > 1
    for number, page in enumerate(checklist_pages, 1):
        assert f"{number} of {len(checklist_pages)}" in page
        for words in (
            "Dash kit (DASH-1)",
            "Solenne S4 left coupé (S4-LC)",
            "none: not released",
            "2026-03-02",
        ):
            assert words in page, words


def test_charge_gas_oil_and_what_blocks_stand_on_the_first_sheet(checklist_pages):
    for words in ("850 g", "± 25 g", "R-134a", "PAG 46", "120 ml", "NOT FOR PRODUCTION", "still a prototype"):
        assert words in checklist_pages[0], words


def test_each_step_is_printed_once():
    whole = " ".join(pages(document_pdf(checklist(sound(), "x"))))
    assert {s.text: whole.count(s.text) for s in STEPS} == {s.text: 1 for s in STEPS}
    assert whole.count("HOLD POINT") == sum(s.hold_point for s in STEPS)
    assert whole.count("Go on: name, signature") == sum(s.hold_point for s in STEPS)
    for words in (
        "24.4 to 31.2 N·m",
        "O-ring #8 HNBR",
        "13.2 to 14.8 V",
        "torque wrench",
        "manifold stays hot",
    ):
        assert words in whole, words


def test_a_long_checklist_keeps_each_step_on_one_sheet():
    words = " ".join(["Feed the hose behind the wing."] * 4)
    many = tuple(step(n, "route", f"Begin{n:03d}. {words} End{n:03d}.") for n in range(1, 41))
    found = pages(document_pdf(checklist(of(kit(steps=many)), "x")))
    for n in range(1, 41):
        assert sum(f"Begin{n:03d}." in p and f"End{n:03d}." in p for p in found) == 1, n
    assert all("What to do and write down" in page for page in found if "Begin" in page), (
        "the head is repeated"
    )


def test_the_parts_list_prints_amounts_cut_lengths_and_flags():
    whole = text(document_pdf(parts_list(of(kit()), "x"), paper="Letter"))
    for words in ("11 pc", "1.243 m", "1,243 mm", "± 6.2 mm", "PROTOTYPE: not for production", "CLUTCH/1"):
        assert words in whole, words


def test_the_sizing_sheet_begins_with_the_verdict_and_its_margin():
    found = pages(document_pdf(size_sheet(sound_kit())))
    first, whole = found[0], " ".join(found)
    assert first.index("not enough") < first.index("−19 %") < whole.index("Duty points")
    for words in (
        "load ± 15 %",
        "2.6 kW",
        "2.2 kW",
        "limited by airflow over the condenser",
        "Worst required duty point: Town, 35 °C",
    ):
        assert words in first, words


def test_the_same_number_stands_on_each_document(checklist_pages):
    charge = "850 g"
    assert charge in text(document_pdf(parts_list(of(kit()), "x")))
    assert charge in checklist_pages[0]


@pytest.mark.parametrize("make", MAKERS)
def test_a_paper_that_is_stopped_says_so_above_each_sheet_and_why_on_the_first(make):
    found = pages(document_pdf(make(kit())))
    assert [page.count("NOT FOR PRODUCTION") for page in found] == [2] + [1] * (len(found) - 1)
    for words in (
        "still a prototype",
        "cut length of Hose suction on route SUC",
        "not enough at the required",
    ):
        assert words in found[0], words


@pytest.mark.parametrize("make", [parts_list, checklist, sizing_sheet, sizing_report])
def test_a_paper_that_is_not_stopped_says_nothing_of_it(make):
    assert "PRODUCTION" not in text(document_pdf(make(sound(sound_kit(items=())), "x")))


@pytest.mark.parametrize("make", [parts_list, checklist, sizing_sheet, sizing_report])
def test_each_sheet_names_the_market_and_the_head_names_it_in_full(make):
    market = "market-of-20-letters"
    far = sound_kit(markets={market: "Far away", "home": "Home"})
    content = document_pdf(make(sound(far, market=market), "Somebody with a very long name"))
    found = pages(content)
    assert f"Market: Far away ({market})" in found[0]
    assert all(f"Market {market}" in page for page in found)
    assert lowest_pt(content) > PRINTABLE_FROM_PT
    assert "Market: no market stated" in text(document_pdf(make(sound(), "x")))


def test_a_hand_in_a_glove_has_room_to_sign():
    css = (settings.BASE_DIR / "templates" / "print" / "signing.css").read_text(encoding="utf-8")
    heights_mm = re.findall(r"\.(?:write|sign__line) \{[^}]* height: ([\d.]+)mm", css)
    assert len(heights_mm) == 2 and all(float(height) >= 8 for height in heights_mm)


@pytest.mark.parametrize("make", MAKERS)
def test_paper_has_the_size_asked_for(make):
    import io

    from pypdf import PdfReader

    box = PdfReader(io.BytesIO(document_pdf(make(empty_kit()), paper="Letter"))).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792)


@pytest.mark.parametrize("make", MAKERS)
def test_hostile_names_stay_text_and_fetch_nothing(make):
    hostile = kit(
        kit_name=SCRIPT, variant_name='"><img src="file:///etc/hostname">', items=(item(1, SCRIPT, "=1+1"),),
        steps=(step(1, "fit", SCRIPT, SCRIPT, tool=SCRIPT, caution=SCRIPT, fits=(SCRIPT,)),),
    )  # fmt: skip
    html = document_html(make(hostile))
    assert "<script" not in html
    assert 'src="file:' not in html
    assert "<script>alert('x')</script>" in text(document_pdf(make(hostile)))


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/hostname",
        "http://127.0.0.1:1/a.png",
        "https://169.254.169.254/",
        "ftp://a/",
        "FILE:///etc/hostname",
    ],
)
def test_a_page_of_paper_fetches_no_file_and_no_address(address, caplog, monkeypatch):
    monkeypatch.setattr(logging.getLogger("weasyprint"), "propagate", True)
    _style()  # our own style sheet with its fonts, which lie in the checkout
    opened = []
    for name in ("urllib.request.OpenerDirector.open", "socket.create_connection"):
        monkeypatch.setattr(name, lambda *a, **k: opened.append(a))
    make = f'<img src="{address}"><link rel="stylesheet" href="{address}"><link rel="attachment" href="{address}">'
    assert _pdf(make).startswith(b"%PDF")
    assert opened == []
    assert "Failed to load" in caplog.text


@pytest.mark.parametrize("make", MAKERS)
def test_long_names_stay_on_the_sheet(make):
    name = "Solenne " + "long distance " * 12 + "estate"
    content = document_pdf(make(kit(variant_name=name, kit_name="Dash kit " + "de luxe " * 15)))
    found = pages(content)
    assert name in found[0]
    assert lowest_pt(content) > PRINTABLE_FROM_PT
    for number, page in enumerate(found, 1):
        for words in (f"{number} of {len(found)}", "(S4-LC)", "(DASH-1)", "none: not released"):
            assert words in page, words


def test_an_empty_kit_says_what_is_not_there():
    assert "Nothing goes into this car yet" in text(document_pdf(parts_list(of(empty_kit()), "x")))
    whole = text(document_pdf(checklist(of(empty_kit()), "x")))
    assert "no step for this car yet" in whole
    assert "not recorded" in whole


def test_another_paper_is_refused():
    with pytest.raises(ValueError, match="A4 or Letter"):
        document_pdf(parts_list(of(kit()), "x"), paper="A3")


def test_the_live_address_begins_with_the_configured_one(settings):
    settings.BASE_URL = "https://kits.example"
    assert live_address(kit()) == "https://kits.example/fitments/DASH-1/S4/S4-LC/"


def test_the_code_is_printed_only_with_an_address():
    assert "image/svg" in document_html(checklist(of(kit()), "x"), address=settings.BASE_URL)
    assert "live page" not in document_html(checklist(of(kit()), "x"))


def test_no_drawing_and_no_page_depends_on_the_order_of_a_set():
    # the order of a set of texts differs from process to process, so two runs with other hashes have to agree
    runs = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.kits.documents.drawn"],
            cwd=settings.BASE_DIR,
            env=os.environ | {"PYTHONHASHSEED": seed},
            stdout=subprocess.PIPE,
            text=True,
        )
        for seed in ("1", "2")
    ]
    (one, other), codes = [run.communicate()[0].splitlines() for run in runs], [run.wait() for run in runs]
    assert codes == [0, 0]
    assert len(one) == 7
    assert one == other
