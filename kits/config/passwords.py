"""Words that whoever guesses a password here would try first: the program's, the roles', the trade's, the host's."""

import re
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings
from django.core.exceptions import ValidationError

from vehicles.records.access import ROLES

WORDS: Final = frozenset(
    {
        *ROLES, "kitwright", "kit", "kits", "admin", "password", "welcome", "workshop", "garage", "classic", "vehicle",
        "aircon", "aircondition", "airconditioning", "climate", "cooling", "heating", "heater", "compressor",
        "condenser", "evaporator", "refrigerant", "summer", "winter",
    }
)  # fmt: skip
LETTERS_BESIDE: Final = 4
"""So many letters that belong to no such word make a password a different one."""
MADE_OF_THEM: Final = (
    "The password is little more than words that anybody would try here, such as the name of the program, "
    "of a role or of the site. Take other words."
)


def words_of_the_house() -> frozenset[str]:
    """The list, with the parts of the site's own address."""
    host = urlsplit(settings.BASE_URL).hostname or ""
    return WORDS | {part for part in re.split(r"[^a-z]+", host.casefold()) if len(part) > len("www")}


class NoWordsOfTheHouse:
    """Refuses a password that is made of such words, with digits and signs between them or not."""

    def validate(self, password: str, user: object = None) -> None:
        """Raises ValidationError, in a sentence."""
        longest_first = sorted(words_of_the_house(), key=len, reverse=True)
        rest, count = re.subn("|".join(map(re.escape, longest_first)), "", password.casefold())
        if count and sum(letter.isalpha() for letter in rest) < LETTERS_BESIDE:
            raise ValidationError(MADE_OF_THEM, code="words_of_the_house")

    def get_help_text(self) -> str:
        """What is said beside a field for a new password."""
        return "It can’t be made of words that anybody would try here, such as the name of the program or a role."
