"""The world that is kept in a file is the one that importer and sizing make."""

import pytest

from tests.kits.exchange.demonstration.made_apart import made_apart
from tests.kits.exchange.demonstration.world import load_demonstration, without_rows


def test_the_kept_world_is_the_one_that_is_loaded_and_sized_afresh(world):
    fresh = made_apart()
    assert without_rows(fresh.catalogue) == without_rows(world.catalogue)
    for name in ("kits", "records", "unmeasured", "rows"):
        assert getattr(fresh, name) == getattr(world, name), name
    told = {key: (held.kit, held.record) for key, held in fresh.heaters.items()}
    assert told == {key: (held.kit, held.record) for key, held in world.heaters.items()}


@pytest.mark.django_db
def test_this_database_gives_sizing_the_same_as_the_one_the_world_was_made_on(world):
    fresh, kept = without_rows(load_demonstration()), without_rows(world.catalogue)
    assert fresh.keys() == kept.keys()
    assert [key for key in fresh if fresh[key] != kept[key]] == []
