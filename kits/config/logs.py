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
        return SECRET.sub(r"\1…", json.dumps(line, default=str, ensure_ascii=False))
