"""The list of people, the page of one, and the forms of what is done to his entry."""

import html
import re
from datetime import date, timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from kits.people.models import Certificate, Person
from tests.conftest import make_person, signed_in
from tests.keys import a_key
from tests.kits.people.cast import certificate, invited

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
INVITED = {
    "version": "0",
    "idempotency_key": a_key("k"),
    "account": "anna",
    "name": "Anna  Berg",
    "roles": ["installer"],
}
LINK = re.compile(r"http://[^<\s]*/invitation/([^/<]+)/")


def text_of(response):
    """What the page says below its head."""
    return html.unescape(response.content.decode().partition("<main")[2])


def rows(client, query=""):
    """The names in the list."""
    return re.findall(r'<a href="/people/[^/"]+/">([^<]+)</a>', text_of(client.get(f"/people/{query}")))


# The list


def test_the_list_shows_everybody_and_those_who_left_last(manager_client, installer, owner_client):
    installer.person.left_on = date(2026, 11, 1)
    installer.person.save()
    invited(name="Anna " + "Long" * 18, firm="Coast Garage")
    found = rows(owner_client)
    assert found == ["Anna " + "Long" * 18, "manager", "owner", "installer"]
    page = text_of(owner_client.get("/people/"))
    assert "Coast Garage" in page and "2026-11-01" in page and "Invite somebody" not in page
    assert "Invite somebody" in text_of(manager_client.get("/people/"))


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("?state=here", {"Anna Berg", "manager"}), ("?state=left", {"installer"}), ("?role=manager", {"manager"}),
        ("?firm=Coast+Garage", {"Anna Berg"}), ("?firm=own", {"manager", "installer"}), ("?text=berg", {"Anna Berg"}),
        ("?text=coast", {"Anna Berg"}), ("?text=nobody", set()), ("?certificates=ending", {"Anna Berg"}),
        ("?text=anna&role=owner", set()),
    ],
)  # fmt: skip
def test_the_list_is_filtered(manager_client, installer, query, found):
    installer.person.left_on = date(2026, 11, 1)
    installer.person.save()
    certificate(invited(firm="Coast Garage"), valid_until=timezone.localdate())
    assert set(rows(manager_client, query)) == found


@pytest.mark.parametrize(
    "query", ["?state=x", "?role=boss", "?firm=nobody", "?certificates=x", "?sort=x", "?page=9"]
)
def test_what_the_address_asks_in_vain_is_told(manager_client, query):
    page = text_of(manager_client.get(f"/people/{query}"))
    assert "left out" in page or "There is no" in page


@pytest.mark.parametrize("name", ["name", "initials", "firm", "last_login", "left_on"])
def test_the_list_is_sorted_both_ways(manager_client, installer, name):
    invited(firm="Coast Garage")
    for sign in ("", "-"):
        assert len(rows(manager_client, f"?sort={sign}{name}")) == 3


def test_the_list_says_how_it_stands_with_certificates(manager_client, manager):
    today = timezone.localdate()
    certificate(manager.person, valid_until=today + timedelta(days=3))
    certificate(manager.person, kind="high voltage")
    page = text_of(manager_client.get("/people/"))
    assert "<b>ends soon</b>" in page and "high voltage: without end" in page


def test_the_first_page_of_a_manager_tells_what_ends(manager_client, owner_client, manager, owner):
    assert "Certificates of people" not in text_of(manager_client.get("/"))
    today = timezone.localdate()
    certificate(manager.person, valid_until=today + timedelta(days=60))
    certificate(owner.person, valid_until=today - timedelta(days=1))
    page = text_of(manager_client.get("/"))
    assert "1 has ended, 1 ends within 60 days" in page
    assert 'href="/people/?certificates=ending"' in page
    assert "Certificates of people" not in text_of(owner_client.get("/"))


# One person


def test_a_person_has_his_certificates_and_what_was_done(owner_client, installer):
    row = certificate(installer.person, number="<i>R</i>")
    page = owner_client.get("/people/IN/").content.decode()
    assert "&lt;i&gt;R&lt;/i&gt;" in page and "certificate refrigerant &lt;i&gt;R&lt;/i&gt; recorded" in page
    assert f"/certificates/{row.pk}/" not in page and "Change roles" not in page
    assert owner_client.get("/people/in/").status_code == 404


def test_the_queries_of_a_page_do_not_grow(manager_client, manager, django_assert_max_num_queries):
    manager_client.get("/people/MA/")  # the first request of a session writes when it began
    for number in range(3):
        certificate(manager.person, number=f"R-{number}")
        with django_assert_max_num_queries(14):
            manager_client.get("/people/MA/")


def test_a_page_says_that_a_link_is_open_or_that_somebody_is_shut_out(manager_client):
    person = invited(now=timezone.now())
    assert "was made and not used yet" in text_of(manager_client.get("/people/AB/"))
    person.link_made_at -= timedelta(days=4)
    person.save()
    assert "no link is open: make a new one" in text_of(manager_client.get("/people/AB/"))


