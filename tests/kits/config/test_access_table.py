"""Every address by every role by every method, against the table in access_table.py."""

from collections.abc import Iterator

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, path, reverse

from kits.config.middleware import AccessMiddleware
from tests.kits.config.access_table import CAST, TABLE, Line
from vehicles.records.access import allow

pytestmark = pytest.mark.one_database
METHODS = ("GET", "POST")


def patterns(resolver: URLResolver, prefix: str = "") -> Iterator[tuple[str, URLPattern]]:
    """Each address with its full route."""
    for entry in resolver.url_patterns:
        route = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from patterns(entry, route)
        else:
            yield route, entry


SITE = dict(patterns(get_resolver()))


def outcome(response) -> str:
    """What the site did: let in, sign in, refused, or unknown method."""
    request = response.wsgi_request
    if response.status_code == 302 and response["Location"].startswith(reverse("sign-in")):
        # Signing out ends on that page too, for somebody who was signed in.
        ends = (reverse("sign-out"), reverse("sign-out-everywhere"))
        signed_out = request.path in ends and "sessionid" in request.COOKIES
        return "let in" if signed_out else "sign in"
    return {403: "refused", 405: "unknown method"}.get(response.status_code, "let in")


def expected(line: Line, who: str, method: str) -> str:
    """What the table says."""
    allowed = line.get if method == "GET" else line.post
    if allowed is None:
        return "unknown method"
    if who in allowed:
        return "let in"
    return "sign in" if who == "anonymous" else "refused"


def address(line: Line) -> str:
    """The address with its parameters filled by the line's sample."""
    name = SITE[line.route].name
    namespace = NAMESPACES.get(line.route, "")
    return reverse(f"{namespace}{name}", kwargs=line.sample or None)


def namespaces(resolver: URLResolver, prefix: str = "", names: str = "") -> Iterator[tuple[str, str]]:
    """The namespace of each address, ending in a colon, or empty."""
    for entry in resolver.url_patterns:
        route = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from namespaces(entry, route, names + (f"{entry.namespace}:" if entry.namespace else ""))
        else:
            yield route, names


NAMESPACES = dict(namespaces(get_resolver()))


def test_each_address_has_exactly_one_line():
    routes = [line.route for line in TABLE]
    assert sorted(routes) == sorted(set(routes))
    assert set(routes) == set(SITE), "addresses and lines differ"


def test_each_address_has_a_name():
    assert [route for route, entry in SITE.items() if not entry.name] == []


def asked(client: Client, method: str, line: Line):
    """What the site answers to a client as it is now; whatever that changed is taken back."""
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    with transaction.atomic():
        response = client.generic(method, address(line), QUERY_STRING=line.query)
        transaction.set_rollback(True)
    client.cookies.load(cookies)
    return response


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("who", CAST)
def test_the_site_does_what_the_table_says(clients, who, method):
    wrong = []
    for line in TABLE:
        response = asked(clients[who], method, line)
        done, wanted = outcome(response), expected(line, who, method)
        if done != wanted or response.status_code >= 500:
            wrong.append(f"{line.route or 'home'}: {done} ({response.status_code}), not {wanted}")
    assert wrong == []


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS", "CONNECT"])
def test_no_address_knows_other_methods(clients, method):
    answers = {line.route: asked(clients["manager"], method, line).status_code for line in TABLE}
    assert {route for route, status in answers.items() if status != 405} == set()


def test_no_form_is_taken_without_its_token(manager):
    client = Client(enforce_csrf_checks=True)
    client.force_login(manager, backend="django.contrib.auth.backends.ModelBackend")
    sent = [line for line in TABLE if line.post]
    assert len(sent) > 20
    answers = {line.route: asked(client, "POST", line).status_code for line in sent}
    assert {route: status for route, status in answers.items() if status != 403} == {}


def test_the_owner_changes_nothing_but_his_own_account_and_ends_a_paper_that_he_asked_for():
    may_send = {line.route for line in TABLE if line.post and "owner" in line.post}
    may_send = {route for route in may_send if not route.startswith(("sign-in/", "account/"))}
    assert may_send == {"sign-out/", "works/<int:pk>/cancel/", "invitation/<str:token>/"}


def undeclared(request):
    """A view whose author forgot to say who may use it."""
    raise AssertionError("a view without a declaration was reached")


urlpatterns = [
    path("forgotten", undeclared, name="forgotten"),
    path("sign-in/", SITE["sign-in/"].callback, name="sign-in"),
    path("", SITE[""].callback, name="home"),
]
handler403 = "kits.config.views.forbidden"


@pytest.mark.parametrize("who", CAST)
def test_a_view_without_a_declaration_is_refused_to_everybody(clients, settings, who):
    settings.ROOT_URLCONF = __name__
    assert clients[who].get("/forgotten").status_code == 403


def test_a_declaration_names_known_roles_only():
    with pytest.raises(ValueError, match="mangaer"):
        allow(get={"mangaer"})
    with pytest.raises(ValueError, match="at least one method"):
        allow()
    with pytest.raises(ValueError, match="GET"):
        allow(get=set())


def test_the_access_middleware_is_in_use(settings):
    name = f"{AccessMiddleware.__module__}.{AccessMiddleware.__name__}"
    assert name in settings.MIDDLEWARE
