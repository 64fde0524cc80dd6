"""The page for a database that is locked or away: wait a moment, and send again what was typed."""

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.template.loader import render_to_string

RETRY_AFTER_S = 5
# Never on a page again: secrets, and what each sending has anew.
NOT_KEPT = ("password", "csrfmiddlewaretoken")


def is_busy(error: BaseException | None) -> bool:
    """Whether waiting may help. SQLite tells a table that is missing by the same class, but by the plain code."""
    told = getattr(getattr(error, "__cause__", None), "sqlite_errorname", "")
    return isinstance(error, OperationalError) and told != "SQLITE_ERROR"


def busy_page(request: HttpRequest) -> HttpResponse:
    """503 in our words; rendered without context processors, which would ask the database again.

    What was typed stands on it and can be sent again, except files and passwords.
    """
    if hasattr(request, "session"):
        request.session.modified = False  # else it would be saved now, and wait once more
    typed = [
        (name, value)
        for name, values in request.POST.lists()
        for value in values
        if not any(word in name for word in NOT_KEPT)
    ]
    can_send = request.method == "POST" and not request.FILES and "password" not in request.POST
    page = render_to_string(
        "errors/503.html",
        {
            "address": request.get_full_path(),
            "typed": typed if can_send else [],
            "can_send": can_send,
            "was_sent": request.method == "POST",
            "token": get_token(request) if can_send else "",
        },
    )
    return HttpResponse(page, status=503, headers={"Retry-After": str(RETRY_AFTER_S)})