# Inviting


def test_an_invitation_shows_its_link_once(manager_client, client):
    answer = manager_client.post("/people/invite/", {**INVITED, "new_firm": "Coast Garage"})
    page = text_of(answer)
    (token,) = LINK.findall(page)
    assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("no-store", "strict-origin")
    assert client.get(f"/invitation/{token}/").status_code == 200
    person = Person.objects.get(initials="AB")
    assert (f"{person}", f"{person.firm}") == ("Anna Berg", "Coast Garage")
    assert token not in manager_client.get("/people/AB/").content.decode()
    again = text_of(manager_client.post("/people/invite/", {**INVITED, "new_firm": "Coast Garage"}))
    assert LINK.findall(again) == [token] and User.objects.filter(username="anna").count() == 1
    other = manager_client.post("/people/invite/", {**INVITED, "account": "berta"})
    assert (other.status_code, "sent before with other content" in text_of(other)) == (409, True)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"account": ""}, "Type a name to sign in with"),
        ({"account": "manager"}, "already an account called “manager”"),
        ({"account": "two words"}, "is made of letters, digits"),
        ({"account": "a\x00"}, "can’t be shown"),
        ({"account": "x" * 10_000}, "has 10,000 characters; at most 40 fit"),
        ({"name": " "}, "Type the name"),
        ({"name": "x" * 10_000}, "at most 80 fit"),
        ({"name": "An\u202ena"}, "can’t be seen"),
        ({"name": "\u3164"}, "can’t be seen"),
        ({"name": "..."}, "at least one letter or digit"),
        ({"account": "._."}, "at least one letter or digit"),
        ({"new_firm": "--"}, "at least one letter or digit"),
        ({"initials": "A"}, "two to five letters"),
        ({"initials": "A1"}, "two to five letters"),
        ({"initials": "ma"}, "MA are or were somebody else’s initials"),
        ({"roles": []}, "Tick at least one role"),
        ({"roles": ["boss"]}, "There is no role “boss”"),
        ({"roles": ["manager"], "new_firm": "Coast Garage"}, "installers and nothing else"),
        ({"firm": "no such firm"}, "There is no such firm"),
        ({"new_firm": "x" * 81}, "at most 80 fit"),
        ({"reason": "x" * 201}, "at most 200 fit"),
        ({"idempotency_key": a_key("x") * 65}, "lost its state"),
    ],
)
def test_what_can_not_be_is_refused_and_what_was_typed_is_kept(manager_client, typed, said):
    answer = manager_client.post("/people/invite/", {**INVITED, **typed})
    assert (answer.status_code, said in text_of(answer)) == (422, True)
    assert "Nobody was invited" in text_of(answer)
    assert User.objects.count() == 1
    assert f'name="idempotency_key" value="{a_key("k")}"' not in answer.content.decode()


def test_a_firm_is_chosen_or_typed_and_not_both(manager_client):
    invited("first", firm="Coast Garage")
    both = {**INVITED, "firm": "Coast Garage", "new_firm": "Other"}
    assert "not both" in text_of(manager_client.post("/people/invite/", both))
    assert manager_client.post("/people/invite/", {**INVITED, "firm": "Coast Garage"}).status_code == 200
    assert Person.objects.filter(firm__name="Coast Garage").count() == 2


# What is done to an entry


def send(client, where, **typed):
    """Send a form with the version of now."""
    version = f"{Person.objects.get(initials=where.split('/')[0]).version}"
    return client.post(f"/people/{where}", {"version": version, "reason": "so it is", **typed})


def test_forms_show_how_it_is_and_change_it(manager_client, installer):
    assert 'value="installer"' in manager_client.get("/people/IN/change/").content.decode()
    assert (
        send(manager_client, "IN/change/", name="Ines Kolb", new_firm="Coast Garage")["Location"]
        == "/people/IN/"
    )
    page = manager_client.get("/people/IN/change/").content.decode()
    assert '<option value="Coast Garage" selected>' in page and 'value="Ines Kolb"' in page
    assert (
        'value="installer" id="id_roles_2" checked'
        in manager_client.get("/people/IN/roles/").content.decode()
    )
    assert "installers and nothing else" in text_of(send(manager_client, "IN/roles/", roles=["owner"]))
    assert send(manager_client, "IN/change/", name="Ines Kolb").status_code == 302
    assert send(manager_client, "IN/roles/", roles=["owner", "production"]).status_code == 302
    page = text_of(manager_client.get("/people/IN/"))
    assert "production, owner" in page and "our own" in page and "so it is" in page


