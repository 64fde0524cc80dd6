"""gunicorn's own log, and that it takes no orders beside."""

import json

from gunicorn.config import Config

from kits.config.server_log import ServerLog
from kits.management.commands.serve import web


def settings_of(words: list[str]) -> Config:
    """How gunicorn reads them."""
    found = Config()
    for name, value in vars(found.parser().parse_args(words)).items():
        if name != "args" and value is not None:
            found.set(name, value)
    return found


def test_the_web_server_logs_that_way_and_takes_no_orders_by_a_socket():
    read = settings_of(web("127.0.0.1:8000", 2, 4)[3:])
    assert read.logger_class is ServerLog
    assert read.control_socket_disable
    assert (read.bind, read.workers, read.threads) == (["127.0.0.1:8000"], 2, 4)


def test_what_the_server_says_of_itself_is_a_line_like_all_others(capsys):
    log = ServerLog(Config())
    log.warning("Invalid request from ip=%s: %s", "10.0.0.7", "two\nlines")
    out, err = capsys.readouterr()
    (line,) = out.splitlines()
    said = json.loads(line)
    assert (said["level"], said["logger"]) == ("warning", "gunicorn.error")
    assert said["message"] == "Invalid request from ip=10.0.0.7: two\nlines"
    assert err == ""
