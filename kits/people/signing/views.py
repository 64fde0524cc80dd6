"""Signing in, in one step or two, and out; and the form that was typed before it."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from kits.people.signing import access, actions, bridge
from kits.people.signing.forms import CodeForm, SignInForm
from kits.people.signing.limits import CODE_WITHIN, span, stay_of
from kits.people.signing.middleware import BEGAN, cookie_age
from kits.people.signing.queries import has_second_step
from vehicles.records.access import PUBLIC, SIGNED_IN, allow, roles_of
from vehicles.records.asked import next_address

TOO_LATE = f"The password was given more than {span(CODE_WITHIN)} ago; give it again."


@allow(get={PUBLIC}, post={PUBLIC})
@sensitive_post_parameters("password")
@never_cache
def sign_in(request: HttpRequest) -> HttpResponse:
    """The page to sign in on; it leads on to addresses of this site only."""
    to = next_address(request.POST, request.GET, "")
    if request.user.is_authenticated:
        return redirect(to or settings.LOGIN_REDIRECT_URL)
    kept = request.POST.get("kept", "")
    if request.method != "POST":
        return _page(request, SignInForm(), to, kept)
    form = SignInForm(request.POST)
    if not form.is_valid():
        return _page(request, form, to, kept)
    name = form.cleaned_data["username"]
    try:
        user = actions.check_password(
            name=name, password=form.cleaned_data["password"], at=access.whence(request, name)
        )
    except actions.Locked as locked:
        return _page(request, SignInForm(initial={"username": name}), to, kept, locked)
    if user is None:
        form.add_error(None, SignInForm.WRONG)
        return _page(request, form, to, kept)
    if has_second_step(user):
        access.await_code(request, user, to, kept)
        return redirect("second-step")
    return _enter(request, user, to, kept)


def sign_in_with_typed(request: HttpRequest, is_form_left: bool) -> HttpResponse:
    """The same page for who sent a form without being signed in: what he typed is carried along, unless it is left."""
    kept = "" if is_form_left else bridge.keep(request)
    return _page(
        request,
        SignInForm(),
        bridge.page_before(request),
        kept,
        status=403,
        was_typed=True,
        is_left=is_form_left,
    )


@allow(get={PUBLIC}, post={PUBLIC})
@sensitive_post_parameters("one_time_code")
@never_cache
def second_step(request: HttpRequest) -> HttpResponse:
    """The code, for whom the password was right; signed in is he only afterwards."""
    waiting = access.pending(request)
    if request.user.is_authenticated:
        return redirect(settings.LOGIN_REDIRECT_URL)
    if waiting is None or not has_second_step(waiting.user):
        held = request.session.pop(access.PENDING, None)
        if not held:
            return _page(request, SignInForm(), "", "")
        messages.warning(request, TOO_LATE)
        return _page(request, SignInForm(), held["to"], held["kept"])
    if request.method != "POST":
        return _code_page(request, CodeForm())
    form = CodeForm(request.POST)
    if not form.is_valid():
        return _code_page(request, form)
    at = access.whence(request, waiting.user.get_username())
    try:
        is_right = actions.check_code(user=waiting.user, code=form.cleaned_data["one_time_code"], at=at)
    except actions.Locked as locked:
        return _code_page(request, CodeForm(), locked)
    if not is_right:
        form.add_error("one_time_code", CodeForm.WRONG)
        return _code_page(request, form)
    del request.session[access.PENDING]
    return _enter(request, waiting.user, waiting.to, waiting.kept)


@allow(post={SIGNED_IN})
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session, and say that it has ended."""
    address: str = request.client_address  # type: ignore[attr-defined]
    actions.note("signed out", name=request.user.get_username(), address=address)
    logout(request)
    return redirect("sign-in")


@allow(get={SIGNED_IN}, post={SIGNED_IN})
@never_cache
def typed(request: HttpRequest) -> HttpResponse:
    """What was typed before signing in: to be sent now by the very person who typed it, or to be thrown away.

    Only of a session that ended just then is it known whose it was. Where it is not known, anybody may have typed it
    for the next who signs in: it is shown, and sent by nobody.
    """
    found = bridge.kept(request.session.get(bridge.KEPT, ""))
    back = found.back if found and found.back else "/"
    if request.method == "POST":
        request.session.pop(bridge.KEPT, None)
        return redirect(back)
    if found is None and bridge.KEPT in request.session:
        del request.session[bridge.KEPT]
    by = found.by if found else None
    other = by is not None and by != request.user.pk
    whose = User.objects.filter(pk=by).first() if by and other else None
    context = {
        "found": found,
        "is_others": other,
        "is_own": by == request.user.pk,
        "whose": whose,
        "back": back,
    }
    return render(request, "people/signing/typed.html", context)


def _enter(request: HttpRequest, user: User, to: str, kept: str) -> HttpResponse:
    """Sign somebody in who has given all that is asked."""
    name = user.get_username()
    login(request, user)
    request.session[BEGAN] = timezone.now().timestamp()
    request.session.set_expiry(cookie_age(stay_of(roles_of(user))))
    actions.note("signed in", name=name, address=request.client_address)  # type: ignore[attr-defined]
    if bridge.kept(kept):
        request.session[bridge.KEPT] = kept
        response = redirect("typed")
    else:
        response = redirect(to or settings.LOGIN_REDIRECT_URL)
    access.remember_browser(request, response, name)
    return response


def _page(
    request: HttpRequest, form: SignInForm, to: str, kept: str, locked: actions.Locked | None = None,
    *, status: int = 200, was_typed: bool = False, is_left: bool = False,
) -> HttpResponse:  # fmt: skip
    context = {
        "form": form, "next": to, "kept": kept if bridge.kept(kept) else "", "was_typed": was_typed, "is_left": is_left,
    }  # fmt: skip
    return _maybe_locked(request, "people/signing/sign_in.html", context, locked, status)


def _code_page(request: HttpRequest, form: CodeForm, locked: actions.Locked | None = None) -> HttpResponse:
    return _maybe_locked(request, "people/signing/second_step.html", {"form": form}, locked, 200)


def _maybe_locked(
    request: HttpRequest, template: str, context: dict[str, Any], locked: actions.Locked | None, status: int
) -> HttpResponse:
    """The page; where a lock holds with how long it still does."""
    if locked is None:
        return render(request, template, context, status=status)
    left = locked.until - timezone.now()
    context |= {"locked": locked, "left": span(left)}
    page = render(request, template, context, status=429)
    page["Retry-After"] = f"{max(1, -int(-left.total_seconds() // 1))}"
    return page
