"""Whom a page shuts out, by axe."""

from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

# A page has few colours, and axe reads each of them anew for every element: more than half of its time.
REMEMBER_COLOURS = """() => {
    const Color = axe.commons.color.Color, read = Color.prototype.parseString, known = new Map();
    Color.prototype.parseString = function (text) {
        if (known.has(text)) [this.r, this.g, this.b, this.alpha] = known.get(text);
        else { read.call(this, text); known.set(text, [this.r, this.g, this.b, this.alpha]); }
        return this;
    };
}"""


def violations(page: Page) -> list[dict[str, Any]]:
    """The rules that the page breaks as it stands."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
        page.evaluate(REMEMBER_COLOURS)
    return page.evaluate("axe.run({resultTypes: ['violations']}).then((found) => found.violations)")
