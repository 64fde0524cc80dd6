"""For which market a paper is asked: said by whoever asks, as long as no order states it."""

from collections.abc import Mapping

from vehicles.physics.arrays import Refusal


def chosen_market(offered: Mapping[str, str], asked: str) -> str:
    """The code of the market: the one asked for, or the only one there is; empty where the kit is offered in none.

    offered: code and name of the markets in which the kit is offered for the car; asked: a code, in small or capital
    letters, or empty. Raises Refusal, in a sentence that says what to choose from.
    """
    if asked:
        found = next((code for code in offered if code.casefold() == asked.casefold()), None)
        if found is None:
            raise Refusal(
                f"This kit is not offered in the market {asked[:20]} for this car: {_choice(offered)}."
            )
        return found
    if len(offered) > 1:
        raise Refusal(f"A paper is printed for one market: {_choice(offered)}.")
    return next(iter(offered), "")


def _choice(offered: Mapping[str, str]) -> str:
    listed = " or ".join(f"{code} ({name})" for code, name in offered.items())
    return f"choose {listed}" if listed else "it is offered in none yet"
