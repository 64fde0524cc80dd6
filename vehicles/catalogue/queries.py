"""What the pages of vehicles fetch."""

from itertools import groupby

from django.db.models import Prefetch, QuerySet

from vehicles.cabin.models import Surface
from vehicles.catalogue.models import Feature, LineOption, Option, Variant, VariantOption


def options_of_lines(line_code: str = "") -> list[tuple[Feature, list[Option]]]:
    """Each feature with the options that exist in the line, or in any line."""
    there = LineOption.objects.filter(line__code=line_code) if line_code else LineOption.objects.all()
    rows = Option.objects.filter(pk__in=there.values("option")).select_related("feature")
    ordered = rows.order_by("feature__sort", "feature__code", "sort", "code")
    return [(feature, list(options)) for feature, options in groupby(ordered, key=lambda row: row.feature)]


def variants() -> QuerySet[Variant]:
    """Variants with what their list shows."""
    options = VariantOption.objects.select_related("feature", "option").order_by(
        "feature__sort", "feature__code"
    )
    return Variant.objects.select_related("line", "cabin", "powertrain").prefetch_related(
        Prefetch("variant_options", options)
    )


def variant_page(line: str, code: str) -> Variant | None:
    """One variant with its cabin and powertrain, in a fixed number of queries."""
    surfaces = Surface.objects.prefetch_related("layers", "terms__option__feature")
    return (
        variants()
        .filter(line__code=line, code=code)
        .prefetch_related(
            "chassis_ranges",
            "cabin__leakage",
            "cabin__seats",
            "cabin__openings",
            "cabin__variants",
            "powertrain__variants",
            Prefetch("cabin__surfaces", surfaces),
            "powertrain__pulleys",
            "powertrain__charging_curve",
            "powertrain__electrical_loads",
            "powertrain__engine_temperatures",
            "powertrain__coolant_states",
        )
        .first()
    )
