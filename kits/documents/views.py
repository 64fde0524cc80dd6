"""The documents of one fitment to look at, print or keep."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.text import slugify

from kits.documents.actions import Wanted, print_paper
from kits.documents.papers import PAPERS_BY_NAME
from kits.documents.render import PAPERS
from kits.files.render import PDF, XLSX, kept_answer
from kits.fitment.market.choice import chosen_market
from kits.fitment.market.queries import markets_offered
from kits.work.kind import DONE
from kits.work.render import followed
from vehicles.physics.arrays import Refusal
from vehicles.records.access import EVERY_ROLE, allow, name_of


@allow(get=EVERY_ROLE)
def parts_list_xlsx(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The parts list as a workbook."""
    return _paper(request, "parts-workbook", (kit, line, variant))


@allow(get=EVERY_ROLE)
def parts_list_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The parts list on paper."""
    return _paper(request, "parts-list", (kit, line, variant))


@allow(get=EVERY_ROLE)
def checklist_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The installation checklist on paper."""
    return _paper(request, "checklist", (kit, line, variant))


@allow(get=EVERY_ROLE)
def sizing_sheet_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The sizing sheet on paper."""
    return _paper(request, "sizing-sheet", (kit, line, variant))


@allow(get=EVERY_ROLE)
def sizing_report_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The engineer's report of the sizing on paper."""
    return _paper(request, "sizing-report", (kit, line, variant))


def _paper(request: HttpRequest, what: str, codes: tuple[str, str, str]) -> HttpResponse:
    """The paper if it was made just now; else it is made, and the page of that work leads back here."""
    fitment = reverse("fitment-sheet", args=codes)
    offered = markets_offered(*codes)
    if offered is None:
        raise _not_offered(*codes)
    try:
        market = chosen_market(offered, request.GET.get("market", ""))
    except Refusal as refused:
        messages.error(request, str(refused))
        return redirect(f"{fitment}#papers")
    if market:
        fitment = f"{fitment}?{urlencode({'market': market})}"
    wanted = Wanted(what, *codes, size=_size(request), by=_by(request), market=market)
    work = print_paper(actor=request.user, wanted=wanted, now=timezone.localtime())
    if work is None:
        raise _not_offered(*codes)
    if work.state == DONE and work.file:
        paper, is_pdf = PAPERS_BY_NAME[what], what != "parts-workbook"
        name = f"{slugify(f'{codes[0]} {codes[2]} {market}') or 'kit'}-{paper.ending}"
        return kept_answer(work.file, PDF if is_pdf else XLSX, name, is_shown=is_pdf)
    if work.is_open:
        return followed(work, back=fitment)
    messages.error(request, f"{work.title} was not made. {work.sentence}")
    return redirect(fitment)


def _not_offered(kit: str, line: str, variant: str) -> Http404:
    return Http404(f"Kit {kit} has no fitment in variant {variant} of model line {line}.")


def _size(request: HttpRequest) -> str:
    wanted = request.GET.get("paper", request.GET.get("size", "")).capitalize()
    return wanted if wanted in PAPERS else PAPERS[0]


def _by(request: HttpRequest) -> str:
    return name_of(request.user)
