"""One's own account: the password, every session at once, the second step."""

import io
from typing import Any

import segno
from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.contrib.auth.models import User
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from kits.people.signing import actions, queries
from kits.people.signing.access import whence
from kits.people.signing.forms import WRONG_PASSWORD, CodeForm, NewPasswordForm, PasswordAgainForm
from kits.people.signing.limits import span, stay_of
from vehicles.records.access import MANAGER, OWNER, SIGNED_IN, allow, not_kept, roles_of


@allow(get={SIGNED_IN})
@never_cache
def account(request: HttpRequest) -> HttpResponse:
    """Who one is here, what one may change of it, and when one signed in."""
    user, stay = _user(request), stay_of(roles_of(request.user))
    context = {
        "roles": sorted(roles_of(user)), "records": queries.own_records(user),
        "has_second_step": queries.has_second_step(user), "codes_left": queries.codes_left(user),
        "idle": span(stay.idle), "whole": span(stay.whole),
    }  # fmt: skip
    return render(request, "people/signing/account.html", context)


@allow(get={SIGNED_IN}, post={SIGNED_IN})
@not_kept
@sensitive_post_parameters()
@never_cache
def password(request: HttpRequest) -> HttpResponse:
    """Another password; this session stays, every other one ends."""
    user = _user(request)
    form = NewPasswordForm(user, request.POST or None)
    if request.method == "POST" and form.is_valid() and _knows(request, form, "old_password"):
        actions.change_password(
            user=user, password=form.cleaned_data["new_password1"], address=_address(request)
        )
        update_session_auth_hash(request, user)
        messages.success(request, "Your password is changed. You stay signed in here and nowhere else.")
        return redirect("account")
    page = {
        "form": form,
        "title": "Change your password",
        "button": "Change the password",
        "is_password": True,
    }
    return render(request, "people/signing/ask.html", page, status=422 if form.errors else 200)


@allow(post={SIGNED_IN})
@not_kept
def sign_out_everywhere(request: HttpRequest) -> HttpResponse:
    """End every session of this person, this one too."""
    actions.sign_out_everywhere(user=_user(request), address=_address(request))
    logout(request)
    messages.success(request, "You are signed out everywhere.")
    return redirect("sign-in")


@allow(get={MANAGER, OWNER}, post={MANAGER, OWNER})
@not_kept
@sensitive_post_parameters()
@never_cache
def second_step(request: HttpRequest) -> HttpResponse:
    """Turn it on: the password, then the secret for the telephone and a code from there, then the recovery codes."""
    user = _user(request)
    if queries.has_second_step(user):
        messages.info(request, "The second step is on already.")
        return redirect("account")
    if "one_time_code" in request.POST:
        return _confirm(request, user)
    if request.method == "GET" and queries.unconfirmed(user) and "set-up" in request.GET:
        return _set_up(request, user, CodeForm())
    form = PasswordAgainForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _knows(request, form, "password"):
        actions.begin_second_step(actor=user)
        return redirect(f"{reverse('account-second-step')}?set-up")
    page = {"form": form, "title": "Turn on the second step", "button": "Go on", "is_second_step": True}
    return render(request, "people/signing/ask.html", page, status=422 if form.errors else 200)


@allow(get={MANAGER, OWNER})
@never_cache
def secret_picture(request: HttpRequest) -> HttpResponse:
    """The secret as a picture for the telephone's camera, as long as it is not confirmed."""
    device = queries.unconfirmed(_user(request))
    if device is None:
        raise Http404("There is no second step to set up.")
    image, svg = segno.make(device.config_url, error="m", micro=False), io.BytesIO()
    image.save(svg, kind="svg", scale=5, border=4, dark="#000", light="#fff")
    return HttpResponse(svg.getvalue(), content_type="image/svg+xml; charset=utf-8")


@allow(get={SIGNED_IN}, post={SIGNED_IN})
@not_kept
@sensitive_post_parameters()
@never_cache
def second_step_off(request: HttpRequest) -> HttpResponse:
    """Turn it off, with the password."""
    user = _user(request)
    form = PasswordAgainForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _knows(request, form, "password"):
        actions.turn_off_second_step(user=user, address=_address(request))
        messages.success(request, "The second step is off: you sign in with your password alone.")
        return redirect("account")
    page = {"form": form, "title": "Turn off the second step", "button": "Turn it off"}
    return render(request, "people/signing/ask.html", page, status=422 if form.errors else 200)


def _set_up(request: HttpRequest, user: User, form: CodeForm) -> HttpResponse:
    device = queries.unconfirmed(user)
    secret = device.config_url.split("secret=")[1].split("&")[0] if device else ""
    groups = [secret[start : start + 4] for start in range(0, len(secret), 4)]
    page = {"form": form, "secret": " ".join(groups)}
    return render(request, "people/signing/set_up.html", page, status=422 if form.errors else 200)


def _confirm(request: HttpRequest, user: User) -> HttpResponse:
    """The recovery codes stand on the answer itself, and nowhere else ever again."""
    form = CodeForm(request.POST)
    if not form.is_valid():
        return _set_up(request, user, form)
    codes = actions.confirm_second_step(
        actor=user, code=form.cleaned_data["one_time_code"], address=_address(request)
    )
    if not codes:
        form.add_error("one_time_code", CodeForm.WRONG)
        return _set_up(request, user, form)
    return render(request, "people/signing/codes.html", {"codes": codes})


def _knows(request: HttpRequest, form: Any, field: str) -> bool:
    """Whether it is the person's own password; what is wrong is said beside the field."""
    user = _user(request)
    try:
        if actions.check_own_password(
            user=user, password=form.cleaned_data[field], at=whence(request, user.get_username())
        ):
            return True
        form.add_error(field, WRONG_PASSWORD)
    except actions.Locked as locked:
        form.add_error(field, f"Wrong too often; wait {span(locked.until - timezone.now())}.")
    return False


def _user(request: HttpRequest) -> User:
    return request.user  # type: ignore[return-value]


def _address(request: HttpRequest) -> str:
    return request.client_address  # type: ignore[attr-defined, no-any-return]
