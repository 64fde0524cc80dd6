"""Names of accounts that can be told apart, however they are typed."""

import unicodedata
from collections.abc import Iterable

LONGEST_ACCOUNT = 40


def told_alike(name: str) -> str:
    """The same for two names that differ in capitals, in how a letter is put together, or in its width only."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())


def is_taken(name: str, others: Iterable[str]) -> bool:
    """Whether one of the others can't be told from the name."""
    return told_alike(name) in {told_alike(other) for other in others}


def hidden_signs(text: str) -> bool:
    """Whether a text holds signs that nobody sees and that change how it reads: of no width, or turning it round."""
    return any(unicodedata.category(sign) in ("Cf", "Co", "Cn", "Zl", "Zp") for sign in text)
