"""`serve` keeps site and worker running whatever is killed: a work is done, each step once, nothing is left over."""

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.parse import urlsplit
from urllib.request import urlopen

import pytest
from django.db import connection
from django.utils import timezone

from kits.work.actions import _announce
from kits.work.kind import DONE, RUNNING, WAITING
from kits.work.models import Work
from tests.architecture.tree import ROOT
from tests.kits.concurrency.databases import another, used
from tests.kits.management.slow import made

LONGEST_S = 120.0
STEPS = 15


def until(holds, what, longest_s=LONGEST_S):
    """What it answers as soon as that is true."""
    end = time.monotonic() + longest_s
    while not (found := holds()):
        assert time.monotonic() < end, f"{what}: not within {longest_s:g} s"
        time.sleep(0.1)
    return found


def children(pid):
    """The processes that a process has started, the oldest first."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == pid and fields[0] != "Z":
            found.append(int(stat.parent.name))
    return sorted(found)


def command(pid):
    return Path(f"/proc/{pid}/cmdline").read_bytes().decode()


def is_alive(pid):
    """Whether it runs; who has ended and waits for its parent to notice does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


class Served:
    """The site as `serve` runs it."""

    def __init__(self, url, files):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.address = f"127.0.0.1:{free.getsockname()[1]}"
        settings = "tests.kits.management.serve_settings"
        self.environment = {
            **os.environ, "KITWRIGHT_DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": settings,
            "KITWRIGHT_FILES_DIR": str(files), "KITWRIGHT_BACKUP_DIR": str(files.with_name("backups")),
        }  # fmt: skip
        self.start()

    def start(self):
        """Run it, until the site answers."""
        self.process = subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--bind", self.address, "--workers", "1"], cwd=ROOT,
            env=self.environment,
        )  # fmt: skip
        until(self.answers, "the site answers")

    def part(self, word):
        """The first process of a part."""
        return next((pid for pid in children(self.process.pid) if word in command(pid)), 0)

    def sentinel(self):
        return children(self.part("manage.py"))[0]

    def answers(self):
        try:
            return bool(urlopen(f"http://{self.address}/sign-in/", timeout=5))
        except (URLError, OSError):
            return False

    def everybody(self):
        """All its processes."""
        found, rest = [], [self.process.pid]
        while rest:
            found.append(rest.pop())
            rest += children(found[-1])
        return found


@pytest.fixture(scope="module")
def site(django_db_setup, django_db_blocker, tmp_path_factory):
    """One site for all tests."""
    with django_db_blocker.unblock(), another(tmp_path_factory.mktemp("served"), "served") as name:
        url = f"sqlite:///{name}"
        if connection.vendor == "postgresql":
            url = urlsplit(os.environ["KITWRIGHT_DATABASE_URL"])._replace(path=f"/{name}").geturl()
        site = Served(url, tmp_path_factory.mktemp("files"))
        try:
            yield site, name
        finally:
            site.process.terminate()
            site.process.wait(30)


@pytest.fixture
def served(site, db):
    """The site, and its database under this test."""
    with used(site[1]):
        yield site[0]


def ask(name, last=STEPS):
    """A work for the console, as the site would ask for it."""
    work = Work.objects.create(
        kind="slow", key=name, title=name, wanted={"last": last, "name": name}, asked_at=timezone.now()
    )
    _announce(work.pk)
    return work


def state(work):
    return Work.objects.get(pk=work.pk).state


def begun(name):
    """Ask for a work and wait until some of it is done; the work, and the process that does it."""
    work = ask(name)
    until(lambda: len(made(name)[0]) > 2, "it has begun")
    return work, made(name)[1]


def is_done_once(work, name, last=STEPS):
    until(lambda: state(work) == DONE, "it is done")
    assert made(name)[0] == list(range(1, last + 1))


def test_after_a_busy_worker_was_killed_its_work_is_done_by_another(served):
    work, doer = begun("busy")
    os.kill(doer, signal.SIGKILL)
    is_done_once(work, "busy")
    assert made("busy")[1] != doer


def test_after_an_idle_worker_was_killed_the_next_work_is_done_all_the_same(served):
    is_done_once(ask("first", last=1), "first", last=1)
    time.sleep(1)  # until it waits for the next one, and holds the lock of its queue
    os.kill(made("first")[1], signal.SIGKILL)
    time.sleep(2)  # until it is replaced
    is_done_once(ask("idle", last=2), "idle", last=2)


@pytest.mark.parametrize("who", ["main", "sentinel"])
def test_after_the_head_of_the_cluster_was_killed_nothing_of_it_is_left_and_the_work_is_done(served, who):
    work, doer = begun(who)
    main = served.part("manage.py")
    others = [main, *children(main), *children(served.sentinel())]
    os.kill(main if who == "main" else served.sentinel(), signal.SIGKILL)
    until(lambda: not any(map(is_alive, others)), "the rest of the cluster ends")
    is_done_once(work, who)
    assert made(who)[1] != doer


def test_after_the_web_server_was_killed_the_site_answers_again(served):
    until(served.answers, "the site answers")
    web = served.part("gunicorn")
    os.kill(web, signal.SIGKILL)
    until(lambda: served.part("gunicorn") not in (0, web), "it is started again")
    until(served.answers, "the site answers again")


def test_a_told_end_hands_the_work_back_and_leaves_nobody(served):
    work, _ = begun("handed back")
    everybody = served.everybody()
    served.process.terminate()
    assert served.process.wait(30) == 0
    assert not any(map(is_alive, everybody))
    left = Work.objects.get(pk=work.pk)
    assert left.state == WAITING != RUNNING
    assert left.tries_count == 0
    assert made("handed back")[0] == list(range(1, left.done_count + 1))
    served.start()
    is_done_once(work, "handed back")
