"""The addresses of the lists with each filter and each sort, for what is tested and timed at real size."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Listed:
    """A list, its filters, its sorts, and the most rows the ORM may fetch for one page of it."""

    path: str
    filters: tuple[str, ...]
    sorts: tuple[str, ...]
    most_rows: int


CARS = (
    "text=left+canvas", "text=morva+diesel+pick-up", "line=ORV30", "survey=open", "survey=done",
    "option.steering=left", "option.steering=left&option.roof=canvas&option.engine=electric",
)  # fmt: skip
VEHICLES = Listed(
    "/vehicles/", CARS, ("name", "-name", "line", "-line", "cabin", "powertrain", "-powertrain", "built", "-built"),
    # 50 variants with 6 options each, and what the filters offer
    50 + 300 + 100,
)  # fmt: skip
FIT = Listed(
    "/fit/",
    (
        *CARS, "kit=KIT-03", "verdict=marginal", "verdict=not+sized", "kit=KIT-03&verdict=not+enough", "state=stale",
        "state=blocking", "state=missing", "state=unsized", "state=blocking&verdict=strong+enough&survey=open",
    ),
    ("name", "-name", "verdict", "-verdict", "margin", "-margin", "kit", "-kit"),
    # 25 variants, two fitments each at most, and what the filters offer
    25 + 50 + 110,
)  # fmt: skip
PARTS = Listed(
    "/parts/",
    (
        "text=bracket+upper", "text=BM004", "kind=fastener", "kind=compressor", "supply=make", "maturity=prototype",
        "maturity=withdrawn", "kit=KIT-05", "use=none", "use=one", "use=several", "kit=KIT-05&use=several&supply=buy",
    ),
    ("number", "-number", "name", "kind", "-kind", "unit", "supply", "newest", "-newest", "kits", "-kits"),
    # 50 parts, a count for each, and the kits to choose from
    50 + 50 + 60,
)  # fmt: skip
KITS = Listed(
    "/kits/", (), ("code", "-code", "name", "refrigerant", "oil", "position_count", "-fitment_count"), 10 + 10
)
LISTS = (VEHICLES, FIT, PARTS, KITS)


def sorts_of(listed: Listed, kit_key: object) -> list[str]:
    """Each sort as a query; that by a kit's column by the kit's key."""
    return [f"sort={sort}{kit_key}" if sort.endswith("kit") else f"sort={sort}" for sort in listed.sorts]
