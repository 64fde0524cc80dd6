"""The contexts of the demonstration's fitments, as topics get them."""

from kits.fitment.bridge import case_of
from kits.sizing.plant import plant_of
from kits.sizing.topics.context import Context
from tests.kits.exchange.demonstration.world import World


def contexts(world: World) -> list[Context]:
    """The contexts of all fitments that have a plant."""
    found = []
    for key, fitment in world.fitments.items():
        plant, _ = plant_of(world.kits[key])
        if plant is not None:
            found.append(Context(world.kits[key], case_of(fitment, plant), world.records[key]))
    return found
