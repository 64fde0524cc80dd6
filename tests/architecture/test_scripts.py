"""Our scripts show text as text, keep secrets nowhere, and reach no other site."""

import json
import re
from pathlib import Path

from tests.architecture.tree import ROOT

SCRIPTS = ROOT / "kits" / "static" / "kitwright" / "js"
KINDS = {
    "makes markup of a text": r"\b((inner|outer|insertAdjacent)HTML|document\.write(ln)?|createContextualFragment)\b",
    "runs a text": r"\beval\s*\(|\bnew Function\b|set(Timeout|Interval)\(\s*[\"'`]",
    "talks to other windows": r"\bpostMessage\b|\bwindow\.open(er)?\b|addEventListener\(\s*[\"']message[\"']",
    "keeps something for longer than the window": r"\blocalStorage\b|\bindexedDB\b|\bdocument\.cookie\b|\bcaches\b",
    "reaches another site": r"https?://(?!www\.w3\.org/)",
    "sets a property whose name is a value": r"\w\[\s*[A-Za-z_$][^\]]*\]\s*=(?!=)|__proto__|Object\.assign",
    "hinders typing a password by hand or helper": r"[\"'](paste|copy|cut|contextmenu)[\"']",
    "is an old plug-in": r"<(object|embed|applet)\b|application/x-",
    "counts who looks": r"sendBeacon|\banalytics\b",
}


def faults(text: str) -> list[str]:
    """What a script does that none may."""
    return [what for what, pattern in KINDS.items() if re.search(pattern, text)]


def scripts() -> list[Path]:
    """Our own scripts."""
    return sorted(SCRIPTS.rglob("*.js"))


def test_no_script_does_what_none_may():
    assert len(scripts()) > 1
    assert {path.name: faults(path.read_text(encoding="utf-8")) for path in scripts()} == {
        path.name: [] for path in scripts()
    }


def test_every_script_is_strict_and_leaves_no_name_behind():
    for path in scripts():
        bare = re.sub(r"/\*.*?\*/", "", path.read_text(encoding="utf-8"), flags=re.DOTALL).strip()
        assert bare.startswith('"use strict";\n\n(() => {') and bare.endswith("})();"), path.name


def test_each_fault_is_caught():
    for text, what in (
        ("line.innerHTML = text;", "makes markup of a text"),
        ("eval(text)", "runs a text"),
        ("window.addEventListener('message', take)", "talks to other windows"),
        ("localStorage.setItem(a, b)", "keeps something for longer than the window"),
        ("fetch('https://evil.example/')", "reaches another site"),
        ("kept[name] = value;", "sets a property whose name is a value"),
        ("field.addEventListener('paste', stop)", "hinders typing a password by hand or helper"),
        ("navigator.sendBeacon(a)", "counts who looks"),
    ):
        assert faults(text) == [what], text
    assert faults("kept.get(name) === value; found[2] === 1; el.textContent = text;") == []


def test_htmx_runs_no_script_of_an_answer_asks_no_other_site_and_keeps_no_page():
    base = (ROOT / "templates" / "base.html").read_text(encoding="utf-8")
    told = re.search(r"<meta name=\"htmx-config\" content='([^']+)'>", base)
    assert told
    config = json.loads(told[1])
    assert (config["allowEval"], config["allowScriptTags"], config["selfRequestsOnly"]) == (
        False,
        False,
        True,
    )
    assert config["historyCacheSize"] == 0
