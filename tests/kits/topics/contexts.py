"""The contexts of the demonstration's fitments, as topics get them."""

from kits.fitment import bridge
from kits.topics.context import Context
from tests.kits.exchange.demonstration.world import Key, World


def contexts(world: World) -> list[Context]:
    """The contexts of all fitments that have a plant."""
    found = (bridge.context_of(f, world.kits[key], world.records[key]) for key, f in world.fitments.items())
    return [context for context in found if context is not None]


def context_of(world: World, key: Key) -> Context:
    """The context of one fitment that has a plant."""
    context = bridge.context_of(world.fitments[key], world.kits[key], world.records[key])
    assert context is not None
    return context


def heating_context(world: World, key: Key) -> Context:
    """The context of a fitment of a kit that heats only."""
    held = world.heaters[key]
    context = bridge.context_of(held.fitment, held.kit, held.record)
    assert context is not None
    return context
