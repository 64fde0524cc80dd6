"""The pages that belong to no subject: home, health, metrics, errors."""

import sys

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from kits.config.backup.standing import backup_standing
from kits.config.busy import busy_page, is_busy
from kits.config.exposition import CONTENT_TYPE
from kits.config.health import WATCHED
from kits.config.logs import request_id
from kits.config.metrics import may_read, metrics_text
from kits.fitment.queries import any_sizing, freshness, verdict_counts, worst_fitments
from kits.people.queries import ending
from vehicles.records.access import MANAGER, NO_ROLE, PUBLIC, SIGNED_IN, allow, is_not_kept, roles_of
from vehicles.records.asked import typed_form


@allow(get={SIGNED_IN})
def home(request: HttpRequest) -> HttpResponse:
    """The first page: where the work stands, what to do first; for an account without a role one sentence."""
    roles = roles_of(request.user)
    if not roles:
        return render(request, "config/home.html", {"no_role": NO_ROLE})
    found = freshness(timezone.localdate())
    work = any_sizing() if found.is_stale else None
    counts, worst = verdict_counts(), worst_fitments()
    is_manager = MANAGER in roles
    context = {
        "roles": roles, "counts": counts, "freshness": found, "work": work, "worst": worst,
        "backups": backup_standing() if is_manager else None,
        "ending": ending(timezone.localdate()) if is_manager else None,
    }  # fmt: skip
    return render(request, "config/home.html", context)


@allow(get={PUBLIC})
def health(request: HttpRequest) -> JsonResponse:
    """Whether the site can work: 200 when no check failed, else 503, always as JSON.

    Beside it how the works stand: seconds that the oldest one waits, and since the last sign of life of a running one.
    """
    found = WATCHED.health()
    status = 200 if found.is_well else 503
    return JsonResponse(found.as_json(), status=status, headers={"Cache-Control": "no-store"})


@allow(get={PUBLIC})
def metrics(request: HttpRequest) -> HttpResponse:
    """Figures for an operator's program; closed to whoever does not carry the token, and to all where there is none."""
    if not settings.METRICS_TOKEN:
        return HttpResponse("There is nothing at this address.\n", status=404, content_type="text/plain")
    if not may_read(request):
        told = "Send the token as: Authorization: Bearer …\n"
        answer = HttpResponse(told, status=401, content_type="text/plain; charset=utf-8")
        answer["WWW-Authenticate"] = "Bearer"
        return answer
    return HttpResponse(metrics_text(), content_type=CONTENT_TYPE, headers={"Cache-Control": "no-store"})


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for a request that can't be understood."""
    return render(request, "errors/400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for what somebody may not do; the sentence comes from who refused it."""
    reason = str(exception) if isinstance(exception, PermissionDenied) else ""
    return render(request, "errors/403.html", {"reason": reason}, status=403)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The page for a form whose token is missing or old. The cause is for the log, not for the reader."""
    typed = typed_form(request.POST, request.FILES)
    # The browser itself says that the form stood on a page of ours: then what was typed may be sent with a new token.
    is_ours = request.headers.get("Sec-Fetch-Site") == "same-origin" and request.user.is_authenticated
    is_kept = is_ours and request.method == "POST" and typed.can_send
    match = request.resolver_match
    context = {
        "address": request.get_full_path(), "typed": typed.fields if is_kept else [],
        # what could have been prepared for somebody else is shown only, as after a sign-in
        "can_send": match is not None and not is_not_kept(match.func),
    }  # fmt: skip
    return render(request, "errors/old_form.html", context, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for an address or a thing that does not exist; the sentence comes from who looked for it."""
    said = exception.args[0] if exception.args else ""
    return render(request, "errors/404.html", {"reason": said if isinstance(said, str) else ""}, status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    """The page for a fault of ours, or for a busy database; rendered without context processors, which may have failed.

    Django calls it within the except clause, whether a view or a middleware before or after it met the fault.
    """
    if is_busy(sys.exc_info()[1]):
        return busy_page(request)
    page = render_to_string("errors/500.html", {"request_id": request_id.get()})
    return HttpResponse(page, status=500)
