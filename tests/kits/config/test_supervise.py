"""Parts are kept running, and nothing that they started is left when they end."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from threading import Event, Thread, Timer

import pytest

from kits.config import supervise
from kits.config.supervise import KeepsEnding, Part, end_all, keep_running
from tests.architecture.tree import ROOT

SLEEPS = "import time; time.sleep(60)"
# Starts one more, tells its number, and sleeps.
HAS_CHILD = (
    "import subprocess, sys, time\n"
    f"child = subprocess.Popen([sys.executable, '-c', {SLEEPS!r}])\n"
    "open(sys.argv[1], 'w').write(str(child.pid)); time.sleep(60)"
)
DEAF = (
    "import signal, sys, time\nsignal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
    "open(sys.argv[1], 'w').write('1')\ntime.sleep(60)"
)
LONGEST_S = 20.0


def python(text, *arguments):
    return [sys.executable, "-c", text, *map(str, arguments)]


def until(holds):
    end = time.monotonic() + LONGEST_S
    while not (found := holds()):
        assert time.monotonic() < end, "it never came to that"
        time.sleep(0.02)
    return found


def is_alive(pid):
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def written(path):
    """The number that a process wrote into a file, as soon as it has."""
    return int(until(lambda: path.exists() and path.read_text()))


@pytest.fixture
def kept(monkeypatch):
    """Keep parts running beside the test; all end with it."""
    monkeypatch.setattr(supervise, "TICK_S", 0.05)
    monkeypatch.setattr(supervise, "TEND_EVERY_S", 0.1)
    monkeypatch.setattr(supervise, "GRACE_S", 5.0)
    end, running = Event(), []

    def start(*parts, tend=lambda: ()):
        running.append(Thread(target=keep_running, args=(parts, tend, end), daemon=True))
        running[0].start()
        until(lambda: all(part.pid for part in parts))

    yield start
    end.set()
    running[0].join(LONGEST_S)


def test_a_part_that_ended_in_whatever_way_is_started_again(kept):
    part = Part("web", python(SLEEPS))
    kept(part)
    for number in (signal.SIGTERM, signal.SIGKILL):
        before = part.pid
        os.kill(before, number)
        until(lambda before=before: part.pid != before and is_alive(part.pid))


def test_what_a_killed_part_left_running_is_ended_first(kept, tmp_path):
    part = Part("worker", python(HAS_CHILD, tmp_path / "child"))
    kept(part)
    child, before = written(tmp_path / "child"), part.pid
    os.kill(before, signal.SIGKILL)
    until(lambda: part.pid != before)
    assert not is_alive(child)


def test_a_part_that_takes_nothing_is_started_anew(kept, monkeypatch):
    monkeypatch.setattr(supervise, "SHORT_LIFE_S", 0.0)
    part, idle = Part("worker", python(SLEEPS)), ["worker"]
    first = Part("web", python(SLEEPS))
    told: list[int] = []
    kept(part, first, tend=lambda: [idle.pop()] if idle and told else [])
    before, web = part.pid, first.pid
    told.append(1)
    until(lambda: part.pid != before)
    assert not is_alive(before) and first.pid == web


def test_a_part_that_was_only_just_started_is_given_time_to_take_something(kept):
    part, asked = Part("worker", python(SLEEPS)), []
    kept(part, tend=lambda: asked.append(1) or ["worker"])
    before = part.pid
    until(lambda: len(asked) > 3)
    assert part.pid == before and is_alive(before)


def test_all_end_when_told_with_what_they_started_and_who_is_deaf_is_killed(tmp_path):
    parts = [Part("a", python(HAS_CHILD, tmp_path / "child")), Part("b", python(DEAF, tmp_path / "deaf"))]
    for part in parts:
        part.start()
    child, _ = written(tmp_path / "child"), written(tmp_path / "deaf")
    began = time.monotonic()
    end_all(parts, grace_s=0.5)
    assert time.monotonic() - began >= 0.5
    assert not any(is_alive(pid) for pid in (child, *(part.pid for part in parts)))


def test_who_ends_in_order_is_not_waited_for():
    part = Part("a", python(SLEEPS))
    part.start()
    began = time.monotonic()
    end_all([part], grace_s=LONGEST_S)
    assert time.monotonic() - began < LONGEST_S / 2


def test_a_part_that_ends_as_soon_as_it_starts_ends_all_with_a_sentence(monkeypatch):
    monkeypatch.setattr(supervise, "TICK_S", 0.05)
    other, end = Part("worker", python(SLEEPS)), Event()
    late = Timer(LONGEST_S, end.set)
    late.start()
    with pytest.raises(KeepsEnding, match="The web ends as soon as it starts"):
        keep_running([Part("web", python("pass")), other], lambda: (), end)
    late.cancel()
    assert not is_alive(other.pid)


def test_a_part_is_told_to_end_when_the_one_who_looks_after_it_is_killed(tmp_path):
    text = (
        "import sys, time\nfrom kits.config.supervise import Part\n"
        f"part = Part('a', [sys.executable, '-c', {SLEEPS!r}]); part.start()\n"
        "open(sys.argv[1], 'w').write(str(part.pid)); time.sleep(60)"
    )
    keeper = subprocess.Popen(python(text, tmp_path / "pid"), cwd=ROOT)
    part = written(tmp_path / "pid")
    keeper.kill()
    keeper.wait()
    until(lambda: not is_alive(part))
