"""The real size is what a workshop of some years has, with a plausible spread of answers."""

from collections import Counter

import pytest

from kits.fitment.models import Fitment, SizedFitment
from kits.fitment.queries import readable
from kits.parts.models import Part, StructureEdge
from vehicles.catalogue.models import Variant

pytestmark = pytest.mark.django_db


@pytest.mark.usefixtures("real_size")
class TestRealSize:
    def test_it_is_as_large_as_a_workshop_has(self):
        assert Variant.objects.count() == 2_000
        assert Part.objects.count() == 5_000
        assert Fitment.objects.count() == 3_000

    def test_every_verdict_is_common_and_margins_fit_it(self):
        counts = Counter(SizedFitment.objects.values_list("verdict", flat=True))
        assert min(counts.values()) > 100
        assert set(counts) == {"strong enough", "marginal", "not enough", "not sized"}
        assert not SizedFitment.objects.filter(verdict="strong enough", margin_share__lt=0.2).exists()
        assert not SizedFitment.objects.filter(verdict="not enough", margin_share__gte=0).exists()

    def test_stored_answers_are_read_by_the_program(self):
        for verdict in ("strong enough", "not sized"):
            assert readable(SizedFitment.objects.filter(verdict=verdict).first().record).verdict == verdict

    def test_assemblies_stand_three_deep_and_names_are_long_too(self):
        deep = StructureEdge.objects.filter(
            child__revisions__structure__child__revisions__structure__isnull=False
        )
        assert deep.exists()
        assert max(map(len, Part.objects.values_list("name", flat=True))) > 80
        assert max(map(len, Variant.objects.values_list("name", flat=True))) > 120
