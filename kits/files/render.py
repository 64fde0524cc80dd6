"""A file as an answer to the browser; who may have it is for the view to say."""

from django.http import Http404, HttpResponse
from django.utils.http import content_disposition_header

from kits.files.models import File
from kits.files.queries import content_of
from kits.files.store import Lost

PDF = "application/pdf"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def file_answer(content: bytes, kind: str, name: str, *, is_shown: bool) -> HttpResponse:
    """The bytes under a name, to be shown or to be saved.

    No copy is kept on the way: a car's paper changes with the kit, and yesterday's must not be shown.
    """
    headers = {
        "Content-Disposition": content_disposition_header(not is_shown, name) or "",
        "Cache-Control": "private, no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(content, content_type=kind, headers=headers)


def kept_answer(file: File, kind: str, name: str, *, is_shown: bool) -> HttpResponse:
    """A file that was kept, under a name. Raises Http404 where its bytes are damaged or gone."""
    try:
        return file_answer(content_of(file), kind, name, is_shown=is_shown)
    except Lost:
        raise Http404("The file is damaged on the server’s disk. Ask for it again in ten minutes.") from None
