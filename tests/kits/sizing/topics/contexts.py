"""The contexts of the demonstration's fitments, as topics get them."""

from kits.fitment.bridge import case_of
from kits.sizing.topics.context import Context
from tests.kits.exchange.demonstration.world import World


def contexts(world: World) -> list[Context]:
    """The contexts of all fitments that have a plant that cools."""
    found = []
    for key, fitment in world.fitments.items():
        case, _ = case_of(fitment, world.kits[key])
        if case is not None and not case.heats_only:
            found.append(Context(world.kits[key], case, world.records[key]))
    return found
