"""What the pages of kits fetch."""

from dataclasses import dataclass

from django.apps import apps
from django.db.models import Count, Model, OuterRef, QuerySet, Subquery, prefetch_related_objects
from django.db.models.functions import Coalesce

from kits.bom.bridge import kit_rows, kit_specs, load_parts
from kits.bom.catalogue import KitSpec, PartSpec
from kits.bom.compile import compile_kit
from kits.bom.grid import Grid, grid_of
from kits.bom.models import Kit, Position, Route
from kits.bom.resolved import Finding


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
    return kit_rows().filter(code=code).first()


@dataclass(frozen=True)
class KitSheet:
    """A kit as its pages show it: its rows, its values, its grid, and what is wrong whatever the car."""

    kit: Kit
    spec: KitSpec
    parts: dict[str, PartSpec]
    findings: tuple[Finding, ...]

    @property
    def grid(self) -> Grid:
        """Which options take which entry."""
        return grid_of(self.spec, self.parts, self.findings)

    @property
    def routes(self) -> list[Route]:
        """The routes its hoses and harnesses take, each once."""
        positions = self.kit.positions.all()
        on = [run.route for p in positions for run in p.hose_runs.all()]
        on += [branch.route for p in positions for branch in p.branches.all()]
        found = {route.pk: route for route in on}
        return sorted(found.values(), key=lambda route: (route.line.code, route.code))


def kit_sheet(code: str) -> KitSheet | None:
    """A kit with everything its pages show, in a fixed number of queries; None when there is none."""
    kit = kit_page(code)
    if kit is None:
        return None
    # the forms of a hose run and of a harness branch are those of their route's line
    prefetch_related_objects([kit], *(f"positions__{of}__route__line" for of in ("hose_runs", "branches")))
    spec, parts = kit_specs([kit], with_built=True)[kit.code], load_parts([kit.code])
    return KitSheet(kit, spec, parts, compile_kit(spec, parts).findings)
