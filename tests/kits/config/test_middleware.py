"""The request's id and its log line."""

import io
import json
import logging
from datetime import datetime, timedelta

import pytest
from django.db import OperationalError
from django.http import HttpResponse
from django.test import Client
from django.utils.functional import SimpleLazyObject

from kits.config.logs import JsonLine, request_id
from kits.config.middleware import RequestLogMiddleware
from tests.conftest import PASSWORD
from tests.kits.config import test_views


@pytest.fixture
def lines():
    """The JSON lines that are written while the test runs."""
    written: list[dict[str, object]] = []

    class Collect(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            written.append(json.loads(JsonLine().format(record)))

    handler = Collect()
    log = logging.getLogger("kitwright.request")
    log.addHandler(handler)
    yield written
    log.removeHandler(handler)


def test_each_request_writes_one_line(manager_client, manager, lines):
    response = manager_client.get("/?password=hunter2")
    (line,) = lines
    assert line["method"] == "GET"
    assert line["path"] == "/"
    assert line["route"] == "home"
    assert line["status"] == 200
    assert line["user"] == manager.pk
    assert line["address"] == "127.0.0.1"
    assert line["request"] == response["X-Request-ID"]
    assert isinstance(line["ms"], float) and line["ms"] > 0


def test_the_time_that_an_answer_took_is_told_in_milliseconds(client, db, lines, monkeypatch):
    clock = iter([7.0, 7.25])
    monkeypatch.setattr("kits.config.middleware.time.perf_counter", lambda: next(clock, 8.0))
    client.get("/sign-in/")
    assert lines[0]["ms"] == 250.0


def test_what_was_typed_into_an_address_is_not_logged(manager_client, lines):
    manager_client.get("/?password=hunter2")
    assert "hunter2" not in json.dumps(lines)


def test_an_address_that_is_a_secret_stands_in_no_line(client, db, lines, caplog):
    Client(enforce_csrf_checks=True).post("/invitation/1-secret/?a=b", {"x": "y"})
    assert (lines[0]["path"], lines[0]["route"], lines[0]["status"]) == ("/invitation/…/", "invitation", 403)
    refused = next(record for record in caplog.records if record.name == "django.security.csrf")
    assert "secret" in refused.getMessage() and "secret" not in JsonLine().format(refused)


def test_somebody_unknown_and_an_unknown_address_are_logged_too(client, db, lines):
    client.get("/nothing-here")
    assert (lines[0]["status"], lines[0]["user"], lines[0]["route"]) == (404, None, None)


def test_what_is_refused_is_logged_with_who_and_when(installer_client, installer, lines):
    installer_client.get("/import/")
    (line,) = lines
    assert (line["status"], line["user"], line["route"], line["path"]) == (
        403,
        installer.pk,
        "import",
        "/import/",
    )
    assert datetime.fromisoformat(line["time"]).utcoffset() == timedelta(0)


@pytest.mark.parametrize(
    ("sent", "status"),
    [({}, 403), ({"headers": {"Host": "evil.example"}}, 400), ({"CONTENT_LENGTH": "x"}, 400)],
)
def test_attempts_to_get_round_a_check_are_logged(db, lines, sent, status):
    Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "x", "password": "hunter2"}, **sent)
    assert lines[0]["status"] == status
    assert "hunter2" not in json.dumps(lines)


def test_an_address_with_line_ends_stays_in_its_line(client, db, lines, capsys):
    client.get("/no%0d%0athing%0a%7B%22level%22:%22error%22%7D")
    assert "\n" in lines[0]["path"]
    assert "\n" not in JsonLine().format(logging.LogRecord("x", logging.INFO, "", 1, lines[0], None, None))


