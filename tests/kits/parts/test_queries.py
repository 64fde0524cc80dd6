"""What the pages of parts fetch."""

import pytest

from kits.parts.models import Part, PartRevision
from kits.parts.queries import parts

pytestmark = pytest.mark.django_db


def test_a_part_stands_in_the_list_with_its_newest_revision_whenever_that_was_recorded():
    part = Part.objects.create(number="P1", name="Bracket", kind="bracket")
    Part.objects.create(number="P2", name="Bracket without a revision", kind="bracket")
    for revision, maturity in (("B", "released"), ("C", "trial"), ("A", "withdrawn")):
        PartRevision.objects.create(part=part, revision=revision, maturity=maturity)
    found = parts().values_list("number", "newest", "newest_maturity")
    assert list(found) == [("P1", "C", "trial"), ("P2", None, None)]
