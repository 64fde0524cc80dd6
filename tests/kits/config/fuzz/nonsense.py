"""What nobody types: wrong types, endless numbers, signs that can't be shown, and forms that were tampered with."""

import json
import random
from collections.abc import Callable
from urllib.parse import urlencode

from tests.kits.config.fuzz.pages import Pair

DIGITS = "9" * 5000
TEXTS = (
    "", " ", "0", "-1", "1", "3.5", "1,5", "−5", "+1", "007", "1_000", "0x10", "1e5", "1e308", "1e999", "-1e999",
    "1e-400",
    "NaN", "nan", "inf", "-Infinity", DIGITS, f"-{DIGITS}", f"0.{DIGITS}", f"{2**31}", f"{2**63}", f"{2**64}", "-0",
    "²", "٣", "½", "\x00", "a\x00b", "\ud800", "a\udfffb", "\x1b[31m", "\u202eabc", "\ufeff", "\u200b", "\r\n", "\t",
    "é", "漢字", "😀", "ǅ", "İ", "ß", "x" * 70, "x" * 300, "x" * 70_000, "é" * 3000,
    "<script>alert(1)</script>", "\"'>",
    "{{ 7 }}", "{% load x %}", "%s%n", "{0}", "%", "%00", "%ED%A0%80", "'; DROP TABLE kits_kit; --", "*", "\\", "/",
    "//x",
    "//evil.example/", "https://evil.example", "javascript:x", "x", "fit-table", "../../etc", "?", "#", "&", "~", "|",
    "null", "true", "[]", "{}", "[[]]", '[""]', "[null]", '["\\ud800"]', '["\\u0000"]', "[1e999]", f"[{DIGITS}]",
    "[NaN]",
    "[" * 5000, "[" * 40_000 + "]" * 40_000, '{"a":' * 3000 + "1" + "}" * 3000, '{"e1":{"number":[]}}', '{"e1":7}',
    '{"e1":{"number":1,"quantity":"1E999999999"}}', '{"e1":{"number":1,"in_force_from":[]}}',
    "2026-02-30", "0000-00-00", "0001-01-01", "9999-12-31", "99999-01-01", "1899-12-31", "2026-05-01T10:00", "today",
    "yes", "no", "on", "not left", "left, left", "not ", ", ,", "measured", "=1+1", "@x",
)  # fmt: skip
JSON_TEXTS = ('"\\ud800"', '"\\u0000"', '"x"', "[]", "{}", "null", "true", "NaN", "1e999", "-1", "1.5", f"{2**70}",
DIGITS,
              '"9e9999999"', '"2026-13-01"', '["a"]', '{"a":[]}', "[" * 2000 + "]" * 2000)  # fmt: skip
NAMES = ("", "x", "seen", "next", "key", "rows", "place:", "place:x", "up", "more", "on", "reason",
"idempotency_key", "version",
         "text", "line", "sort", "page", "car", "duty", "vent_", "option.", "option.roof", "row-", "e1-number",
         "\x00", "x" * 3000,
         "levers", "prefill_ml", "paper", "size", "market", "theme", "number", "origin_on")  # fmt: skip
Dice = random.Random


def text(dice: Dice) -> str:
    """One nonsense."""
    return dice.choice(TEXTS)


def _place(dice: Dice, pairs: list[Pair]) -> int:
    return dice.randrange(len(pairs)) if pairs else 0


def replaced(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """A field holds something else."""
    i = _place(dice, pairs)
    return [(name, text(dice) if n == i else value) for n, (name, value) in enumerate(pairs)]


def lengthened(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """A field holds more than it held."""
    i = _place(dice, pairs)
    return [(name, value + text(dice) if n == i else value) for n, (name, value) in enumerate(pairs)]


def left_out(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """A field is missing."""
    i = _place(dice, pairs)
    return [pair for n, pair in enumerate(pairs) if n != i]


def repeated(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """A field comes twice, the second time with something else."""
    return [*pairs, (pairs[_place(dice, pairs)][0], text(dice))] if pairs else [("x", "x")]


def added(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """A field more."""
    return [*pairs, (dice.choice(NAMES), text(dice))]


def tampered(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """A hidden state with one of its values turned into something else."""
    return [(name, _tampered_json(dice, value) if value[:1] in "{[" else value) for name, value in pairs]


def _tampered_json(dice: Dice, value: str) -> str:
    try:
        found = json.loads(value)
    except (ValueError, RecursionError):
        return value
    places: list[tuple[object, object]] = []

    def walk(node: object) -> None:
        inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
        for at, below in inner:
            places.append((node, at))
            walk(below)

    walk(found)
    if not places:
        return dice.choice(JSON_TEXTS)
    node, at = dice.choice(places)
    node[at] = "\ue000"  # type: ignore[index]
    return json.dumps(found, ensure_ascii=False).replace('"\ue000"', dice.choice(JSON_TEXTS))


def typed(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """Every empty field gets something."""
    return [(name, value or text(dice)) for name, value in pairs]


def crowded(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """Far more fields than any page has."""
    return pairs + [(f"x{n}", "1") for n in range(dice.choice((1_200, 3_000, 30_000)))]


def shuffled(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """The values stand in other fields."""
    values = [value for _, value in pairs]
    dice.shuffle(values)
    return [(name, value) for (name, _), value in zip(pairs, values, strict=True)]


WAYS: tuple[tuple[Callable[[Dice, list[Pair]], list[Pair]], int], ...] = (
    (replaced, 10), (lengthened, 4), (left_out, 4), (repeated, 4), (added, 4), (tampered, 10), (typed, 3), (shuffled,
    2),
    (crowded, 1),
)  # fmt: skip


def spoiled(dice: Dice, pairs: list[Pair]) -> list[Pair]:
    """The fields with one to three things wrong."""
    ways, weights = zip(*WAYS, strict=True)
    for way in dice.choices(ways, weights, k=dice.randint(1, 3)):
        pairs = way(dice, pairs)
    return pairs


def encoded(pairs: list[Pair]) -> str:
    """As a browser sends them; halves of characters as the bytes that stand for them."""
    return urlencode(pairs, errors="surrogatepass")
