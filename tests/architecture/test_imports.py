"""Who may import what: Django by file name, no signals, vehicles never kits, no clock in calculations."""

import ast
from collections.abc import Iterator

from tests.architecture.tree import APPS, DJANGO_FOLDERS, DJANGO_NAMES, Module, app_modules

DJANGO_PACKAGES = frozenset(
    "django django_tables2 django_filters django_htmx django_otp csp whitenoise dj_database_url".split()
)
# Modules of Python's own that read the machine's environment have no place in a calculation.
CLOCK_CALLS = frozenset({"now", "utcnow", "today", "time", "time_ns", "localtime", "getenv"})
CLOCK_OWNERS = frozenset({"datetime", "date", "time", "os", "timezone"})


def django_by_name(module: Module) -> Iterator[str]:
    """A plain module that imports Django, a package that stands on it, or a module of ours that may."""
    if module.may_use_django:
        return
    for line, name in module.imports():
        parts = name.split(".")
        ours = parts[0] in APPS and any(
            part in DJANGO_NAMES or part in DJANGO_FOLDERS or part.endswith("_models") for part in parts[1:]
        )
        if parts[0] in DJANGO_PACKAGES or ours:
            yield f"{module.path}:{line} imports {name}, but only modules named for it may use Django"


def signals(module: Module) -> Iterator[str]:
    """A module of signals, or one that imports them."""
    if module.name == "signals":
        yield f"{module.path} is a module of signals"
    for line, name in module.imports():
        if "signals" in name.split(".") or name.startswith("django.dispatch"):
            yield f"{module.path}:{line} imports {name}"


def kits_in_vehicles(module: Module) -> Iterator[str]:
    """An import of kits in vehicles, or a relation to one of its models by name."""
    if not module.path.startswith("vehicles/"):
        return
    for line, name in module.imports():
        if name.split(".")[0] == "kits":
            yield f"{module.path}:{line} imports {name}"
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.startswith("kits."):
            yield f"{module.path}:{node.lineno} refers to {node.value}"


def clock(module: Module) -> Iterator[str]:
    """A plain module that asks for the time or the environment instead of being told."""
    if module.may_use_django:
        return
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name | ast.Attribute):
            owner = node.value.id if isinstance(node.value, ast.Name) else node.value.attr
            if owner in CLOCK_OWNERS and node.attr in CLOCK_CALLS | {"environ"}:
                yield f"{module.path}:{node.lineno} reads {owner}.{node.attr}"


def found(rule, modules=None) -> list[str]:
    """All that a rule finds in the modules."""
    return [problem for module in modules or app_modules() for problem in rule(module)]


def caught(rule, path: str, text: str) -> bool:
    """Whether a rule finds something in a snippet at that path."""
    return bool(found(rule, [Module(path, text)]))


def test_only_modules_named_for_it_use_django():
    assert found(django_by_name) == []


def test_a_plain_module_with_django_is_caught():
    for text in (
        "from django.db import models",
        "import django",
        "def late():\n    from django.conf import settings",
        "from django_otp.models import Device",
        "from kits.parts.models import Part",
        "from kits.parts import models",
        "from kits.parts.data_models import Hose",
        "from . import queries",
        "from ..fitment.bridge import load",
        "from kits.config import settings",
    ):
        assert caught(django_by_name, "kits/bom/compile.py", text), text
        assert not caught(django_by_name, "kits/bom/bridge.py", text), text
    assert not caught(
        django_by_name, "kits/bom/compile.py", "from vehicles.records.terms import Term\nimport math"
    )


def test_there_are_no_signals():
    assert found(signals) == []


def test_signals_are_caught():
    assert caught(signals, "kits/parts/signals.py", "")
    assert caught(signals, "kits/parts/models.py", "from django.db.models.signals import post_save")
    assert caught(signals, "kits/parts/models.py", "from django.db.models import signals")
    assert caught(signals, "kits/apps.py", "from django.dispatch import receiver")


def test_vehicles_never_imports_kits():
    assert found(kits_in_vehicles) == []


def test_kits_in_vehicles_is_caught():
    assert caught(kits_in_vehicles, "vehicles/catalogue/models.py", "from kits.parts.models import Part")
    assert caught(kits_in_vehicles, "vehicles/catalogue/models.py", "def late():\n    import kits.bom")
    assert caught(kits_in_vehicles, "vehicles/catalogue/models.py", "p = ForeignKey('kits.Part', CASCADE)")
    assert not caught(kits_in_vehicles, "kits/bom/models.py", "from kits.parts.models import Part")


def test_calculations_read_neither_clock_nor_environment():
    assert found(clock) == []


def test_a_clock_in_a_calculation_is_caught():
    for text in (
        "import datetime\nx = datetime.datetime.now()",
        "from datetime import date\nx = date.today()",
        "import time\nx = time.time()",
        "import os\nx = os.environ['X']",
    ):
        assert caught(clock, "kits/sizing/gas/charge.py", text), text
        assert not caught(clock, "kits/fitment/actions.py", text), text
