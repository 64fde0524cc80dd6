"""The unit of systemd that comes along."""

from configparser import ConfigParser
from pathlib import Path

import kits.config
from kits.config.env import VARIABLES
from kits.config.supervise import GRACE_S

UNIT = Path(kits.config.__file__).parent / "kitwright.service"


def unit() -> ConfigParser:
    """The unit, read as systemd does: names as they stand, the last of several counts."""
    read = ConfigParser(strict=False, interpolation=None)
    read.optionxform = str
    read.read(UNIT, encoding="utf-8")
    return read


def test_it_runs_the_site_and_its_worker_as_an_account_of_its_own():
    service = unit()["Service"]
    assert service["ExecStart"].split()[1:3] == ["manage.py", "serve"]
    assert service["User"] not in ("", "root")
    assert service["NoNewPrivileges"] == "yes" and service["CapabilityBoundingSet"] == ""


def test_it_listens_to_its_own_machine_alone():
    assert unit()["Service"]["ExecStart"].partition("--bind ")[2].startswith("127.0.0.1:")


def test_it_gives_serve_longer_to_end_than_serve_gives_its_parts():
    assert float(unit()["Service"]["TimeoutStopSec"]) > GRACE_S


def test_it_holds_no_setting_that_belongs_to_the_environment():
    assert not [name for name in VARIABLES if f"{name}=" in UNIT.read_text(encoding="utf-8")]
