"""The page of the link by which somebody chooses his password."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from kits.people.invitation.actions import choose_password
from kits.people.invitation.forms import ChoosePasswordForm
from kits.people.invitation.queries import invited
from kits.people.queries import link_ends_at
from vehicles.records.access import PUBLIC, allow, not_kept


@allow(get={PUBLIC}, post={PUBLIC})
@not_kept
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Choose a password by a link; one that does not work any more says so, and nothing else."""
    now = timezone.now()
    person = invited(token, now)
    if person is None:
        return unseen(render(request, "people/invitation/ended.html", status=404))
    form = ChoosePasswordForm(person, request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        address: str = request.client_address  # type: ignore[attr-defined]
        chosen = choose_password(
            token=token, password=form.cleaned_data["new_password1"], now=now, address=address
        )
        if chosen is None:
            return unseen(render(request, "people/invitation/ended.html", status=404))
        messages.success(request, f"Your password is kept. Sign in as “{person.user.get_username()}”.")
        return unseen(redirect("sign-in"))
    context = {"form": form, "person": person, "ends_at": link_ends_at(person)}
    return unseen(
        render(request, "people/invitation/choose.html", context, status=422 if form.errors else 200)
    )


def unseen(response: HttpResponse) -> HttpResponse:
    """An answer whose address is a secret: no cache keeps it, and no request that follows tells more than the site.

    With "no-referrer" a browser would not even tell its own site where a form comes from, and the form be refused.
    """
    response["Cache-Control"] = "no-store"
    response["Referrer-Policy"] = "strict-origin"
    return response
