"""The mutants: small faults, each sown into one file of the product, and the tests that stand nearest to them."""

import json
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path, PurePosixPath

ROOT = Path(__file__).resolve().parents[2]
DATA_FILE = Path(__file__).with_name("mutants.json")
KINDS = ("constant", "sign", "comparison", "deleted line", "swapped arguments")
JOURNEYS = "tests/journeys"


@dataclass(frozen=True)
class Mutant:
    """One fault: what is wrong in a sentence, of which kind, and the text that is replaced in a file."""

    name: str
    kind: str
    file: str
    old: str
    new: str

    def applied(self, text: str) -> str:
        """The file's text with the fault. Raises ValueError unless the old text occurs exactly once."""
        if text.count(self.old) != 1:
            raise ValueError(f"{self.file} holds the old text {text.count(self.old)} times: {self.name}")
        return text.replace(self.old, self.new)

    @property
    def twin(self) -> str:
        """Where the tests of the file would stand: its own path, and of a template that of its subject."""
        path = PurePosixPath(self.file)
        if path.parts[0] != "templates":
            return str(path.parent)
        subject = path.parts[1] if len(path.parts) > 2 else "config"
        return next(
            (f"{app}/{subject}" for app in ("vehicles", "kits") if (ROOT / app / subject).is_dir()), "kits"
        )

    @property
    def folder(self) -> str:
        """The nearest folder of tests: the twin, or the first above it that there is."""
        twin = PurePosixPath("tests") / self.twin
        return next(str(at) for at in (twin, *twin.parents) if (ROOT / at).is_dir())

    @property
    def nearest(self) -> list[str]:
        """The test files of the same name, or else of the name that the file's begins with; none for some."""
        stem = PurePosixPath(self.file).stem.strip("_")
        files = {
            file.relative_to(ROOT).as_posix(): file
            for file in sorted((ROOT / self.folder).rglob("test_*.py"))
        }
        own = [path for path, file in files.items() if file.stem.startswith(f"test_{stem}")]
        begun = [
            path for path, file in files.items() if stem.startswith(f"{file.stem.removeprefix('test_')}_")
        ]
        return own or begun

    @property
    def naming(self) -> list[str]:
        """The other test files of its folder, and all that name the module, or the one that reads a file of data.

        Of a template its folder of tests with what is below it, of what runs in a browser the journeys.
        """
        if self.file.startswith("kits/static/"):
            return [JOURNEYS]
        if self.file.startswith("templates/"):
            return [self.folder]
        dotted = self.file.rpartition(".")[0].replace("/data/", "/").replace("/", ".")
        package, _, module = dotted.rpartition(".")
        name = re.compile(rf"{re.escape(package)}(\.{module}\b| import [\w, ]*\b{module}\b)")
        asked = set(self.nearest)
        texts = {path: text for path, text in _tests().items() if path not in asked}
        beside = {path for path in texts if str(PurePosixPath(path).parent) == self.folder}
        return [path for path, text in texts.items() if path in beside or name.search(text)]


@cache
def _tests() -> dict[str, str]:
    """The text of every test file that needs no browser, by its path."""
    files = {file.relative_to(ROOT).as_posix(): file for file in sorted((ROOT / "tests").rglob("test_*.py"))}
    kept = (
        path for path in files if not path.startswith((f"{JOURNEYS}/", "tests/benchmarks/", "tests/mutants/"))
    )
    return {path: files[path].read_text(encoding="utf-8") for path in kept}


def mutants() -> list[Mutant]:
    """All of the data file."""
    return [Mutant(**row) for row in json.loads(DATA_FILE.read_text(encoding="utf-8"))]


def rooms() -> set[str]:
    """The rooms of the map in DEVELOPERS.md in which a fault can be sown; migrations are what once was."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.findall(r"^\| `((?:kits|vehicles)/[\w/]+|templates)` \|", text, re.MULTILINE)
    return {room for room in found if not room.endswith("/migrations")}
