"""What the web server says of itself, as lines like all others."""

import sys
from typing import Any

from gunicorn.glogging import Logger  # type: ignore[import-untyped]

from kits.config.logs import JsonLine


class ServerLog(Logger):
    """gunicorn's log on standard output, a JSON object a line."""

    def setup(self, cfg: Any) -> None:
        """As gunicorn has it, then in our form."""
        super().setup(cfg)
        for handler in self.error_log.handlers:
            handler.setFormatter(JsonLine())
            handler.setStream(sys.stdout)
