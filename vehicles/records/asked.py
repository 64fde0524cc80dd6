"""The one strict reader of what a request carries: whoever sent it, it is a value within limits, or a sentence.

A browser sends what our pages hold; anything else may send anything. What every form carries beside its fields is
read here: JSON in hidden fields and addresses, the reason, the key that makes a form count once, where to go next.
"""

import hashlib
import json
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import quote
from uuid import UUID

LONGEST_REASON: Final = 200
LONGEST_ADDRESS: Final = 1_500
LONGEST_DIGITS: Final = 9
_LARGEST_WHOLE: Final = 2**63 - 1
# Controls but tab and line ends, and halves of characters: a database or an answer can't hold them.
_UNSHOWABLE: Final = re.compile("[\\x00-\\x08\\x0b\\x0c\\x0e-\\x1f\\x7f\\ud800-\\udfff]")
_OWN_PATH: Final = re.compile(r"/(?![/\\])[^\\\s\x00-\x20\x7f]*")
_ADDRESS_SIGNS: Final = "/%?#&=+:;,@!$'()*~[]"
_NOT_CONTENT: Final = frozenset({"csrfmiddlewaretoken", "idempotency_key", "next"})
# Never on a page again: secrets, and what each sending has anew.
_SECRETS: Final = ("password", "one_time_code")
_NEVER_AGAIN: Final = (*_SECRETS, "csrfmiddlewaretoken")
LOST_STATE: Final = "The form had lost its state; check it and save again."


class Unreadable(ValueError):
    """What was sent is nothing we ever send."""


def json_value(text: str) -> Any:
    """The JSON in a text: finite numbers of usual size, texts that can be shown. Raises Unreadable."""
    try:
        found = json.loads(text, parse_constant=_refuse, parse_float=_finite, parse_int=_whole)
        plain = json.dumps(found, ensure_ascii=False)
        plain.encode()
    except (ValueError, RecursionError) as error:
        raise Unreadable(LOST_STATE) from error
    if "\\u0000" in plain and _holds_nul(found):
        raise Unreadable(LOST_STATE)
    return found


def _refuse(text: str) -> Any:
    raise Unreadable(f"{text[:20]} is no number.")


def _finite(text: str) -> float:
    found = float(text)
    return found if math.isfinite(found) else _refuse(text)


def _whole(text: str) -> int:
    # looked at as a text first: thousands of digits take long to read, and more are refused by Python itself
    if len(text) > len(f"-{_LARGEST_WHOLE}") or abs(int(text)) > _LARGEST_WHOLE:
        return int(_refuse(text))
    return int(text)


def _holds_nul(found: Any) -> bool:
    if isinstance(found, str):
        return "\x00" in found
    if isinstance(found, dict):
        return any(_holds_nul(one) for pair in found.items() for one in pair)
    return isinstance(found, list) and any(map(_holds_nul, found))


def whole_number(text: str, low: int, high: int) -> int | None:
    """The whole number somebody typed, or None when it is none from low to high; at most nine digits are read."""
    plain = text.strip()
    if not (plain.isascii() and plain.isdigit() and len(plain) <= LONGEST_DIGITS):
        return None
    return int(plain) if low <= int(plain) <= high else None


def own_address(text: str) -> str:
    """An address of this site as one may go to it: a path from the root, quoted; empty when it is none."""
    if len(text) > LONGEST_ADDRESS or not _OWN_PATH.fullmatch(text) or _UNSHOWABLE.search(text):
        return ""
    quoted = quote(text, safe=_ADDRESS_SIGNS)
    return quoted if len(quoted) <= LONGEST_ADDRESS else ""


def fault_of_text(label: str, text: str, longest: int) -> str:
    """What is wrong with a text somebody typed, in a sentence; empty when nothing is."""
    if _UNSHOWABLE.search(text):
        return f"{label} holds a character that can’t be shown; type it again."
    if len(text) > longest:
        return f"{label} has {len(text):,} characters; at most {longest} fit."
    return ""


def is_key(text: str) -> bool:
    """Whether a text is the key of an act, as our forms carry it."""
    try:
        return UUID(text).hex == text
    except ValueError:
        return False


def digest_of(content: Any) -> str:
    """The sha256 of what was asked, the same for the same content however it is ordered."""
    plain = json.dumps(content, sort_keys=True, ensure_ascii=True, separators=(",", ":"), default=_in_order)
    return hashlib.sha256(plain.encode()).hexdigest()


def _in_order(value: Any) -> Any:
    return sorted(map(str, value)) if isinstance(value, set | frozenset) else f"{value}"


@dataclass(frozen=True)
class Sent:
    """What a form that writes carries beside its fields.

    key: tells this form from every other, empty when none was sent or it is none of ours; digest: sha256 of all
    that was sent; reason: as it was typed; reason_wrong: what is wrong with it; is_lost: whether a key was sent that
    can't be ours; meant: what was ticked of values that are not usual and still as meant.
    """

    key: str = ""
    digest: str = ""
    reason: str = ""
    reason_wrong: str = ""
    is_lost: bool = False
    meant: frozenset[str] = frozenset()

    @property
    def problems(self) -> list[str]:
        """What is wrong with it, in sentences."""
        return [sentence for sentence in (self.reason_wrong, LOST_STATE if self.is_lost else "") if sentence]


UNSENT: Final = Sent()


def sent_with(data: Mapping[str, Any]) -> Sent:
    """Read reason and key of a form that was sent; `data` is a QueryDict."""
    reason, key = f"{data.get('reason', '')}".strip(), f"{data.get('idempotency_key', '')}"
    is_lost = bool(key) and not is_key(key)
    lists = data.lists() if hasattr(data, "lists") else data.items()
    content = {name: values for name, values in lists if name not in _NOT_CONTENT}
    wrong = fault_of_text("The reason", reason, LONGEST_REASON)
    meant = frozenset(map(str, content.get("meant", ())))
    return Sent("" if is_lost else key, digest_of(content), reason, wrong, is_lost, meant)


def next_address(posted: Mapping[str, Any], asked: Mapping[str, Any], fallback: str) -> str:
    """Where to go after a form: what it or its address names, if that is an address of this site."""
    return own_address(f"{posted.get('next', '') or asked.get('next', '')}") or fallback


@dataclass(frozen=True)
class Typed:
    """The fields of a form that may stand on a page again.

    can_send: whether they are all of it, so that they may be sent again; is_empty: whether nothing was typed or chosen.
    """

    fields: list[tuple[str, str]]
    can_send: bool
    is_empty: bool


def typed_form(data: Any, files: Any) -> Typed:
    """What was sent, without files, secrets and what each sending has anew; `data` and `files` are a request's own."""
    pairs = [(name, value) for name, values in data.lists() for value in values]
    fields = [(name, value) for name, value in pairs if not any(word in name for word in _NEVER_AGAIN)]
    has_secret = any(word in name for name, _ in pairs for word in _SECRETS)
    return Typed(fields, not (files or has_secret), not (fields or files))
