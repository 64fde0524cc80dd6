"""Keys of acts, as a form carries them: the same for the same word."""

from uuid import NAMESPACE_OID, uuid5


def a_key(word: str) -> str:
    """The key that a word stands for."""
    return uuid5(NAMESPACE_OID, word).hex
