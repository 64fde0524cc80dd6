"""How much may be sent: measured before it is read, less from whom nothing is expected, and told in a sentence."""

import socket
from io import BytesIO

import pytest
from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import RequestFactory

from kits.config.bodies import (
    BROKE_OFF,
    STRANGERS_BYTES,
    CountedUpload,
    content_length,
    most_bytes,
    within,
)
from kits.exchange.safety import MAX_BYTES
from kits.exchange.views import import_workbook
from kits.fitment.views import write_note
from kits.people.signing.views import sign_in
from tests.conftest import unsaved
from tests.kits.fitment.pages import main_text

pytestmark = pytest.mark.one_database
FORM = "application/x-www-form-urlencoded"


class Untouched:
    """A body that must not be read."""

    def read(self, *_):
        raise AssertionError("the body was read")

    readline = read


def posted(client, address, length, kind=FORM):
    """Send a body of which only the length is known."""
    told = {"CONTENT_LENGTH": f"{length}", "wsgi.input": Untouched(), "CONTENT_TYPE": kind}
    return client.post(address, **told)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("who", "address", "most"),
    [
        ("anonymous", "/sign-in/", "64 kB"),
        ("anonymous", "/import/", "64 kB"),
        ("stranger", "/import/", "64 kB"),
        ("installer", "/import/", "64 kB"),
        ("manager", "/import/", "21 MB"),
        ("manager", "/edit/-/markets/", "2.5 MB"),
        ("owner", "/edit/-/markets/", "64 kB"),
    ],
)
@pytest.mark.parametrize("kind", [FORM, "multipart/form-data; boundary=b"])
def test_what_is_too_large_is_refused_before_it_is_read(clients, who, address, most, kind):
    answer = posted(clients[who], address, 700 * 1024**2, kind)
    assert answer.status_code == 413
    assert f"At most {most} can be sent here at once" in main_text(answer)


@pytest.mark.django_db
@pytest.mark.parametrize("length", ["-1", "x", "1e3", "9" * 5000, "²"])
def test_a_length_that_is_none_is_refused_before_anything_is_read(manager_client, length):
    assert posted(manager_client, "/edit/-/markets/", length).status_code == 400


def sent_by(user, method="POST"):
    request = RequestFactory().generic(method, "/")
    request.user = user
    return request


def test_each_view_takes_what_it_declares_from_whom_it_is_open_to():
    manager, owner = unsaved("manager"), unsaved("owner")
    assert most_bytes(sent_by(manager), import_workbook) > MAX_BYTES
    assert most_bytes(sent_by(owner), import_workbook) == STRANGERS_BYTES
    assert most_bytes(sent_by(manager), write_note) == settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    assert most_bytes(sent_by(manager, "GET"), write_note) == STRANGERS_BYTES
    assert most_bytes(sent_by(manager), sign_in) == STRANGERS_BYTES


@pytest.mark.parametrize(
    ("told", "length"), [("", 0), (None, 0), ("12", 12), (" 7 ", 7), ("-1", None), ("1.0", None)]
)
def test_a_length_is_digits(told, length):
    request = RequestFactory().get("/")
    request.META["CONTENT_LENGTH"] = told
    assert content_length(request) == length


def test_bytes_that_really_come_are_counted_whatever_was_said():
    request = RequestFactory().get("/")
    request.most_body_bytes = 10
    counted = CountedUpload(request)
    assert counted.receive_data_chunk(b"x" * 6, 0) == b"x" * 6
    assert counted.receive_data_chunk(b"x" * 4, 6) == b"x" * 4
    with pytest.raises(RequestDataTooBig):
        counted.receive_data_chunk(b"x", 10)


@pytest.mark.django_db
def test_a_file_that_is_longer_than_was_said_is_refused(installer_client, monkeypatch):
    monkeypatch.setattr("kits.config.bodies.content_length", lambda request: 0)
    file = SimpleUploadedFile("a.xlsx", b"x" * (STRANGERS_BYTES + 1))
    assert installer_client.post("/import/", {"workbook": file}).status_code == 413


@pytest.mark.django_db
def test_a_file_just_too_large_is_told_by_its_form(manager_client):
    file = SimpleUploadedFile("a.xlsx", b"x" * (MAX_BYTES + 1))
    answer = manager_client.post("/import/", {"workbook": file})
    assert answer.status_code == 422
    assert "larger than 20 MB" in main_text(answer)


@pytest.mark.django_db
def test_a_form_of_thousands_of_fields_is_read(manager_client, demonstration):
    rows = {f"e{n}-part_number": "x" for n in range(9_000)}
    answer = manager_client.post("/kits/S4-DASH/positions/100/", {**rows, "seen": "["})
    assert answer.status_code == 422


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["get", "post"])
def test_a_form_of_more_fields_than_any_of_ours_is_told_where_what_was_typed_still_stands(
    manager_client, method
):
    fields = {f"x{n}": "1" for n in range(settings.DATA_UPLOAD_MAX_NUMBER_FIELDS + 1)}
    answer = getattr(manager_client, method)("/import/", fields)
    assert answer.status_code == 400
    assert "10,000 fields at most" in main_text(answer)
    assert "what you typed still stands in the page before" in main_text(answer)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("multipart/form-data", b"--b"),
        ("multipart/form-data; boundary=" + "x" * 300, b"--b"),
        (f"{FORM}; charset=utf-16", b"a=1"),
    ],
)
def test_what_is_no_form_is_told(manager_client, kind, body):
    answer = manager_client.generic("POST", "/edit/-/markets/", body, kind)
    assert answer.status_code == 400
    assert "no form that can be read" in main_text(answer)


@pytest.mark.django_db
@pytest.mark.parametrize("kind", [FORM, "multipart/form-data; boundary=b"])
def test_a_form_that_broke_off_is_not_taken_for_a_shorter_one(client, kind):
    whole = {
        FORM: b"username=manager&password=slate-coast-kettle&next=/fit/",
        "multipart/form-data; boundary=b": (
            b'--b\r\nContent-Disposition: form-data; name="username"\r\n\r\nmanager\r\n--b--\r\n'
        ),
    }[kind]
    cut = BytesIO(whole[:-8])
    told = {"CONTENT_LENGTH": f"{len(whole)}", "wsgi.input": cut, "CONTENT_TYPE": kind}
    answer = client.post("/sign-in/", **told)
    assert answer.status_code == 400
    assert BROKE_OFF in main_text(answer)


def test_a_body_that_comes_by_drops_is_hung_up_on():
    ours, theirs = socket.socketpair()
    request = RequestFactory().post("/sign-in/")
    request.META["gunicorn.socket"] = ours
    theirs.sendall(b"user")
    with within(request, 0.05):
        assert ours.recv(4) == b"user"
        assert ours.recv(4) == b""  # would wait for ever
    ours.close()
    theirs.close()


def test_a_body_that_is_here_in_time_leaves_the_connection_open():
    ours, theirs = socket.socketpair()
    request = RequestFactory().post("/sign-in/")
    request.META["gunicorn.socket"] = ours
    with within(request, 30):
        pass
    theirs.sendall(b"next")
    assert ours.recv(4) == b"next"
    ours.close()
    theirs.close()
