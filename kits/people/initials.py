"""Initials that nobody has yet, out of a name."""

import unicodedata
from collections.abc import Collection

SHORTEST, LONGEST = 2, 5


def capitals(text: str) -> str:
    """The text in capitals, each letter in its plain form; some letters become two by it, as ß and ﬁ."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).upper())


def are_initials(text: str) -> bool:
    """Whether a text in capitals is two to five letters and nothing else."""
    return SHORTEST <= len(text) <= LONGEST and text.isalpha()


def free_initials(name: str, taken: Collection[str]) -> str:
    """Two to five capital letters after the name, other than those taken (given in capitals).

    The first letters of its words, then more of the last word's, then letters counted up.
    """
    words = ["".join(sign for sign in capitals(word) if sign.isalpha()) for word in name.split()]
    words = [word for word in words if word] or ["X"]
    first = "".join(word[0] for word in words)[:3]
    rest = words[-1][1:] + "X"
    for length in range(max(0, 2 - len(first)), LONGEST - len(first) + 1):
        if (found := (first + rest[:length])[:LONGEST]) not in taken and len(found) > 1:
            return found
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    return next(
        found
        for one in letters
        for two in letters
        for three in letters
        if (found := first[:2] + one + two + three) not in taken
    )
