"""The request's id and its log line."""

import json
import logging

import pytest

from kits.config.logs import JsonLine, request_id


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


def test_somebody_unknown_and_an_unknown_address_are_logged_too(client, db, lines):
    client.get("/nothing-here")
    assert (lines[0]["status"], lines[0]["user"], lines[0]["route"]) == (404, None, None)


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
