"""DEVELOPERS.md says what the code says: its glossary, the folders and files it names, the pictures shown."""

import re

from tests.architecture.glossary import HEAD, glossary
from tests.architecture.tree import APPS, ROOT

LARGEST_PICTURE_BYTES = 150_000


def text_of(name: str) -> str:
    """The text of a document at the top."""
    return (ROOT / name).read_text(encoding="utf-8")


def table(text: str) -> list[str]:
    """The glossary's lines as they stand in the text."""
    lines = text.splitlines()
    first = lines.index(HEAD[0])
    rest = lines[first:]
    end = next((i for i, line in enumerate(rest) if not line.startswith("|")), len(rest))
    return rest[:end]


def folders() -> set[str]:
    """The subjects: the folders of both apps that hold files."""
    return {
        f"{app}/{path.name}"
        for app in APPS
        for path in (ROOT / app).iterdir()
        if path.is_dir() and path.name != "__pycache__" and any(path.iterdir())
    }


def test_the_glossary_is_the_table_of_quantities():
    assert table(text_of("DEVELOPERS.md")) == glossary()


def test_every_folder_is_on_the_map_and_nothing_else():
    rooms = set(re.findall(r"^\| `((?:kits|vehicles)/\w+)` \|", text_of("DEVELOPERS.md"), re.MULTILINE))
    assert rooms == folders()


def test_every_file_that_is_named_exists():
    named = set()
    for name in ("README.md", "DEVELOPERS.md"):
        named |= set(re.findall(r"\b(?:kits|vehicles|tests)/[\w/.-]*\.\w+", text_of(name)))
    assert {name for name in named if not (ROOT / name).is_file()} == set()


def test_pictures_are_small_and_all_are_shown():
    folder = ROOT / "kits" / "static" / "kitwright" / "readme"
    shown = set(re.findall(r"!\[[^]]+\]\(kits/static/kitwright/readme/([\w.-]+)\)", text_of("README.md")))
    assert shown == {path.name for path in folder.iterdir()}
    assert [path.name for path in folder.iterdir() if path.stat().st_size > LARGEST_PICTURE_BYTES] == []


def test_a_row_that_differs_is_caught():
    text = "\n".join(["words", *glossary(), "", "more words"])
    assert table(text) == glossary()
    assert table(text.replace("| `kg` | mass |", "| `kg` | weight |")) != glossary()
