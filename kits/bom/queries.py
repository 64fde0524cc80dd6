"""What the pages of kits fetch."""

from django.apps import apps
from django.db.models import Count, Model, OuterRef, Prefetch, QuerySet, Subquery
from django.db.models.functions import Coalesce

from kits.bom.bridge import load_kits, load_parts
from kits.bom.compile import compile_kit
from kits.bom.models import Circuit, Entry, HoseRun, Joint, Kit, KitOffer, Position
from kits.bom.resolved import Finding
from kits.bom.step_models import KitStep, StepFits


def kits() -> QuerySet[Kit]:
    """Kits with how many positions and vehicles they have."""
    return Kit.objects.annotate(
        position_count=_count(Position), fitment_count=_count(apps.get_model("kits", "Fitment"))
    ).order_by("code")


def _count(model: type[Model]) -> Coalesce:
    """How many rows of the model a kit has, by a query of its own: joins would multiply the rows."""
    own = model._default_manager.filter(kit=OuterRef("pk")).order_by().values("kit")
    return Coalesce(Subquery(own.annotate(rows=Count("pk")).values("rows")), 0)


def kit_page(code: str) -> Kit | None:
    """One kit with everything its page shows, in a fixed number of queries."""
    runs = HoseRun.objects.select_related("route", "hose", "end_a", "end_b")
    positions = Position.objects.prefetch_related(
        Prefetch("entries", Entry.objects.select_related("part").prefetch_related("terms__option__feature")),
        Prefetch("hose_runs", runs.prefetch_related("terms__option__feature")),
        Prefetch("circuits", Circuit.objects.all()),
    )
    fits = StepFits.objects.select_related("position", "joint", "circuit__position")
    steps = KitStep.objects.prefetch_related("terms__option__feature", "readings", Prefetch("fits", fits))
    return (
        Kit.objects.prefetch_related(
            Prefetch("positions", positions),
            Prefetch("joints", Joint.objects.select_related("position_a", "position_b")),
            Prefetch("steps", steps),
            Prefetch("offers", KitOffer.objects.select_related("line", "duty_set")),
        )
        .filter(code=code)
        .first()
    )


def kit_findings(code: str) -> tuple[Finding, ...]:
    """What is wrong with the kit whatever the car."""
    return compile_kit(load_kits([code])[code], load_parts([code])).findings
