import pytest, time, dataclasses
pytestmark = pytest.mark.django_db
def test_look(world):
    from kits.fitment.bridge import fitment_context  # noqa
