"""A web worker starts and serves its first pages without the slow libraries of calculations and papers."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
SCRIPT = """
import sys
SLOW = ("CoolProp", "matplotlib", "weasyprint", "scipy.optimize", "scipy.interpolate", "scipy.integrate")

def loaded(when):
    found = [name for name in SLOW if name in sys.modules]
    assert not found, f"{when}: {found}"

import kits.config.wsgi
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.urls import get_resolver

assert len(get_resolver().reverse_dict) > 20
loaded("the application and all addresses")
settings.MIGRATION_MODULES = {app.label: None for app in apps.get_app_configs()}
settings.ALLOWED_HOSTS = ["testserver"]
call_command("migrate", run_syncdb=True, verbosity=0)
from django.contrib.auth.models import Group, User
from django.test import Client
from kits.people.actions import make_roles
from kits.exchange.actions import DEMONSTRATIONS, import_demonstration

make_roles()
import_demonstration(books=DEMONSTRATIONS[:1])
manager = User.objects.create(username="manager")
manager.groups.add(Group.objects.get(name="manager"))
client = Client()
client.force_login(manager, backend="django.contrib.auth.backends.ModelBackend")
for address in ("/health", "/", "/fit/", "/kits/", "/parts/"):
    answer = client.get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    loaded(address)
import CoolProp
try:
    loaded("CoolProp itself")
except AssertionError:
    print("served")
"""


def test_a_worker_serves_lists_and_the_fit_table_without_the_slow_libraries():
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "KITWRIGHT_DATABASE_URL": "sqlite:///:memory:"}
    environment["KITWRIGHT_WORK_AT_ONCE"] = "yes"  # no worker runs beside it
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert run.returncode == 0, run.stderr[-3000:]
    # a library that is loaded is seen
    assert run.stdout.splitlines()[-1] == "served"
