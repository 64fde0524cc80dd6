"""Shows what the suite notices: sows each mutant into a copy of the checkout and runs tests there until one fails.

Stage 1: each mutant alone, on the test files of the same name. Stage 2: what still lives, on the other files of that
folder and on all that name the module. Stage 3: all that still live together in one copy, on the whole suite; each test
file that fails there is then run for each of them alone, since only a mutant alone says which test sees it. What lives
on survives.

The suite must be green beforehand: a test that fails anyway would count as one that noticed. The order of tests and
the examples that are drawn are the same in each run. Nothing is written but in a temporary folder.
"""

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from tests.mutants.mutants import JOURNEYS, ROOT, Mutant, mutants

AT_ONCE = 2
# A fault that makes the code run without end is noticed by the time it takes.
LONGEST_S, LONGEST_WHOLE_S = 15 * 60, 60 * 60
NOTHING_RAN, WRONG_CALL = 5, 4
OPTIONS = "-q --tb=no -rfE -p no:randomly --hypothesis-seed=1 --ignore=tests/mutants".split()
# The property tables of gases take long to compute; they are taken along unless the fault may lie in their making.
TABLES = "var/cache/refrigerants"
MADE_BY = re.compile(r"kits/sizing/gas/(refrigerant|spline|data/refrigerants)")
_numbers = count(1)


@dataclass(frozen=True)
class Outcome:
    """How a mutant ended: by which test ("" while it lives), at which stage, after how many seconds."""

    mutant: Mutant
    by: str
    stage: int
    took_s: float

    def __str__(self) -> str:
        end = f"killed by {self.by}" if self.by else "SURVIVES"
        return f"stage {self.stage}  {self.took_s:4.0f} s  {self.mutant.name}: {end}"


class Workshop:
    """A clean copy of the checkout, uncommitted work included, from which copies with mutants are made."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.clean = folder, folder / "clean"
        listed = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
        for name in subprocess.run(listed, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split(
            "\0"
        ):
            if name and (ROOT / name).is_file():
                (self.clean / name).parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(ROOT / name, self.clean / name)
        folders = [str(self.clean / name) for name in ("kits", "vehicles", "tests")]
        subprocess.run([sys.executable, "-m", "compileall", "-q", *folders], check=True)

    @contextmanager
    def copy(self, *sown: Mutant):
        """A copy with these mutants; it goes when it has been used."""
        place = self.folder / f"copy-{next(_numbers)}"
        shutil.copytree(self.clean, place)
        if (ROOT / TABLES).is_dir() and not any(MADE_BY.match(mutant.file) for mutant in sown):
            shutil.copytree(ROOT / TABLES, place / TABLES)
        for mutant in sown:
            sow(mutant, place)
        try:
            yield place
        finally:
            shutil.rmtree(place)


def sow(mutant: Mutant, place: Path) -> None:
    """Put the fault into a copy; what was compiled of the file goes. Raises ValueError where the text is another."""
    file = place / mutant.file
    file.write_text(mutant.applied(file.read_text(encoding="utf-8")), encoding="utf-8")
    for compiled in (file.parent / "__pycache__").glob(f"{file.stem}.*"):
        compiled.unlink()


def failing(place: Path, paths: Iterable[str], *more: str, longest_s: int = LONGEST_S) -> list[str]:
    """The tests that fail in a copy, in a process group of their own, with a database and folders of their own."""
    call = [sys.executable, "-m", "pytest", *OPTIONS, *more, *paths]
    scratch = place / "var" / "tmp"
    scratch.mkdir(parents=True, exist_ok=True)
    # without an address of a database the tests use one in memory
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("KITWRIGHT_", "PYTEST_", "PYTHON"))}
    own = kept | {"TMPDIR": str(scratch)}
    run = subprocess.Popen(
        call,
        cwd=place,
        env=own,
        text=True,
        start_new_session=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    try:
        said = run.communicate(timeout=longest_s)[0]
    except subprocess.TimeoutExpired:
        os.killpg(run.pid, signal.SIGKILL)
        run.communicate()
        return ["time-out"]
    if run.returncode in (NOTHING_RAN, WRONG_CALL):
        raise SystemExit(f"These tests can't be run: {' '.join(paths)}\n{said}")
    found = re.findall(r"^(?:FAILED|ERROR) (.+?)(?: - .*)?$", said, re.MULTILINE)
    return found or (["the run itself ended"] if run.returncode else [])


def alone(workshop: Workshop, mutant: Mutant, stages: Iterable[tuple[int, list[str]]]) -> Outcome:
    """One mutant in a copy of its own, on the tests of one stage after the other until one fails."""
    began, stage = time.monotonic(), 0
    with workshop.copy(mutant) as place:
        for stage, paths in stages:
            if paths and (found := failing(place, paths, "-x")):
                return Outcome(mutant, found[0], stage, time.monotonic() - began)
    return Outcome(mutant, "", stage, time.monotonic() - began)


def judged(
    workshop: Workshop, wanted: Iterable[Mutant], stages: Callable[[Mutant], list[tuple[int, list[str]]]]
) -> list[Outcome]:
    """All of them, two at a time, each told as soon as it is known."""

    def one(mutant: Mutant) -> Outcome:
        outcome = alone(workshop, mutant, stages(mutant))
        print(outcome, flush=True)
        return outcome

    with ThreadPoolExecutor(AT_ONCE) as pool:
        return list(pool.map(one, wanted))


def together(workshop: Workshop, living: list[Mutant]) -> list[str]:
    """The test files of the whole suite in which something fails when all mutants stand in one copy.

    Mutants that stand in each other's way, or a run that takes too long, leave nothing to choose by: all files then.
    """
    try:
        with workshop.copy(*living) as place:
            found = failing(place, ["tests"], "-n", f"{AT_ONCE}", longest_s=LONGEST_WHOLE_S)
    except ValueError:
        return ["tests"]
    files = {test.partition("::")[0] for test in found}
    return sorted(files) if all(file.startswith("tests/") for file in files) else ["tests"]


def chosen(parts: list[str]) -> list[Mutant]:
    """The mutants whose name holds one of the parts, or all; those for a browser only where there is one."""
    found = [m for m in mutants() if not parts or any(part.casefold() in m.name.casefold() for part in parts)]
    if any(map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))):
        return found
    left = [mutant for mutant in found if mutant.naming == [JOURNEYS]]
    for mutant in left:
        print(f"not judged, no Chromium: {mutant.name}")
    return [mutant for mutant in found if mutant not in left]


def main(arguments: list[str]) -> int:
    """Judge the mutants that are named, or all; 1 when one survives."""
    wanted = chosen(arguments)
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        workshop = Workshop(Path(folder))
        early = judged(workshop, wanted, lambda mutant: [(1, mutant.nearest), (2, mutant.naming)])
        living = [outcome.mutant for outcome in early if not outcome.by]
        files = together(workshop, living) if living else []
        late = judged(workshop, living, lambda _: [(3, files)]) if files else []
    known = {outcome.mutant: outcome for outcome in (*early, *late)}
    surviving = [mutant.name for mutant, outcome in known.items() if not outcome.by]
    print(f"{len(known) - len(surviving)} of {len(known)} killed", *surviving, sep="\n  survives: ")
    return 1 if surviving else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
