"""Where the inputs of topics come from: the words of the data's own origins, after what holds them."""

from collections.abc import Iterable

from kits.topics.context import Context
from kits.topics.figure import in_words
from vehicles.physics.origin import Origin


def of_kit(context: Context) -> str:
    """The origin of the kit's settings."""
    return _after("setting of the kit", (context.kit.origins.get("kit"),))


def of_car(context: Context, row: str) -> str:
    """The origin of the car's "cabin" or "powertrain"."""
    return _after(f"{row} of the car", (context.case.car.origins.get(row),))


def of_loads(context: Context, light: str) -> str:
    """The origins of the car's consumers that are on by "day", at "night" or in "rain"."""
    loads = context.case.car.loads
    on = {"day": "by_day", "night": "by_night", "rain": "in_rain"}[light]
    return _after("list of electrical loads", (load.origin for load in loads if getattr(load, on)))


def of_parts(context: Context, parts: Iterable[str]) -> str:
    """The origins of the technical data of some parts."""
    found = _words(context.kit.origins.get(f"part.{number}") for number in parts)
    return found or "parts list"


def _after(what: str, origins: Iterable[Origin | None]) -> str:
    words = _words(origins)
    return f"{what}: {words}" if words else what


def _words(origins: Iterable[Origin | None]) -> str:
    """Each origin once."""
    return "; ".join(dict.fromkeys(in_words(origin) for origin in origins if origin is not None))
