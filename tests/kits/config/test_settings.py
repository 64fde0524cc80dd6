"""What an installation is, seen from outside: a process started with an environment."""

import json
import os
import subprocess
import sys
from pathlib import Path

from django.db import connection

from kits.config.settings import database
from tests.kits.config.test_env import PRODUCTION

ROOT = Path(__file__).resolve().parents[3]
ASK = """
import json, kits.config.settings as s
print(json.dumps({name: getattr(s, name) for name in (
    "DEBUG", "SECURE_SSL_REDIRECT", "SECURE_HSTS_SECONDS", "SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE",
    "SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME",
    "ALLOWED_HOSTS", "WHITENOISE_AUTOREFRESH")}))
"""


def start(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run Python in the checkout with no other KITWRIGHT_ variable than the given ones."""
    inherited = {key: value for key, value in os.environ.items() if not key.startswith("KITWRIGHT_")}
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**inherited, **environment},
        capture_output=True,
        text=True,
        check=False,
    )


def test_production_is_locked_down():
    answer = json.loads(start("-c", ASK, **PRODUCTION).stdout)
    assert answer == {
        "DEBUG": False,
        "SECURE_SSL_REDIRECT": True,
        "SECURE_HSTS_SECONDS": 31_536_000,
        "SESSION_COOKIE_SECURE": True,
        "CSRF_COOKIE_SECURE": True,
        "SESSION_COOKIE_NAME": "__Host-session",
        "CSRF_COOKIE_NAME": "__Host-csrf",
        "ALLOWED_HOSTS": ["kits.brindle-moor.example"],
        "WHITENOISE_AUTOREFRESH": False,
    }


def test_django_finds_nothing_to_warn_of_in_production():
    run = start("manage.py", "check", "--deploy", "--fail-level", "WARNING", **PRODUCTION)
    # Preloading HSTS into browsers is for the owner of the whole domain to decide.
    remarks = [line for line in run.stderr.splitlines() if ": (" in line]
    assert [line.split(")")[0] for line in remarks] == ["?: (security.W021"]


def test_a_refused_environment_ends_in_one_sentence():
    run = start("manage.py", "check", KITWRIGHT_ENV="staging")
    assert run.returncode == 1
    assert run.stderr.startswith("KITWRIGHT_ENV is “staging”.")
    assert len(run.stderr.splitlines()) == 1


def test_the_demonstration_is_refused_in_production(tmp_path):
    url = f"sqlite:///{tmp_path}/x.sqlite3"
    run = start("manage.py", "start_demo", **PRODUCTION, KITWRIGHT_DATABASE_URL=url)
    assert run.returncode == 1
    assert "not set up in production" in run.stderr
    assert list(tmp_path.iterdir()) == []


def test_sqlite_takes_its_write_lock_at_the_start():
    options = database("sqlite:////srv/x.sqlite3")["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"
    assert options["timeout"] == 20
    assert "journal_mode=WAL" in options["init_command"]


def test_postgresql_gets_no_option_of_sqlite():
    config = database("postgres://u:p@h:5433/kitwright")
    assert (config["ENGINE"], config["PORT"]) == ("django.db.backends.postgresql", 5433)
    assert "transaction_mode" not in config.get("OPTIONS", {})


def test_the_run_is_on_the_database_that_was_asked_for(db):
    asked = os.environ.get("KITWRIGHT_DATABASE_URL", "sqlite:").split(":")[0]
    assert connection.vendor == {"sqlite": "sqlite"}.get(asked, "postgresql")
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")


def test_no_inline_script_or_style_is_allowed(client, db):
    policy = client.get("/sign-in/")["Content-Security-Policy"]
    said = {words[0]: words[1:] for words in map(str.split, policy.split(";"))}
    assert said == {
        "default-src": ["'self'"], "object-src": ["'none'"], "base-uri": ["'none'"], "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
    }  # fmt: skip
