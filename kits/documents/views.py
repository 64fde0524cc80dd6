"""The documents of one fitment to look at, print or keep."""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.text import slugify

from kits.bom.resolved import ResolvedKit
from kits.documents.checklist import checklist
from kits.documents.parts_list import parts_list
from kits.documents.queries import DocumentSource, document_source
from kits.documents.render import PAPERS, Document, document_pdf, live_address
from kits.documents.sizing_report import sizing_report
from kits.documents.sizing_sheet import sizing_sheet
from kits.documents.workbook import parts_list_workbook
from vehicles.records.access import EVERY_ROLE, allow

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
PDF = "application/pdf"


@allow(get=EVERY_ROLE)
def parts_list_xlsx(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The parts list as a workbook."""
    source = _source(kit, line, variant)
    content = parts_list_workbook(parts_list(source.kit, _by(request)))
    return _file(content, XLSX, f"{_stem(source.kit)}-parts-list.xlsx", as_attachment=True)


@allow(get=EVERY_ROLE)
def parts_list_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The parts list on paper."""
    return _pdf(request, _source(kit, line, variant), "parts-list", lambda s, by: parts_list(s.kit, by))


@allow(get=EVERY_ROLE)
def checklist_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The installation checklist on paper."""
    return _pdf(request, _source(kit, line, variant), "checklist", lambda s, by: checklist(s.kit, by))


@allow(get=EVERY_ROLE)
def sizing_sheet_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The sizing sheet on paper."""
    source = _source(kit, line, variant)
    return _pdf(request, source, "sizing-sheet", lambda s, by: sizing_sheet(*s, by))


@allow(get=EVERY_ROLE)
def sizing_report_pdf(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The engineer's report of the sizing on paper."""
    source = _source(kit, line, variant)
    return _pdf(request, source, "sizing-report", lambda s, by: sizing_report(*s, by))


def _source(kit: str, line: str, variant: str) -> DocumentSource:
    try:
        return document_source(kit, line, variant, timezone.localdate())
    except LookupError as problem:
        raise Http404(str(problem.args[0])) from None


def _pdf(
    request: HttpRequest, source: DocumentSource, what: str, make: Callable[[DocumentSource, str], Document]
) -> HttpResponse:
    wanted = request.GET.get("paper", request.GET.get("size", "")).capitalize()
    paper = wanted if wanted in PAPERS else PAPERS[0]
    content = document_pdf(make(source, _by(request)), paper=paper, address=live_address(source.kit))
    return _file(content, PDF, f"{_stem(source.kit)}-{what}.pdf", as_attachment=False)


def _by(request: HttpRequest) -> str:
    return request.user.get_full_name() or request.user.get_username()  # type: ignore[union-attr]


def _stem(kit: ResolvedKit) -> str:
    return slugify(f"{kit.kit} {kit.variant}") or "kit"


def _file(content: bytes, kind: str, name: str, *, as_attachment: bool) -> HttpResponse:
    disposition = content_disposition_header(as_attachment, name) or ""
    # a car's paper changes with the kit: no copy of yesterday's is shown
    headers = {"Content-Disposition": disposition, "Cache-Control": "private, no-store"}
    return HttpResponse(content, content_type=kind, headers=headers)
