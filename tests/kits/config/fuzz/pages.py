"""The forms that pages show, as a browser would send them: what the nonsense is sown into."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urldefrag, urljoin

Pair = tuple[str, str]


@dataclass
class Form:
    """A form of a page: where it goes, how, and its fields with what they hold."""

    action: str
    method: str
    pairs: list[Pair] = field(default_factory=list)


class _Reader(HTMLParser):
    """Takes forms and links out of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.forms, self.links = page, [], []
        self.form: Form | None = None
        self.select: tuple[str, list[str]] | None = None
        self.area: list[str] | None = None

    def handle_starttag(self, tag, attrs):
        held = {name: value or "" for name, value in attrs}
        if tag == "a" and held.get("href", "").startswith(("/", "?")):
            self.links.append(urldefrag(urljoin(self.page, held["href"])).url)
        if tag == "form":
            action = urldefrag(urljoin(self.page, held.get("action", ""))).url
            self.form = Form(action, held.get("method", "get").upper())
            self.forms.append(self.form)
        elif self.form is not None and tag == "input" and held.get("name"):
            self._input(held)
        elif self.form is not None and tag == "button" and held.get("name") and len(self.form.pairs) % 3 == 0:
            self.form.pairs.append((held["name"], held.get("value", "")))
        elif self.form is not None and tag == "select" and held.get("name"):
            self.select = held["name"], []
        elif self.select is not None and tag == "option":
            self.select[1].insert(0 if "selected" in held else len(self.select[1]), held.get("value", ""))
        elif self.form is not None and tag == "textarea" and held.get("name"):
            self.area = [held["name"], ""]

    def _input(self, held):
        is_box = held.get("type") in ("checkbox", "radio")
        if held["name"] != "csrfmiddlewaretoken" and (not is_box or "checked" in held):
            self.form.pairs.append((held["name"], held.get("value", "")))

    def handle_data(self, data):
        if self.area is not None:
            self.area[1] += data

    def handle_endtag(self, tag):
        if tag == "form":
            self.form = None
        elif tag == "select" and self.select and self.form is not None:
            name, values = self.select
            self.form.pairs.append((name, values[0] if values else ""))
            self.select = None
        elif tag == "textarea" and self.area and self.form is not None:
            self.form.pairs.append((self.area[0], self.area[1].removeprefix("\n")))
            self.area = None


def forms_and_links(page: str, body: str) -> tuple[list[Form], list[str]]:
    """The forms of a page, and where its links lead."""
    reader = _Reader(page)
    reader.feed(body)
    return reader.forms, reader.links
