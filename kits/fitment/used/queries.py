"""Where a part is used, and in how many of the vehicles."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from kits.bom.used.queries import entries_with, hose_runs_with
from kits.fitment.models import Fitment
from kits.parts.models import Part
from vehicles.catalogue.models import VariantOption
from vehicles.records.terms import terms_of


@dataclass(frozen=True)
class Use:
    """A place where a kit uses the part: an entry or a hose run, in how many of the kit's vehicles, by its options."""

    row: Any
    quantity: Any
    tag: str
    variants: int
    of: int


def uses(part: Part) -> list[Use]:
    """Where kits use the part, with the number of vehicles; a fixed number of queries."""
    entries, runs = list(entries_with(part)), list(hose_runs_with(part))
    cars = _cars({row.position.kit_id for row in [*entries, *runs]})
    found = []
    for row in [*entries, *runs]:
        terms = terms_of((t.option.feature.code, t.option.code, t.excluded) for t in row.terms.all())
        held = cars.get(row.position.kit_id, Counter())
        count = sum(n for options, n in held.items() if terms.applies(dict(options)))
        found.append(
            Use(row, getattr(row, "quantity", None), getattr(row, "tag", ""), count, sum(held.values()))
        )
    return found


def _cars(kits: set[int]) -> dict[int, "Counter[tuple[tuple[str, str], ...]]"]:
    """How many vehicles of each kit have which options, by the kit's key."""
    fitments = Fitment.objects.filter(kit__in=kits)
    rows = VariantOption.objects.filter(variant__in=fitments.values("variant"))
    options: dict[int, list[tuple[str, str]]] = {}
    for variant, feature, option in rows.values_list("variant", "option__feature__code", "option__code"):
        options.setdefault(variant, []).append((feature, option))
    found: dict[int, Counter[tuple[tuple[str, str], ...]]] = {}
    for kit, variant in fitments.values_list("kit", "variant"):
        found.setdefault(kit, Counter())[tuple(sorted(options.get(variant, ())))] += 1
    return found
