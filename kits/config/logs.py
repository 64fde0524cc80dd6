"""Log lines as JSON, each with the id of the request it belongs to."""

import json
import logging
import re
from contextvars import ContextVar
from datetime import UTC, datetime

# The id of the request this thread is answering; empty outside a request.
request_id: ContextVar[str] = ContextVar("request_id", default="")
# Whoever reads a link to choose a password could use it: no line holds one, whoever wrote it.
SECRET = re.compile(r"(/invitation/)[^/\s\"\\]+")
# What some programs take for the end of a line, for a command to the terminal, or for another direction of writing.
# JSON leaves them as they are; those below the blank it escapes by itself.
UNSAFE = re.compile(
    r"[\x7f-\x9f\xad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff]"
)


class JsonLine(logging.Formatter):
    """One JSON object per line: time, level, logger, request, and the record's fields or its message."""

    def format(self, record: logging.LogRecord) -> str:
        """Turn the record into one line; a mapping as the message becomes the line's own fields."""
        line: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "request": request_id.get(),
        }
        if isinstance(record.msg, dict):
            line.update(record.msg)
        else:
            line["message"] = record.getMessage()
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        text = SECRET.sub(r"\1…", json.dumps(line, default=str, ensure_ascii=False))
        return UNSAFE.sub(lambda found: f"\\u{ord(found[0]):04x}", text)
