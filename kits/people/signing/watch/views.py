"""What managers see of signing in: locks that hold, second steps, and what happened."""

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache

from kits.people.signing import actions, queries
from kits.people.signing.models import SignInTry
from vehicles.records.access import MANAGER, allow, not_kept
from vehicles.records.tables import page_number

RECORDS_A_PAGE = 50


@allow(get={MANAGER})
@never_cache
def sign_ins(request: HttpRequest) -> HttpResponse:
    """The page."""
    paginator = Paginator(queries.records(), RECORDS_A_PAGE)
    number, notice = page_number(request.GET.get("page", ""), paginator.num_pages)
    context = {
        "locks": queries.locks(timezone.now()), "people": queries.people_with_second_step(),
        "page": paginator.page(number), "notices": [notice] if notice else [],
    }  # fmt: skip
    return render(request, "people/signing/sign_ins.html", context)


@allow(post={MANAGER})
@not_kept
def lift(request: HttpRequest, pk: int) -> HttpResponse:
    """Lift one lock."""
    lock = get_object_or_404(SignInTry, pk=pk)
    address: str = request.client_address  # type: ignore[attr-defined]
    actions.lift_lock(actor=request.user, lock=lock, address=address)
    messages.success(request, f"Lifted: {lock} can be tried again at once.")
    return redirect("sign-ins")


@allow(post={MANAGER})
@not_kept
def reset(request: HttpRequest, pk: int) -> HttpResponse:
    """Take away a second step."""
    user = get_object_or_404(User, pk=pk)
    address: str = request.client_address  # type: ignore[attr-defined]
    actions.reset_second_step(actor=request.user, user=user, address=address)
    messages.success(request, actions.step_taken(user))
    return redirect("sign-ins")
