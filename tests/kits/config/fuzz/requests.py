"""Whole requests of nonsense: an address of the table, a role, a way to ask, and a form that was tampered with."""

import random
from dataclasses import dataclass, field
from urllib.parse import quote, urlsplit

from tests.kits.config.access_table import CAST, TABLE, Line
from tests.kits.config.fuzz.nonsense import NAMES, TEXTS, encoded, spoiled, text
from tests.kits.config.fuzz.pages import Form

FORM = "application/x-www-form-urlencoded"
# Made by calculating or drawing for seconds: asked less often.
SLOW = (".pdf", "gases/", "size-again/", "holds/", ".xlsx")
WHOLE = 10_000


@dataclass(frozen=True)
class Asked:
    """One request. again: a body sent after it with the same key; headers as the server sees them."""

    who: str
    method: str
    address: str
    body: bytes = b""
    kind: str = FORM
    again: bytes | None = None
    headers: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return (
            f"{self.who} {self.method} {self.address[:300]} [{self.kind}] {self.body[:600]!r} {self.headers}"
        )


@dataclass(frozen=True)
class Site:
    """What there is to ask: real values of the addresses' parameters, and the forms that pages show."""

    real: dict[str, list[str]]
    forms: list[Form]


def request(seed: str, number: int, site: Site) -> Asked:
    """The request of this number, the same for the same seed."""
    dice = random.Random(f"{seed}:{number}")
    made = dice.choices((_of_form, _of_address, _of_body), (6, 4, 1))[0]
    return made(dice, site)


def _who(dice: random.Random) -> str:
    return (
        dice.choices(CAST, [3 if who == "manager" else 1 for who in CAST])[0]
        if dice.random() < 0.5
        else "manager"
    )


def _of_form(dice: random.Random, site: Site) -> Asked:
    """A form of a page, spoiled; sometimes sent as it was before, so that its key is used."""
    form = dice.choice(site.forms)
    if any(part in form.action for part in SLOW) and dice.random() < 0.9:
        form = dice.choice(site.forms)
    pairs = spoiled(dice, form.pairs)
    action = form.action
    if form.method == "GET" or dice.random() < 0.1:
        action = f"{urlsplit(action).path}?{encoded(pairs)[:20_000]}"
        return Asked(_who(dice), "GET", action, headers=_headers(dice))
    if dice.random() < 0.1:
        action = f"{urlsplit(action).path}?{encoded(_query(dice))}"
    if dice.random() < 0.1:
        return Asked(_who(dice), "POST", action, encoded(form.pairs).encode(), again=encoded(pairs).encode())
    if dice.random() < 0.1:
        body, kind = _multipart(dice, pairs)
        return Asked(_who(dice), "POST", action, body, kind)
    return Asked(_who(dice), "POST", action, encoded(pairs).encode(), headers=_headers(dice))


def _multipart(dice: random.Random, pairs: list[tuple[str, str]]) -> tuple[bytes, str]:
    parts = b"".join(
        f'--b\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode(
            errors="surrogatepass"
        )
        for name, value in pairs
    )
    file = b'--b\r\nContent-Disposition: form-data; name="workbook"; filename="%s"\r\n\r\nPK\x03\x04x\r\n'
    name = dice.choice((b"a.xlsx", b"", b"../../a.xlsx", b"\x00.xlsx", b"x" * 400 + b".xlsx", b"a\xff.xlsx"))
    end = dice.choice((b"--b--\r\n", b"", b"--c--"))
    return parts + (file % name) + end, dice.choice(
        ("multipart/form-data; boundary=b", "multipart/form-data")
    )


def _of_address(dice: random.Random, site: Site) -> Asked:
    """An address of the table with some of its parameters made up, and a query."""
    line = dice.choice(TABLE)
    if line.route.endswith(SLOW) and dice.random() < 0.9:
        line = dice.choice(TABLE)
    query = encoded(_query(dice))
    methods = ("GET", "HEAD", "POST", "PUT", "OPTIONS") if dice.random() < 0.1 else ("GET",)
    body = encoded(_query(dice)).encode() if line.post and dice.random() < 0.6 else b""
    method = "POST" if body else dice.choice(methods)
    return Asked(_who(dice), method, f"{_path(dice, line, site)}?{query}", body, headers=_headers(dice))


def _path(dice: random.Random, line: Line, site: Site) -> str:
    route = "/" + line.route
    for name in line.sample:
        for kind in ("code", "slug", "int", "str", "uuid"):
            known = site.real.get(name) or [f"{line.sample[name]}"]
            value = f"{dice.choice(known)}" if dice.random() < 0.7 else text(dice)[:2000]
            route = route.replace(f"<{kind}:{name}>", quote(value.replace("/", "~"), errors="surrogatepass"))
    return route


def _query(dice: random.Random) -> list[tuple[str, str]]:
    return [(dice.choice(NAMES), dice.choice(TEXTS)[:4000]) for _ in range(dice.randint(0, 4))]


def _of_body(dice: random.Random, site: Site) -> Asked:
    """A body that is none: of another kind, broken, or nothing but bytes."""
    form = dice.choice([form for form in site.forms if form.method == "POST"])
    body = dice.choice(
        (b"", b"\x00" * 100, dice.randbytes(500), b"%", b"=&=&;", b"a=1&a", b"{}", b"--b", b"a=%ff%fe%00")
    )
    kind = dice.choice((FORM, "multipart/form-data; boundary=b", "multipart/form-data; boundary=" + "x" * 300,
    "application/json",
                        "text/plain", "", f"{FORM}; charset=nonsense", f"{FORM}; charset=utf-16"))  # fmt: skip
    return Asked(_who(dice), "POST", form.action, body, kind, headers=_headers(dice))


def _headers(dice: random.Random) -> dict[str, str]:
    if dice.random() > 0.2:
        return {}
    name = dice.choice(("HTTP_REFERER", "HTTP_HX_CURRENT_URL", "HTTP_ACCEPT_LANGUAGE", "HTTP_COOKIE",
    "HTTP_IF_MODIFIED_SINCE",
                        "HTTP_HX_REQUEST", "CONTENT_LENGTH", "HTTP_HX_TARGET"))  # fmt: skip
    told = dice.choice(("true", "x", "http://testserver/fit/?a=%00", "//", "\x00", "-1", "9" * 5000,
    "sessionid=\x01; messages=x",
                        "http://[", "%ED%A0%80", "\xff", "a" * 5000))  # fmt: skip
    return {name: told, "HTTP_HX_REQUEST": "true"} if name.startswith("HTTP_HX") else {name: told}
