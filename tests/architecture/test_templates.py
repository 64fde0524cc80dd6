"""Templates carry no script and no style of their own: the content security policy would block them."""

import re

from tests.architecture.test_layout import named, read
from tests.architecture.tree import ROOT, templates

INLINE = {
    "an inline style": re.compile(r"<[a-z][^>]*\sstyle\s*=", re.IGNORECASE | re.DOTALL),
    "a style element": re.compile(r"<style\b", re.IGNORECASE),
    "an inline script": re.compile(r"<script\b(?![^>]*\bsrc\s*=)", re.IGNORECASE | re.DOTALL),
    "an event attribute": re.compile(
        r"<[a-z][^>]*\s(on[a-z]+|hx-on[a-z:.-]*)\s*=", re.IGNORECASE | re.DOTALL
    ),
    "a script address": re.compile(r"=\s*[\"']?\s*javascript:", re.IGNORECASE),
    "something from another site": re.compile(
        r"<(script|link|img|iframe|form)\b[^>]*\s(src|href|action)\s*=\s*[\"']?(https?:)?//",
        re.IGNORECASE | re.DOTALL,
    ),
}
# Templates that no browser sees: WeasyPrint reads their style elements, and has no policy.
PRINT_ONLY = "templates/print/"
COMMENT = re.compile(r"\{% comment.*?endcomment %\}|\{#.*?#\}", re.DOTALL)


def inline(text: str, *, on_paper: bool = False) -> list[str]:
    """What is inline in the text of a template."""
    bare = COMMENT.sub("", text)
    kept = [what for what, pattern in INLINE.items() if pattern.search(bare)]
    return [what for what in kept if not (on_paper and what == "a style element")]


def test_templates_have_nothing_inline():
    problems = {
        named(path): inline(read(path), on_paper=named(path).startswith(PRINT_ONLY)) for path in templates()
    }
    assert {path: what for path, what in problems.items() if what} == {}


def test_python_writes_no_inline_html():
    paths = [path for app in ("kits", "vehicles") for path in sorted((ROOT / app).rglob("*.py"))]
    assert [named(path) for path in paths if "mark_safe" in read(path) or "<script" in read(path)] == []


def test_each_kind_is_caught():
    for text, what in (
        ('<p class="x" style="color:red">', "an inline style"),
        ("<style>p{}</style>", "a style element"),
        ("<script>alert(1)</script>", "an inline script"),
        ('<button\n  onclick="go()">', "an event attribute"),
        ("<div hx-on::after-request='x()'>", "an event attribute"),
        ('<a href="javascript:go()">', "a script address"),
        ('<script src="https://cdn.example/x.js"></script>', "something from another site"),
    ):
        assert what in inline(text), text


def test_what_is_allowed_is_not_caught():
    assert inline("<script src=\"{% static 'x.js' %}\" defer></script>") == []
    assert inline('<path fill="none" stroke="currentColor" stroke-width="2" d="M0 0"/>') == []
    assert inline('<a href="https://eur-lex.europa.eu/">the directive</a>') == []
    assert inline('<p data-on="1" class="style">once = twice</p>') == []
    assert inline('{% comment %}<p style="x">{% endcomment %}') == []
