"""Names of accounts that can be told apart, however they are typed."""

import unicodedata
from collections.abc import Iterable

LONGEST_ACCOUNT = 40
# letters and signs by their category, yet nothing is printed for them: the fillers of Hangul, the empty Braille cell,
# the joiner of graphemes, the inherent vowels of Khmer
BLANK = frozenset("\u115f\u1160\u3164\uffa0\u2800\u034f\u17b4\u17b5")


def told_alike(name: str) -> str:
    """The same for two names that differ in capitals, in how a letter is put together, or in its width only."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())


def is_taken(name: str, others: Iterable[str]) -> bool:
    """Whether one of the others can't be told from the name."""
    return told_alike(name) in {told_alike(other) for other in others}


def hidden_signs(text: str) -> bool:
    """Whether a text holds signs that nobody sees: of no width, turning it round, or letters that are blank."""
    return any(sign in BLANK or unicodedata.category(sign) in ("Cf", "Co", "Cn", "Zl", "Zp") for sign in text)


def can_be_read(text: str) -> bool:
    """Whether a text has at least one letter or digit that is seen."""
    return any(sign not in BLANK and unicodedata.category(sign)[0] in "LN" for sign in text)
