"""The list of people, the page of one, and the forms of what is done to his entry."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from kits.people import actions, queries
from kits.people.filters import PersonFilter
from kits.people.forms import (
    BackForm,
    ChangeForm,
    InviteForm,
    LeaveForm,
    LinkForm,
    RolesForm,
    attempted,
)
from kits.people.invitation.queries import link_of
from kits.people.invitation.views import unseen
from kits.people.models import Person
from kits.people.tables import PersonTable
from vehicles.records.access import MANAGER, OWNER, allow, not_kept
from vehicles.records.asked import sent_with


@allow(get={MANAGER, OWNER})
def people(request: HttpRequest) -> HttpResponse:
    """Who works here, and who did."""
    found = PersonFilter(request.GET, queries.people())
    table = PersonTable(found.qs, today=timezone.localdate())
    table.configure(request)
    context = {"table": table, "filter": found, "any": Person.objects.exists()}
    return render(request, "people/people.html", context)


@allow(get={MANAGER, OWNER})
def person(request: HttpRequest, initials: str) -> HttpResponse:
    """One person: what he may do, his certificates, and what was done to his entry."""
    held, today, now = person_or_404(initials), timezone.localdate(), timezone.now()
    context = {
        "person": held,
        "roles": queries.roles_held(held),
        "certificates": queries.told_certificates(held, today),
        "covers": queries.covers(held.certificates.all(), today),
        "history": queries.history_of(held),
        "link_ends_at": queries.link_ends_at(held) if link_of(held, now) else None,
    }
    return render(request, "people/person.html", context)


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def invite(request: HttpRequest) -> HttpResponse:
    """An account for somebody new; the answer is the link that he chooses his password by."""
    form = InviteForm(sent(request))
    form.offer(queries.firms())
    page = partial(
        _page, request, form, heading="Invite somebody", button="Make the account", back=reverse("people"),
        error_title="Nobody was invited.",
    )  # fmt: skip
    if not form.is_bound:
        return page()

    def act(values: dict[str, Any]) -> Person:
        values.pop("expected_version")
        return actions.invite_person(
            actor=request.user, sent=sent_with(request.POST), now=timezone.now(), **values
        )

    made, status = attempted(form, 0, act)
    return _link_page(request, made) if made else page(status=status)


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def change(request: HttpRequest, initials: str) -> HttpResponse:
    """Name and firm."""
    held = person_or_404(initials)
    given = {"name": held.name or held.user.get_username(), "firm": held.firm.name if held.firm else None}
    form = ChangeForm(sent(request), initial={**given, "version": held.version})
    form.offer(queries.firms())
    return answer(request, held, form, actions.change_person, heading=f"Change {held}", button="Save")


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def roles(request: HttpRequest, initials: str) -> HttpResponse:
    """What somebody may do."""
    held = person_or_404(initials)
    form = RolesForm(sent(request), initial={"roles": queries.roles_held(held), "version": held.version})
    act = partial(actions.give_roles, now=timezone.now())
    lead = "They count from his next click on."
    return answer(request, held, form, act, heading=f"Roles of {held}", button="Save the roles", lead=lead)


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def leave(request: HttpRequest, initials: str) -> HttpResponse:
    """Somebody leaves."""
    held, today = person_or_404(initials), timezone.localdate()
    form = LeaveForm(sent(request), initial={"last_day": today, "version": held.version})
    lead = (
        "His account is closed at once: he is signed out everywhere and has no role any more. What he wrote, his "
        "initials and his certificates stay. He can come back."
    )
    act = partial(actions.person_leaves, now=timezone.now(), today=today)
    return answer(
        request,
        held,
        form,
        act,
        heading=f"{held} leaves",
        button="Close the account",
        lead=lead,
        is_grave=True,
    )


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def come_back(request: HttpRequest, initials: str) -> HttpResponse:
    """Somebody comes back; the answer is a link to choose a password."""
    held = person_or_404(initials)
    form = BackForm(sent(request), initial={"version": held.version})
    lead = "His roles are chosen anew, and he chooses a new password by a link. His certificates are as they were."
    act = partial(actions.person_comes_back, now=timezone.now(), sent=sent_with(request.POST))
    return answer(
        request,
        held,
        form,
        act,
        heading=f"{held} comes back",
        button="Open the account",
        lead=lead,
        done=_link_page,
    )


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def link(request: HttpRequest, initials: str) -> HttpResponse:
    """A new link, for a password that was forgotten or never chosen."""
    held = person_or_404(initials)
    form = LinkForm(sent(request), initial={"version": held.version})
    lead = (
        "For a password that was forgotten, or never chosen. The link is shown once, for you to hand over. It can be "
        "used once, within three days; a link made before ends now. His password goes on until he chooses the new one."
    )
    act = partial(actions.make_link, now=timezone.now(), sent=sent_with(request.POST))
    return answer(
        request,
        held,
        form,
        act,
        heading=f"New link for {held}",
        button="Make the link",
        lead=lead,
        done=_link_page,
    )


def sent(request: HttpRequest) -> Any:
    """What a form was sent with, or None."""
    return request.POST if request.method == "POST" else None


def person_or_404(initials: str) -> Person:
    """The person with these initials. Raises Http404."""
    held = queries.person_of(initials)
    if held is None:
        raise Http404("There is nobody with these initials.")
    return held


def answer(
    request: HttpRequest,
    held: Person,
    form: Any,
    act: Callable[..., Any],
    *,
    done: Callable[[HttpRequest, Any], HttpResponse] | None = None,
    **said: Any,
) -> HttpResponse:
    """The page of a form about a person; once what it asks is done, his page, or what `done` makes of it."""
    page = partial(_page, request, form, back=reverse("person", args=[held.initials]), **said)
    if not form.is_bound:
        return page()
    made, status = attempted(
        form, held.version, lambda values: act(actor=request.user, person_id=held.pk, **values)
    )
    if made is None:
        return page(status=status)
    if done:
        return done(request, made)
    messages.success(request, "Saved.")
    return redirect("person", held.initials)


def _page(
    request: HttpRequest,
    form: Any,
    *,
    heading: str,
    button: str,
    back: str,
    lead: str = "",
    error_title: str = "Nothing was changed.",
    is_grave: bool = False,
    status: int = 200,
) -> HttpResponse:
    context = {
        "form": form, "heading": heading, "button": button, "back": back, "lead": lead, "error_title": error_title,
        "is_grave": is_grave,
    }  # fmt: skip
    return render(request, "people/form.html", context, status=status)


def _link_page(request: HttpRequest, held: Person) -> HttpResponse:
    """The link, to hand over: on the answer to the form alone, and on no page that could be asked for again."""
    context = {
        "person": held, "link": link_of(held, timezone.now()), "ends_at": queries.link_ends_at(held),
    }  # fmt: skip
    return unseen(render(request, "people/link.html", context))
