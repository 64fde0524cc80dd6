"""The page of a work: how far it is, how long it may take, and the way to stop it."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from kits.work import actions, queries
from kits.work.access import may_cancel, may_see
from kits.work.kind import STUCK_AFTER
from kits.work.models import Work
from vehicles.records.access import EVERY_ROLE, allow
from vehicles.records.asked import next_address, own_address


@allow(get=EVERY_ROLE)
def work(request: HttpRequest, pk: int) -> HttpResponse:
    """The page; when it asks for news by itself, only the part that moves, which may stand on another page."""
    found, now = _work(request, pk), timezone.now()
    template = "work/work.html"
    if request.htmx:  # type: ignore[attr-defined]
        template = "work/_line.html" if "line" in request.GET else "work/_progress.html"
    stuck = found.is_open and queries.standing().is_stuck(now, STUCK_AFTER)
    cancellable = may_cancel(request.user, found)
    goes_on = "go" in request.GET and bool(found.page)
    context = {
        "work": found, "goes_on": goes_on, "before": queries.count_before(found) if found.is_open else 0,
        "left_s": queries.seconds_left(found, now), "is_stuck": stuck,
        "may_cancel": cancellable, "made_file": queries.makes_file(found), "back": _back(request, found),
    }  # fmt: skip
    page = render(request, template, context)
    page["Cache-Control"] = "no-store"
    return page


@allow(post=EVERY_ROLE)
def cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop the work, then show how it stands."""
    found = _work(request, pk)
    try:
        ended = actions.cancel(actor=request.user, work=found)
    except PermissionDenied as refused:
        messages.error(request, str(refused))
    else:
        if not ended:  # else the page itself says so
            messages.success(request, "It had ended already, so there was nothing to cancel.")
    return redirect("work", pk)


def _work(request: HttpRequest, pk: int) -> Work:
    """A work that the person may see; of others it is not even told whether there are any."""
    found = Work.objects.select_related("by").filter(pk=pk).first()
    if found is None or not may_see(request.user, found):
        raise Http404("There is no such work; it may have been tidied away.")
    return found


def _back(request: HttpRequest, found: Work) -> str:
    """Where its answer is seen: the page that asked, if it is one of ours, else the one the work names."""
    if "line" in request.GET:
        return own_address(request.htmx.current_url_abs_path or "") or found.page  # type: ignore[attr-defined]
    return next_address({}, request.GET, found.page)