@pytest.mark.parametrize(
    "sign",
    ["\n", "\r", "\x1b", "\x7f", "\x85", "\x9b", "\u2028", "\u2029", "\u202e", "\u2066", "\ufeff", "\ud800"],
)
def test_no_sign_in_a_log_line_ends_it_or_commands_a_terminal(sign):
    said = {"name": f"Øystein 王{sign}[31m"}
    text = JsonLine().format(logging.LogRecord("x", logging.INFO, "", 1, said, None, None))
    assert sign not in text and len(text.splitlines()) == 1 and "Øystein 王" in text
    assert text.encode() and json.loads(text)["name"] == said["name"]


def test_a_fault_of_a_view_is_logged_with_its_trace_and_the_id_that_its_page_tells(db, settings):
    settings.ROOT_URLCONF = test_views.__name__
    out, log = io.StringIO(), logging.getLogger("django.request")
    handler = logging.StreamHandler(out)
    handler.setFormatter(JsonLine())
    log.addHandler(handler)
    page = Client(raise_request_exception=False).get("/fault")
    log.removeHandler(handler)
    line = json.loads(out.getvalue())
    assert (line["level"], line["request"]) == ("error", page["X-Request-ID"])
    assert "RuntimeError: secret detail" in line["trace"]


def test_logs_go_to_standard_output_and_nowhere_else(settings):
    handlers = settings.LOGGING["handlers"]
    assert {name: handler["stream"] for name, handler in handlers.items()} == {"stdout": "ext://sys.stdout"}
    named = [*settings.LOGGING["loggers"].values(), settings.LOGGING["root"]]
    assert {handler for logger in named for handler in logger.get("handlers", [])} == {"stdout"}


def test_an_id_from_outside_is_ignored(client, db):
    first = client.get("/sign-in/", headers={"X-Request-ID": "forged"})["X-Request-ID"]
    second = client.get("/sign-in/", headers={"X-Request-ID": "forged"})["X-Request-ID"]
    assert len({first, second, "forged"}) == 3


def test_after_the_request_there_is_no_id(client, db):
    client.get("/sign-in/")
    assert request_id.get() == ""


def test_a_log_line_stays_one_line_whatever_is_in_it():
    record = logging.LogRecord("kitwright", logging.ERROR, __file__, 1, "two\nlines “%s”", ("ü",), None)
    line = JsonLine().format(record)
    assert "\n" not in line
    assert json.loads(line)["message"] == "two\nlines “ü”"


def test_a_fault_is_logged_with_its_trace():
    try:
        raise RuntimeError("the pump stopped")
    except RuntimeError as fault:
        caught = (type(fault), fault, fault.__traceback__)
    record = logging.LogRecord("django.request", logging.ERROR, __file__, 1, "x", None, caught)
    assert "the pump stopped" in json.loads(JsonLine().format(record))["trace"]


def test_the_line_never_asks_the_database_and_names_who_asked_where_the_answer_did(
    manager_client, manager, lines, django_assert_num_queries
):
    with django_assert_num_queries(0):
        manager_client.post("/sign-in/", {}, headers={"Host": "evil.example"})
    manager_client.get("/")
    assert [(line["status"], line["user"]) for line in lines] == [(400, None), (200, manager.pk)]


def test_who_signs_in_is_named(client, manager, lines):
    client.post("/sign-in/", {"username": "manager", "password": PASSWORD})
    assert (lines[0]["status"], lines[0]["user"]) == (302, manager.pk)


def test_an_answer_that_raised_is_logged_too(lines, rf):
    def raises(request):
        raise RuntimeError("the page of the fault has a fault")

    with pytest.raises(RuntimeError):
        RequestLogMiddleware(raises)(rf.get("/x"))
    assert (lines[0]["path"], lines[0]["status"], lines[0]["user"]) == ("/x", 500, None)
    assert request_id.get() == ""


def test_a_database_that_is_away_costs_neither_the_answer_nor_the_line(lines, rf):
    def asked():
        raise OperationalError("connection to server at 10.0.0.7 failed")

    def answers(request):
        request.user = SimpleLazyObject(asked)
        return HttpResponse("busy", status=503)

    assert RequestLogMiddleware(answers)(rf.get("/x")).status_code == 503
    assert (lines[0]["status"], lines[0]["user"]) == (503, None)
