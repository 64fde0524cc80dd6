"""The contexts of the demonstration's fitments, as topics get them."""

from kits.fitment.bridge import case_of
from kits.topics.context import Context
from tests.kits.exchange.demonstration.world import Key, World


def contexts(world: World) -> list[Context]:
    """The contexts of all fitments that have a plant."""
    found = []
    for key, fitment in world.fitments.items():
        case, _ = case_of(fitment, world.kits[key])
        if case is not None:
            found.append(Context(world.kits[key], case, world.records[key]))
    return found


def heating_context(world: World, key: Key) -> Context:
    """The context of a fitment of a kit that heats only."""
    held = world.heaters[key]
    case, gaps = case_of(held.fitment, held.kit)
    assert case is not None, gaps
    return Context(held.kit, case, held.record)
