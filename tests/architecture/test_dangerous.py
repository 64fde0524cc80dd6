"""What is dangerous in wrong hands stands in few places, each with its reason: our own SQL, processes, pickles.

ruff's security rules look for it; here is the list of what is excepted from them, and what they do not look for.
"""

import ast
import re
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.test_imports import caught, found
from tests.architecture.test_writes import name_of
from tests.architecture.tree import ROOT, Module, app_modules

RUFF = Path(sys.executable).with_name("ruff")
OWN_SQL = "a recursive query made of constants; values go as parameters"
EXCEPTED = {
    ("kits/bom/used/queries.py", "S608"): OWN_SQL,
    ("kits/bom/used/queries.py", "S611"): OWN_SQL,
    ("kits/config/supervise.py", "S603"): "starts our own two processes, as a list of words",
    ("kits/exchange/apart.py", "S603"): "starts our own process; the workbook goes in as its input",
    ("kits/config/backup/postgresql.py", "S603"): "starts PostgreSQL's own programs, as a list of words",
    ("kits/config/backup/facts.py", "S608"): "names of tables and columns of our own",
    ("kits/exchange/apply/actions.py", "S608"): "names of our own, quoted; values go as parameters",
    ("kits/people/signing/forms.py", "S105"): "a sentence that is told about a password",
    ("kits/people/queries.py", "S105"): "the demonstration's password, refused in production",
}
NOT_LOOKED_AT = {"tests/**": ["D", "S"], "kits/config/prepare.py": ["S", "UP"]}
"""prepare.py runs before anything is installed, calls apt-get with words of its own, and is told nothing by anybody."""

# What would let a page or a work open a connection of its own to a place that somebody named.
CONNECTIONS = (
    "socket ssl http.client urllib.request requests httpx aiohttp urllib3 smtplib ftplib imaplib poplib xmlrpc asyncio "
    "django.core.mail"
).split()
MAY_CONNECT = frozenset({"kits/config/prepare.py"})  # whether the port is free
# Text that would become program, page or query.
FROM_TEXT = frozenset(
    {"from_string", "Template", "csrf_exempt", "literal_eval", "import_module", "objects.raw"}
)
# A calculation that an answer names, of three rooms; the titles of chores, which are constants.
MAY_FROM_TEXT = frozenset({"kits/sizing/words/explain.py", "kits/config/tasks.py"})
# Hashes, signatures, chance: DEVELOPERS.md lists where, and for what.
CRYPTOGRAPHY = (
    "hashlib hmac secrets random cryptography numpy.random django.core.signing django.utils.crypto django_otp"
).split()


def exceptions(modules: list[Module]) -> Counter[tuple[str, str]]:
    """Each place that is excepted from a security rule."""
    return Counter(
        (module.path, rule)
        for module in modules
        for line in re.findall(r"# noqa:([^#\n]*)", module.text)
        for rule in re.findall(r"\bS\d{3}\b", line)
    )


def within(name: str, packages: list[str]) -> bool:
    """Whether an imported name is one of the packages or lies in one."""
    return any(name == package or name.startswith(f"{package}.") for package in packages)


def connects(module: Module) -> Iterator[str]:
    """An import of what opens connections."""
    if module.path not in MAY_CONNECT:
        yield from (
            f"{module.path}:{line} {name}" for line, name in module.imports() if within(name, CONNECTIONS)
        )


def makes_of_text(module: Module) -> Iterator[str]:
    """A call, or a decorator, that makes a page, a query or a module of a text, or takes a form without its token."""
    if module.path in MAY_FROM_TEXT:
        return
    for node in ast.walk(module.tree):
        called = node.func if isinstance(node, ast.Call) else None
        if isinstance(called, ast.Attribute) and called.attr == "format" and not is_our_own(called.value):
            yield f"{module.path}:{called.lineno} a format that is no constant"
        if isinstance(node, ast.Attribute | ast.Name) and FROM_TEXT & {
            name_of(node),
            ast.unparse(node)[-11:],
        }:
            yield f"{module.path}:{node.lineno} {name_of(node)}"


