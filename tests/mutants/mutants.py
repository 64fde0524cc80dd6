"""The mutants: small faults, each sown into one file of the product, and the tests that stand nearest to them."""

import json
import re
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

ROOT = Path(__file__).resolve().parents[2]
DATA_FILE = Path(__file__).with_name("mutants.json")
KINDS = ("constant", "sign", "comparison", "deleted line", "swapped arguments")
JOURNEYS = "tests/journeys"

# Which tests of other rooms are asked when those of the own room see nothing: mostly those of rooms that build on it.
ABOVE = {
    "vehicles": ("kits/fitment", "kits/exchange"),
    "vehicles/physics": ("vehicles", "kits/sizing"),
    "vehicles/heatload": ("vehicles", "kits/sizing"),
    "kits/parts": ("kits/bom", "kits/editing"),
    "kits/bom": ("kits/findings", "kits/fitment", "kits/documents"),
    "kits/sizing": ("kits/findings", "kits/fitment"),
    "kits/fitment": ("kits/findings", "kits/survey", "kits/documents"),
    "kits/documents": ("kits/management", "kits/templatetags"),
    "kits/exchange": ("kits/editing", "kits/survey"),
    "kits/editing": ("kits/survey",),
    "kits/survey": ("kits/config",),
    "kits/templatetags": ("kits/fitment", "kits/editing"),
}


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
        """The test files of the same name, or the folder where there is none."""
        stem = PurePosixPath(self.file).stem.strip("_")
        files = sorted((ROOT / self.folder).glob(f"test_{stem}*.py"))
        return [file.relative_to(ROOT).as_posix() for file in files] or [self.folder]

    @property
    def around(self) -> list[str]:
        """The folder, its room's, and those of the rooms above; of what runs in a browser the journeys."""
        if self.file.startswith("kits/static/"):
            return [JOURNEYS]
        room = next(
            (r for r in sorted(ABOVE, key=len, reverse=True) if f"{self.twin}/".startswith(f"{r}/")), ""
        )
        wider = [f"tests/{name}" for name in (room, *ABOVE.get(room, ())) if name]
        return list(dict.fromkeys([self.folder, *wider]))


def mutants() -> list[Mutant]:
    """All of the data file."""
    return [Mutant(**row) for row in json.loads(DATA_FILE.read_text(encoding="utf-8"))]


def rooms() -> set[str]:
    """The rooms of the map in DEVELOPERS.md in which a fault can be sown; migrations are what once was."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.findall(r"^\| `((?:kits|vehicles)/[\w/]+|templates)` \|", text, re.MULTILINE)
    return {room for room in found if not room.endswith("/migrations")}
