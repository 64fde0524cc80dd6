"""The page for a database that is locked or away: wait a moment, and send again what was typed."""

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.template.loader import render_to_string

from vehicles.records.asked import typed_form

RETRY_AFTER_S = 5

# Told by the same class of error as a lock, but no waiting helps: a table that is missing, a disk that is full, a file
# that may not be written or is damaged.
NO_WAITING_HELPS = (
    "SQLITE_ERROR", "SQLITE_FULL", "SQLITE_READONLY", "SQLITE_IOERR", "SQLITE_CORRUPT", "SQLITE_NOTADB",
)  # fmt: skip
DISK_FULL = "53100"  # of PostgreSQL


def is_busy(error: BaseException | None) -> bool:
    """Whether waiting may help."""
    cause = getattr(error, "__cause__", None)
    if getattr(cause, "sqlite_errorname", "").startswith(NO_WAITING_HELPS):
        return False
    return isinstance(error, OperationalError) and getattr(cause, "sqlstate", "") != DISK_FULL


def busy_page(request: HttpRequest) -> HttpResponse:
    """503 in our words; rendered without context processors, which would ask the database again.

    What was typed stands on it and can be sent again, except files and passwords.
    """
    if hasattr(request, "session"):
        request.session.modified = False  # else it would be saved now, and wait once more
    typed = typed_form(request.POST, request.FILES)
    can_send = request.method == "POST" and typed.can_send
    page = render_to_string(
        "errors/503.html",
        {
            "address": request.get_full_path(),
            "typed": typed.fields if can_send else [],
            "can_send": can_send,
            "was_sent": request.method == "POST",
            "token": get_token(request) if can_send else "",
        },
    )
    return HttpResponse(page, status=503, headers={"Retry-After": str(RETRY_AFTER_S)})
