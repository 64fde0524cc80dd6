"""The look: inks that can be read in both themes, and foreign files that are what their list says."""

import hashlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
STATIC = ROOT / "kits" / "static" / "kitwright"

# Ratios of WCAG 2.2: 1.4.3 text 4.5, 1.4.11 edges of controls 3.
PAIRS = [
    ("ink", ("sheet", "panel", "accent-wash", "amber-wash", "brick-wash"), 4.5),
    ("ink-soft", ("sheet", "panel", "amber-wash"), 4.5),
    ("accent", ("sheet", "panel", "accent-wash", "brick-wash"), 4.5),
    ("amber", ("sheet", "panel", "amber-wash"), 4.5),
    ("brick", ("sheet", "panel", "brick-wash"), 4.5),
    ("on-accent", ("accent", "accent-deep"), 4.5),
    ("edge", ("sheet", "panel"), 3.0),
]


def inks(theme: str) -> dict[str, str]:
    light, dark = (STATIC / "css" / "base.css").read_text().split("@media (prefers-color-scheme: dark)", 1)
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", light if theme == "light" else dark))


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "grounds", "ratio"), PAIRS)
def test_inks_reach_their_contrast(theme: str, ink: str, grounds: tuple[str, ...], ratio: float) -> None:
    table = inks(theme)
    for ground in grounds:
        dark, light = sorted((luminance(table[ink]), luminance(table[ground])))
        assert (light + 0.05) / (dark + 0.05) >= ratio, (theme, ink, ground)


def test_both_themes_name_the_same_inks() -> None:
    assert set(inks("light")) == set(inks("dark"))


def test_every_foreign_file_is_listed_with_its_hash_and_licence() -> None:
    rows = re.findall(
        r"^\| (fonts/\S+) \|.*\| (fonts/LICENCE\S+) \|.*\| ([0-9a-f]{64}) \|$",
        (STATIC / "VENDORED.md").read_text(),
        flags=re.M,
    )
    files = {
        f"fonts/{path.name}" for path in (STATIC / "fonts").iterdir() if not path.name.startswith("LICENCE")
    }
    assert {name for name, _, _ in rows} == files
    for name, licence, digest in rows:
        assert hashlib.sha256((STATIC / name).read_bytes()).hexdigest() == digest, name
        assert (STATIC / licence).is_file()


def test_style_sheets_ask_for_files_that_exist_here_and_nowhere_else() -> None:
    for sheet in (*(STATIC / "css").glob("*.css"), *(ROOT / "templates" / "print").glob("*.css")):
        for address in re.findall(r'url\("([^"]+)"\)', sheet.read_text()):
            assert (sheet.parent / address).resolve().is_file(), (sheet.name, address)


def test_no_template_carries_a_style_or_a_script_of_its_own() -> None:
    for template in (ROOT / "templates").rglob("*.html"):
        if "print" in template.parts:
            continue
        text = template.read_text()
        assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script(?![^>]*\ssrc=)|javascript:", text), (
            template.name
        )
