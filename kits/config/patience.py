"""How long a process waits for a database that somebody else holds, before it says that it is busy."""

from django.db import connections

WEB_S = 3
WORKER_S = 120
SERVE_S = 1


def wait_at_most(seconds: float) -> None:
    """Let connections that this process makes from here on wait so long for a lock, of SQLite or of PostgreSQL."""
    for alias in connections:
        # a dictionary of its own: whoever shares the old one goes on waiting as before
        options = dict(connections[alias].settings_dict.get("OPTIONS") or {})
        connections[alias].settings_dict["OPTIONS"] = options
        connections[alias].close()
        if connections[alias].vendor == "sqlite":
            options["timeout"] = seconds
        elif connections[alias].vendor == "postgresql":
            told = options.get("options", "")  # of several the last one holds
            options["options"] = f"{told} -c lock_timeout={round(1000 * seconds)}".strip()
