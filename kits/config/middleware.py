"""What happens around every request: its id, its log line, and who may ask for it."""

import logging
import time
from collections.abc import Callable, Mapping
from typing import Any
from uuid import uuid4

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render, resolve_url
from django.urls import resolve
from django.utils.functional import LazyObject, empty
from django.utils.http import urlencode
from django_htmx.http import HttpResponseClientRedirect

from kits.config import logs
from kits.config.around import AtTheView, Respond
from kits.people.signing.middleware import POLLS
from kits.people.signing.views import sign_in_with_typed
from vehicles.records.access import NO_ROLE, NOT_FOR_YOU, PUBLIC, SIGNED_IN, is_not_kept, roles_of, rule_of
from vehicles.records.asked import own_address, typed_form
from vehicles.records.guard import NotWorkedOut

STOP_POLLING = 286  # as htmx reads it; what comes with it is put in place


class RequestLogMiddleware:
    """Give each request an id of our own and write one line when it is answered.

    An id sent by the caller is ignored: two requests could carry the same, and it would end up in our logs.
    """

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response
        self.log = logging.getLogger("kitwright.request")

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request between two readings of the clock."""
        identity = uuid4().hex
        token = logs.request_id.set(identity)
        began = time.perf_counter()
        status = 500  # of an answer that raised
        try:
            response = self.get_response(request)
            response["X-Request-ID"] = identity
            status = response.status_code
        finally:
            self.log.info(self.line(request, status, 1000 * (time.perf_counter() - began)))
            logs.request_id.reset(token)
        return response

    @staticmethod
    def line(request: HttpRequest, status: int, took_ms: float) -> dict[str, object]:
        """The fields of the line. The path goes without its query, which may hold what somebody typed."""
        match = request.resolver_match
        return {
            "method": request.method,
            "path": request.path,
            "route": match.view_name if match else None,
            "status": status,
            "ms": round(took_ms, 1),
            "user": known_user(request),
            "address": getattr(request, "client_address", None),
        }


def known_user(request: HttpRequest) -> object:
    """The number of who asked, if the answer asked for it; the database is never asked for the sake of the log."""
    user = getattr(request, "user", None)
    if isinstance(user, LazyObject) and user._wrapped is empty:
        return None
    return getattr(user, "pk", None)


class ProbeMiddleware:
    """Answer the addresses that programs watch, whatever host name, session or database there is.

    It stands before all that needs one of these, so a load balancer may ask by number and over plain http.
    """

    PROBES: Mapping[str, str] = {"/health": "health", "/metrics": "metrics"}

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """The answer of the probe's view, or of the site."""
        name = self.PROBES.get(request.path_info)
        if name is None:
            return self.get_response(request)
        request.resolver_match = match = resolve(f"/{name}")
        answer: HttpResponseBase = HttpResponse(status=405, headers={"Allow": "GET, HEAD"})
        if request.method in ("GET", "HEAD"):
            answer = match.func(request)
        # Django would log each 503 as a fault, without its reason; the checks and the request's line tell
        answer._has_been_logged = True  # type: ignore[attr-defined]
        return answer


class AccessMiddleware(AtTheView):
    """Let a request through to its view only if the view declares that this person may use this method.

    A view without a declaration is refused to everybody.
    """

    log = logging.getLogger("kitwright.access")

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: list[Any], kwargs: dict[str, Any]
    ) -> HttpResponseBase | None:
        """None lets the request through; a response or PermissionDenied ends it."""
        rule = rule_of(view)
        if rule is None:
            self.log.error({"message": "a view declares no access", "path": request.path})
            raise PermissionDenied(NOT_FOR_YOU)
        allowed = rule.allowed(request.method or "")
        if allowed is None:
            return not_allowed(request, rule.methods)
        if PUBLIC in allowed:
            return None
        if not request.user.is_authenticated:
            return sign_in(request, is_not_kept(view))
        roles = roles_of(request.user)
        if SIGNED_IN in allowed or roles & allowed:
            return None
        raise PermissionDenied(NOT_FOR_YOU if roles else NO_ROLE)


class UnworkedMiddleware(AtTheView):
    """Tell in a page what could not be worked out, instead of the page that was to show it."""

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """The page for that one kind of exception; None for others."""
        if not isinstance(error, NotWorkedOut):
            return None
        return render(request, "errors/unworked.html", {"fault": error.fault}, status=422)


def not_allowed(request: HttpRequest, methods: tuple[str, ...]) -> HttpResponse:
    """The page for a method that the address does not know."""
    page = render(request, "errors/405.html", status=405)
    page["Allow"] = ", ".join(methods)
    return page


def sign_in(request: HttpRequest, is_form_left: bool) -> HttpResponse:
    """Send somebody to the sign-in page and afterwards back to the page he was on.

    A form that was sent comes along, unless is_form_left: it is shown to him afterwards. Where a part of a page asks,
    its form has kept itself in the browser (`data-keep`); where it asks by itself, the page stays as it is. An address
    that is too long to be carried along is left behind.
    """
    if getattr(request, "htmx", False):
        page = page_behind(request)
        query = "?" + urlencode({"next": page}) if page else ""
        address = resolve_url("sign-in") + query
        if request.headers.get(POLLS):
            told = {"address": address}
            return render(request, "people/signing/_signed_out.html", told, status=STOP_POLLING)
        return HttpResponseClientRedirect(address)
    if request.method in ("GET", "HEAD") and (page := own_address(request.get_full_path())):
        return redirect_to_login(page)
    if request.method == "POST" and not typed_form(request.POST, request.FILES).is_empty:
        return sign_in_with_typed(request, is_form_left)
    return HttpResponse(status=302, headers={"Location": resolve_url("sign-in")})


def page_behind(request: HttpRequest) -> str:
    """The page on which a script asked, as its header says; empty when that is no address of this site."""
    try:
        return own_address(request.htmx.current_url_abs_path or "")  # type: ignore[attr-defined]
    except ValueError:  # an address that can't even be taken apart
        return ""