def test_a_form_from_before_somebody_else_changed_it_is_told_so_and_can_be_sent_again(
    manager_client, installer
):
    send(manager_client, "IN/change/", name="Ines")
    answer = manager_client.post("/people/IN/change/", {"version": "1", "name": "Other"})
    page = text_of(answer)
    assert answer.status_code == 409 and "was changed in the meantime" in page and 'value="Other"' in page
    assert 'name="version" value="2"' in page
    assert Person.objects.get(initials="IN").name == "Ines"


def test_who_leaves_is_signed_out_at_once_and_can_not_come_in(
    manager_client, installer_client, client, installer
):
    assert installer_client.get("/fit/").status_code == 200
    assert send(manager_client, "IN/leave/", last_day=f"{timezone.localdate()}")["Location"] == "/people/IN/"
    assert installer_client.get("/fit/")["Location"].startswith("/sign-in/")
    assert not client.login(username="installer", password="a kettle on the slate coast")
    page = text_of(manager_client.get("/people/IN/"))
    assert "the account is closed" in page and "Comes back" in page and "Leaves…" not in page
    answer = send(manager_client, "IN/back/", roles=["production"], idempotency_key=a_key("k"))
    (token,) = LINK.findall(text_of(answer))
    password = "another kettle on the coast"
    client.post(f"/invitation/{token}/", {"new_password1": password, "new_password2": password})
    assert client.login(username="installer", password=password)


@pytest.mark.parametrize(
    ("typed", "said"), [("", "which was his last day"), ("0001-01-01", "can’t have left before"),
    ("9999-12-31", "still to come"), ("soon", "Write the date as")],
)  # fmt: skip
def test_a_last_day_that_can_not_be_is_refused(manager_client, installer, typed, said):
    answer = send(manager_client, "IN/leave/", last_day=typed)
    assert (answer.status_code, said in text_of(answer)) == (422, True)


def test_the_last_manager_is_told_so_in_the_form(manager_client, manager):
    for answer in (
        send(manager_client, "MA/leave/", last_day=f"{timezone.localdate()}"),
        send(manager_client, "MA/roles/", roles=["owner"]),
    ):
        assert (answer.status_code, "manager is the last manager" in text_of(answer)) == (422, True)
    assert manager_client.get("/people/").status_code == 200


def test_a_manager_who_is_not_the_last_may_close_his_own_account(manager_client):
    signed_in(make_other_manager())
    answer = send(manager_client, "MA/leave/", last_day=f"{timezone.localdate()}")
    assert answer["Location"] == "/people/MA/"
    assert manager_client.get("/people/MA/")["Location"].startswith("/sign-in/")


def make_other_manager():
    """A second one."""
    other = make_person("other")
    other.groups.add(*User.objects.get(username="manager").groups.all())
    return other


def test_a_new_link_is_shown_once(manager_client, installer):
    sent = {"version": "1", "idempotency_key": a_key("k"), "reason": "forgot it"}
    answers = [manager_client.post("/people/IN/link/", sent) for _ in range(2)]
    assert len({LINK.findall(text_of(answer))[0] for answer in answers}) == 1
    assert (
        manager_client.post("/people/IN/link/", {**sent, "idempotency_key": a_key("other")}).status_code
        == 409
    )


def test_certificates_are_recorded_corrected_and_withdrawn(manager_client, installer):
    typed = {
        "kind": "refrigerant",
        "number": "R-1",
        "valid_from": "2026-01-01",
        "idempotency_key": a_key("k"),
    }
    for _ in range(2):
        answer = manager_client.post("/people/IN/certificates/add/", {"version": "1", **typed})
        assert answer["Location"] == "/people/IN/"
    (row,) = Certificate.objects.all()
    where = f"IN/certificates/{row.pk}/"
    assert 'value="2026-01-01"' in manager_client.get(f"/people/{where}").content.decode()
    assert send(manager_client, where, **{**typed, "number": "R-2"}).status_code == 302
    assert (
        send(
            manager_client,
            "IN/certificates/add/",
            **{**typed, "number": "r-2", "idempotency_key": a_key("l")},
        ).status_code
        == 422
    )
    assert send(manager_client, f"{where}withdraw/", reason="").status_code == 422
    assert send(manager_client, f"{where}withdraw/").status_code == 302
    assert "withdrawn" in text_of(manager_client.get("/people/IN/"))
    for gone in (where, f"{where}withdraw/", "IN/certificates/999/"):
        assert manager_client.get(f"/people/{gone}").status_code == 404


def test_a_certificate_of_somebody_else_is_not_found_at_his_address(manager_client, manager, installer):
    row = certificate(manager.person)
    assert manager_client.get(f"/people/IN/certificates/{row.pk}/").status_code == 404


@pytest.mark.parametrize("where", ["", "change/", "roles/", "leave/", "back/", "link/", "certificates/add/"])
def test_nobody_with_these_initials_is_a_page_that_says_so(manager_client, where):
    assert "nobody with these initials" in text_of(manager_client.get(f"/people/QQ/{where}"))