def weak_signatures(module: Module) -> Iterator[str]:
    """A signature of Django's older helper that does not name SHA-256; by itself it takes SHA-1."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Call) and name_of_call(node) == "salted_hmac":
            named = {word.arg: ast.unparse(word.value) for word in node.keywords}
            if named.get("algorithm") != "'sha256'":
                yield f"{module.path}:{node.lineno} salted_hmac without SHA-256"


def name_of_call(call: ast.Call) -> str:
    """The last part of what is called."""
    return name_of(call.func) if isinstance(call.func, ast.Attribute | ast.Name) else ""


def is_our_own(text: ast.expr) -> bool:
    """Whether a text is a constant, by value or by its name in capitals."""
    return isinstance(text, ast.Constant) or (isinstance(text, ast.Name) and text.id.isupper())


def ciphers(module: Module) -> bool:
    """Whether a module hashes, signs or draws by chance."""
    return any(within(name, CRYPTOGRAPHY) for _, name in module.imports())


def looked_at(*what: str, text: str = "") -> subprocess.CompletedProcess[str]:
    """What ruff's security rules say."""
    return subprocess.run(
        [RUFF, "check", "--no-cache", "--select", "S", "--output-format", "concise", *what],
        cwd=ROOT, input=text, capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_the_security_rules_find_nothing():
    ran = looked_at("kits", "vehicles", "manage.py")
    assert (ran.returncode, ran.stdout) == (0, "All checks passed!\n")


def test_the_security_rules_look_at_everything_but_what_is_listed():
    lint = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["ruff"]["lint"]
    assert "S" in lint["select"]
    assert [rule for rule in lint["ignore"] if re.fullmatch(r"S\d*", rule)] == []
    left_out = {path: rules for path, rules in lint["per-file-ignores"].items() if "S" in rules}
    assert left_out == NOT_LOOKED_AT


def test_what_is_excepted_is_listed_with_its_reason_and_nothing_else():
    assert set(exceptions(app_modules())) == set(EXCEPTED)
    assert min(map(len, EXCEPTED.values())) > 30


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("eval(x)", "S307"), ("exec(x)", "S102"), ("import pickle\npickle.loads(x)", "S301"),
        ("import os\nos.system(x)", "S605"), ("import subprocess\nsubprocess.run(x, shell=True)", "S602"),
        ("import hashlib\nhashlib.md5(x)", "S324"), ("import random\nrandom.choice(x)", "S311"),
        ("from django.utils.safestring import mark_safe\nmark_safe(x)", "S308"),
        ("cursor.execute(f'SELECT {x} FROM a')", "S608"), ("password = 'kettle'", "S105"),
        ("from xml.etree.ElementTree import parse\nparse(x)", "S314"),
        ("from urllib.request import urlopen\nurlopen(x)", "S310"),
    ],
)  # fmt: skip
def test_each_kind_is_found_by_them(text, rule):
    assert f" {rule} " in looked_at("--stdin-filename", "kits/bom/x.py", "-", text=text).stdout


def test_nothing_opens_connections_by_itself():
    assert found(connects) == []


def test_what_opens_connections_is_caught():
    for text in (
        "import socket",
        "from urllib.request import urlopen",
        "from django.core.mail import send_mail",
    ):
        assert caught(connects, "kits/bom/x.py", text), text
    assert not caught(connects, "kits/bom/x.py", "from urllib.parse import urlencode")


def test_nothing_is_made_of_a_text():
    assert found(makes_of_text) == []


def test_what_is_made_of_a_text_is_caught():
    for text in (
        "typed.format(x)",
        "engine.from_string(x)",
        "Template(x)",
        "Kit.objects.raw(x)",
        "@csrf_exempt\ndef a(): pass",
    ):
        assert caught(makes_of_text, "kits/bom/views.py", text), text
    assert not caught(makes_of_text, "kits/bom/views.py", "_TOLD.format(x)\n'{}'.format(x)")


def test_signatures_name_sha_256():
    assert found(weak_signatures) == []
    assert caught(weak_signatures, "kits/people/x.py", "salted_hmac(a, b)")
    assert caught(weak_signatures, "kits/people/x.py", "crypto.salted_hmac(a, b, algorithm='sha1')")
    assert not caught(weak_signatures, "kits/people/x.py", "salted_hmac(a, b, algorithm='sha256')")


def test_what_hashes_signs_or_draws_by_chance_is_in_the_list():
    section = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("\n## Security\n")[2]
    listed = set(
        re.findall(r"^\| `((?:kits|vehicles)/[\w/]+\.py)` \|", section.partition("\n## ")[0], re.MULTILINE)
    )
    assert listed == {module.path for module in app_modules() if ciphers(module)}
