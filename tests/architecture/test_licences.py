"""Files that came from elsewhere: each is listed with licence and sum, and its licence text lies beside."""

import hashlib
import re
from pathlib import Path

import pytest

from tests.architecture.tree import ROOT

STATIC = ROOT / "kits" / "static" / "kitwright"
# What we make ourselves; everything else in the folder came from elsewhere.
OURS = re.compile(
    r"(css/[\w-]+\.css|js/[\w-]+\.js|[\w/-]+\.svg|readme/[\w-]+\.png|VENDORED\.md|fonts/LICENCE-\w+\.txt)"
)
LICENCES = frozenset({"OFL-1.1", "Bitstream-Vera", "MIT", "BSD-3-Clause", "0BSD", "ISC", "Apache-2.0"})


def listed(text: str) -> dict[str, dict[str, str]]:
    """The rows of the table in VENDORED.md by file."""
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in text.splitlines()
        if line.startswith("|")
    ]
    head, _, *body = rows
    return {row[0]: dict(zip(head, row, strict=True)) for row in body}


def problems(folder: Path) -> list[str]:
    """What is wrong with the files from elsewhere in a folder."""
    table = listed((folder / "VENDORED.md").read_text(encoding="utf-8"))
    files = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    foreign = {name for name in files if not OURS.fullmatch(name)}
    found = [f"{name} is not listed" for name in sorted(foreign - set(table))]
    found += [f"{name} is listed but not there" for name in sorted(set(table) - files)]
    for name in sorted(set(table) & files):
        row = table[name]
        if hashlib.sha256((folder / name).read_bytes()).hexdigest() != row["sha256"]:
            found.append(f"{name} is not the file that was listed")
        if row["licence"] not in LICENCES:
            found.append(f"{name} has a licence nobody looked at: {row['licence']}")
        if not (folder / row["licence text"]).is_file():
            found.append(f"{name} has no licence text")
    return found


def test_each_file_from_elsewhere_is_listed_with_its_licence():
    assert problems(STATIC) == []


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one font that is in order."""
    (tmp_path / "fonts").mkdir()
    (tmp_path / "fonts/A.woff2").write_bytes(b"font")
    (tmp_path / "fonts/LICENCE-A.txt").write_text("free")
    total = hashlib.sha256(b"font").hexdigest()
    (tmp_path / "VENDORED.md").write_text(
        "| file | licence | licence text | sha256 |\n|---|---|---|---|\n"
        f"| fonts/A.woff2 | OFL-1.1 | fonts/LICENCE-A.txt | {total} |\n"
    )
    return tmp_path


def test_a_font_in_order_passes(folder):
    assert problems(folder) == []


def test_each_fault_is_caught(folder):
    (folder / "fonts/B.woff2").write_bytes(b"other")
    (folder / "js").mkdir()
    (folder / "js/library.min.js").write_text("x")
    assert problems(folder) == ["fonts/B.woff2 is not listed", "js/library.min.js is not listed"]


def test_a_changed_font_is_caught(folder):
    (folder / "fonts/A.woff2").write_bytes(b"changed")
    assert problems(folder) == ["fonts/A.woff2 is not the file that was listed"]


def test_a_missing_licence_text_is_caught(folder):
    (folder / "fonts/LICENCE-A.txt").unlink()
    assert problems(folder) == ["fonts/A.woff2 has no licence text"]
