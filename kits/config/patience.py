"""How long a process waits for a database that somebody else holds, before it says that it is busy."""

from django.db import connections

WEB_S = 3
WORKER_S = 120
SERVE_S = 1


def wait_at_most(seconds: float) -> None:
    """Let connections that this process makes from here on wait so long for SQLite's one lock."""
    for alias in connections:
        settings = connections[alias].settings_dict
        if connections[alias].vendor == "sqlite":
            connections[alias].close()
            settings["OPTIONS"] = {**settings.get("OPTIONS", {}), "timeout": seconds}
