"""What the page of duty points fetches."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from vehicles.climate.models import DutyPoint, DutySet, DutySetPoint, Site


@dataclass(frozen=True)
class ClimatePage:
    """All that kits are judged by: duty points, the sets of them, and the sites whose sun they use."""

    points: Sequence[DutyPoint]
    sets: Sequence[DutySet]
    sites: Sequence[Site]


def climate_page() -> ClimatePage:
    """Duty points, sets and sites, in a fixed number of queries."""
    of_set = DutySetPoint.objects.select_related("duty_set", "duty_point").order_by(
        "-required", "duty_point__code"
    )
    return ClimatePage(
        list(DutyPoint.objects.select_related("site").order_by("code")),
        list(DutySet.objects.prefetch_related(Prefetch("points", of_set)).order_by("code")),
        list(Site.objects.prefetch_related("design_states").order_by("code")),
    )
