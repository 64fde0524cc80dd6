"""The cast of every test, and settings that make tests fast.

The cast: a manager, production, an installer, an owner, and a stranger who has an account but no role.
`clients` has each of them signed in, and "anonymous".
"""

import shutil
import tempfile
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest
from django.contrib.auth.models import Group, User
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client
from hypothesis import settings as hypothesis_settings

from kits.people.models import Person
from tests import sampling
from vehicles.records import guard
from vehicles.records.access import ROLES

PASSWORD = "a kettle on the slate coast"
CAST = (*ROLES, "stranger")

# Two cores shared by many: a slow example is no fault, and nothing is kept between runs.
hypothesis_settings.register_profile("suite", deadline=None, database=None, print_blob=True)
hypothesis_settings.load_profile("suite")


TOUCHES_A_DATABASE = {"db", "transactional_db", "django_db_setup", "live_server"}
# Twins of rooms that may not import Django, and what looks at files: not even read for a second database.
PLAIN = (
    "architecture",
    "mutants",
    "reference",
    "kits/sizing",
    "kits/topics",
    "vehicles/physics",
    "vehicles/heatload",
)
HERE = Path(__file__).parent
MAKES_THE_WORLD = HERE / "kits/exchange/demonstration/test_world.py"


def pytest_addoption(parser):
    """What touches no database, or can't differ between two, need not run again on a second one."""
    parser.addoption(
        "--only-database", action="store_true", help="run what may differ between databases only"
    )
    sampling.add_option(parser)


def pytest_configure(config):
    """No worker runs beside the tests: what a test asks for is done within its call, and workbooks are read there."""
    from django.conf import settings

    settings.WORK_AT_ONCE = True
    settings.FILES_DIR = Path(tempfile.mkdtemp(prefix="files-"))
    settings.BACKUP_DIR = Path(tempfile.mkdtemp(prefix="backups-"))
    for folder in (settings.FILES_DIR, settings.BACKUP_DIR):
        config.add_cleanup(partial(shutil.rmtree, folder, ignore_errors=True))


def pytest_ignore_collect(collection_path, config):
    """Leave out the plain rooms where only databases are asked for; None: let others decide."""
    if config.getoption("--only-database") and collection_path in {HERE / room for room in PLAIN}:
        return True
    return None


def may_differ(item) -> bool:
    """Whether a test may answer differently on another database."""
    if item.get_closest_marker("one_database"):
        return False
    touched = TOUCHES_A_DATABASE & set(getattr(item, "fixturenames", ()))
    return bool(item.get_closest_marker("django_db") or touched)


def pytest_collection_modifyitems(config, items):
    """Begin with the file that makes the world; keep what `--only-database` asks for, others count as deselected.

    One process makes the world while the other runs what needs none, instead of waiting for it.
    """
    needing = {item.path for item in items if "world" in getattr(item, "fixturenames", ())}
    items.sort(key=lambda item: item.path in needing and item.path != MAKES_THE_WORLD)
    items.sort(key=lambda item: item.path != MAKES_THE_WORLD)
    if not config.getoption("--only-database"):
        return
    kept = [item for item in items if may_differ(item)]
    config.hook.pytest_deselected(items=[item for item in items if not may_differ(item)])
    items[:] = kept


def pytest_report_header(config):
    """Say in the first lines which database the run is on."""
    from django.conf import settings

    return f"database: {settings.DATABASES['default']['ENGINE'].rsplit('.', 1)[-1]}"


@pytest.fixture(scope="session", autouse=True)
def workbooks_read_here():
    """A process apart for each of hundreds of workbooks would take minutes; its own tests start it."""
    from kits.exchange import actions, safety

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(actions, "open_apart", safety.open_workbook)
        yield


@pytest.fixture(scope="session")
def sampled(request) -> sampling.Sampled:
    """Take some cases of a long sweep, others in every run: `sampled(cases, most)`."""
    return sampling.sampler(request.config)


@contextmanager
def taken_back(blocker):
    """What is written within is gone afterwards; never in any other database than one of the tests."""
    with blocker.unblock(), transaction.atomic():
        # pytest-django makes none where no test asks for one by its own fixtures or marks
        name = connection.settings_dict["NAME"]
        assert "test_" in name or "memory" in name, "no test database"
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="session")
def in_passing(request):
    """Call a function that fills the database; what it wrote is gone when it has answered."""

    def run(make):
        request.getfixturevalue("django_db_setup")
        with taken_back(request.getfixturevalue("django_db_blocker")):
            return make()

    return run


@pytest.fixture(scope="module")
def module_rows(django_db_setup, django_db_blocker):
    """Let a module fixture fill the database; what it makes goes with the module."""
    with taken_back(django_db_blocker):
        yield


@pytest.fixture(autouse=True, scope="session")
def faults_go_through():
    """No fault hides behind a guard, unless a test asks for it."""
    with guard.goes_through(is_on=True):
        yield


@pytest.fixture
def guarding():
    """The guards at work, as in the running program."""
    with guard.goes_through(is_on=False):
        yield


@pytest.fixture(autouse=True)
def fast_settings(settings):
    """A fast hasher, no limit on costly pages, static files under their plain names."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.COSTLY_COUNTED = False
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }


def make_person(name: str) -> User:
    """An account named like its role, with its person; the stranger has no role."""
    person = User.objects.create_user(username=name, password=PASSWORD)
    Person.objects.create(user=person, initials=name[:2].upper())
    if name in ROLES:
        person.groups.add(Group.objects.get_or_create(name=name)[0])
    return person


def unsaved(role: str) -> User:
    """A person of the role who stands in no database: for what is refused before anything is read."""
    person = User(username=role)
    person._kitwright_roles = frozenset({role} & {*ROLES})
    return person


def signed_in(person: User) -> Client:
    """A client that is signed in as the person."""
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def manager(db) -> User:
    """Surveys cars, sizes and releases kits."""
    return make_person("manager")


@pytest.fixture
def production(db) -> User:
    """Picks and packs kits, makes hoses."""
    return make_person("production")


@pytest.fixture
def installer(db) -> User:
    """Fits kits into cars."""
    return make_person("installer")


@pytest.fixture
def owner(db) -> User:
    """Reads everything and changes nothing."""
    return make_person("owner")


@pytest.fixture
def stranger(db) -> User:
    """Has an account, but no role."""
    return make_person("stranger")


@pytest.fixture
def clients(manager, production, installer, owner, stranger) -> dict[str, Client]:
    """A client for each of the cast, by name, and "anonymous"."""
    cast = (manager, production, installer, owner, stranger)
    return {"anonymous": Client(), **{person.username: signed_in(person) for person in cast}}


@pytest.fixture
def manager_client(manager) -> Client:
    """Signed in as the manager."""
    return signed_in(manager)


@pytest.fixture
def production_client(production) -> Client:
    """Signed in as production."""
    return signed_in(production)


@pytest.fixture
def installer_client(installer) -> Client:
    """Signed in as the installer."""
    return signed_in(installer)


@pytest.fixture
def owner_client(owner) -> Client:
    """Signed in as the owner."""
    return signed_in(owner)


@pytest.fixture
def stranger_client(stranger) -> Client:
    """Signed in as the stranger."""
    return signed_in(stranger)


@pytest.fixture
def command(capsys):
    """Run a management command and return what it printed."""

    def run(*arguments: str) -> str:
        call_command(*arguments)
        return capsys.readouterr().out

    return run
