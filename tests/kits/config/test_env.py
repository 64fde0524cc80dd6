"""The environment is read strictly: nothing misspelt, empty or unsafe gets through."""

from pathlib import Path

import pytest

from kits.config import env
from kits.config.env import DEVELOPMENT_SECRET, VARIABLES, BadEnvironment, read_environment

ROOT = Path("/srv/kitwright")
SECRET = "kv7-Qm2!pX9sLw4zRt8bNc3yHj6fDg1aUe5oTi0-and-more-of-it"
PRODUCTION = {
    "KITWRIGHT_ENV": "production",
    "KITWRIGHT_SECRET_KEY": SECRET,
    "KITWRIGHT_ALLOWED_HOSTS": "kits.brindle-moor.example",
    "KITWRIGHT_BASE_URL": "https://kits.brindle-moor.example",
}


def test_nothing_set_is_a_development_site_on_this_machine():
    environment = read_environment({}, ROOT)
    assert not environment.is_production
    assert environment.secret_key == DEVELOPMENT_SECRET
    assert environment.database_url == "sqlite:////srv/kitwright/var/kitwright.sqlite3"
    assert environment.allowed_hosts == ("localhost", "127.0.0.1", "[::1]")
    assert environment.files_dir == ROOT / "var" / "files"
    assert environment.backup_dir == ROOT / "var" / "backups"
    assert not environment.debug
    assert environment.time_zone == "UTC"
    assert environment.metrics_token == "", "metrics are closed"


def test_the_shop_has_its_time_zone_and_the_metrics_their_token():
    told = {"KITWRIGHT_TIME_ZONE": "Pacific/Auckland", "KITWRIGHT_METRICS_TOKEN": SECRET}
    environment = read_environment(told, ROOT)
    assert (environment.time_zone, environment.metrics_token) == ("Pacific/Auckland", SECRET)


def test_a_machine_without_time_zones_is_told_what_to_install(monkeypatch):
    monkeypatch.setattr(env, "available_timezones", set)
    with pytest.raises(BadEnvironment, match="apt-get install -y tzdata"):
        read_environment({"KITWRIGHT_TIME_ZONE": "Europe/Berlin"}, ROOT)
    assert read_environment({}, ROOT).time_zone == "UTC"


def test_other_peoples_variables_are_not_our_business():
    assert read_environment({"PATH": "/bin", "KITWRIGHTISH": "x"}, ROOT) == read_environment({}, ROOT)


def test_a_complete_production_environment_is_read():
    environment = read_environment(
        {**PRODUCTION, "KITWRIGHT_ALLOWED_HOSTS": "a.example, b.example", "KITWRIGHT_TRUST_PROXY": "yes"},
        ROOT,
    )
    assert environment.is_production
    assert environment.secret_key == SECRET
    assert environment.allowed_hosts == ("a.example", "b.example")
    assert environment.trust_proxy


@pytest.mark.parametrize("missing", ["KITWRIGHT_SECRET_KEY", "KITWRIGHT_ALLOWED_HOSTS", "KITWRIGHT_BASE_URL"])
def test_production_refuses_to_start_without(missing):
    given = {key: value for key, value in PRODUCTION.items() if key != missing}
    with pytest.raises(BadEnvironment, match=f"^{missing} is missing"):
        read_environment(given, ROOT)


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("KITWRIGHT_ENV", "Production", "is “Production”"),
        ("KITWRIGHT_ENV", "", "is set but empty"),
        ("KITWRIGHT_DEBUG", "true", "is “true”"),
        ("KITWRIGHT_TRUST_PROXY", "1", "is “1”"),
        ("KITWRIGHT_SECRET_KEY", "  ", "is set but empty"),
        ("KITWRIGHT_TIME_ZONE", "CEST", "is no time zone that this machine knows"),
        ("KITWRIGHT_TIME_ZONE", "europe/berlin", "is no time zone that this machine knows"),
        ("KITWRIGHT_TIME_ZONE", "../../etc/passwd", "is no time zone that this machine knows"),
        ("KITWRIGHT_METRICS_TOKEN", "a" * 31 + "b", "is too easy to guess"),
        ("KITWRIGHT_METRICS_TOKEN", "0123456789abcdef", "is too easy to guess"),
        ("KITWRIGHT_METRICS_TOKEN", f"{SECRET} x", "holds a blank"),
        ("KITWRIGHT_METRICS_TOKEN", f"{SECRET}é", "holds a blank or a sign"),
        ("KITWRIGHT_DATABASE_URL", "mysql://u@h/db", "names neither SQLite nor PostgreSQL"),
        ("KITWRIGHT_DATABASE_URL", "postgres://u@h:port/db", "is not an address"),
        ("KITWRIGHT_DATABASE_URL", "postgres://u@h", "names no database"),
        ("KITWRIGHT_ALLOWED_HOSTS", "*", "would answer to any name"),
        ("KITWRIGHT_ALLOWED_HOSTS", "a.example,", "not a host name"),
        ("KITWRIGHT_ALLOWED_HOSTS", "https://a.example", "not a host name"),
        ("KITWRIGHT_BASE_URL", "kits.example", "not a web address"),
        ("KITWRIGHT_BASE_URL", "https://kits.example/?x=1", "not a web address"),
        ("KITWRIGHT_CURRENCY", "euro", "three letters"),
        ("KITWRIGHT_CURRENCY", "eur", "is “eur”"),
        ("KITWRIGHT_FILES_DIR", "files", "must be a full path"),
        ("KITWRIGHT_FILES_DIR", __file__, "which is a file"),
        ("KITWRIGHT_BACKUP_DIR", "backups", "must be a full path"),
        ("KITWRIGHT_BACKUP_DIR", __file__, "which is a file"),
    ],
)
def test_a_bad_value_is_refused_and_the_sentence_says_what_to_write(key, value, says):
    with pytest.raises(BadEnvironment) as refusal:
        read_environment({key: value}, ROOT)
    assert str(refusal.value).startswith(f"{key} ")
    assert says in str(refusal.value)
    assert VARIABLES[key] in str(refusal.value)


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("KITWRIGHT_SECRET_KEY", "short", "too easy to guess"),
        ("KITWRIGHT_SECRET_KEY", "ab" * 40, "too easy to guess"),
        ("KITWRIGHT_SECRET_KEY", DEVELOPMENT_SECRET, "too easy to guess"),
        ("KITWRIGHT_DEBUG", "yes", "can't be yes in production"),
        ("KITWRIGHT_BASE_URL", "http://kits.example", "must start with https"),
    ],
)
def test_production_is_stricter(key, value, says):
    with pytest.raises(BadEnvironment, match=says):
        read_environment({**PRODUCTION, key: value}, ROOT)


def test_a_misspelt_variable_is_refused_by_name():
    with pytest.raises(BadEnvironment, match="^KITWRIGHT_SECRET is not a setting"):
        read_environment({"KITWRIGHT_SECRET": SECRET}, ROOT)


def test_a_refusal_never_prints_the_secret():
    with pytest.raises(BadEnvironment) as refusal:
        read_environment({**PRODUCTION, "KITWRIGHT_SECRET_KEY": "hunter2hunter2"}, ROOT)
    assert "hunter2" not in str(refusal.value)


def test_a_refusal_never_prints_the_database_password():
    with pytest.raises(BadEnvironment) as refusal:
        read_environment({"KITWRIGHT_DATABASE_URL": "mysql://u:hunter2@h/db"}, ROOT)
    assert "hunter2" not in str(refusal.value)
