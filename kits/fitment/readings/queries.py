"""What the judging of readings asks of a fitment."""

from dataclasses import dataclass

from kits.fitment.models import Fitment
from kits.fitment.readings.judgement import PlantAtHand


@dataclass(frozen=True)
class Asked:
    """The fitment whose readings are judged, and what of it counts."""

    fitment: Fitment
    plant: PlantAtHand


def asked(kit: str, line: str, variant: str) -> Asked | None:
    """The fitment, in one query; None when there is no such fitment."""
    rows = Fitment.objects.select_related("kit", "variant__line", "variant__powertrain")
    found = rows.filter(kit__code=kit, variant__line__code=line, variant__code=variant).first()
    if found is None:
        return None
    is_electric = found.variant.powertrain.drive == "electric"
    return Asked(found, PlantAtHand(found.kit.refrigerant, is_electric, found.kit.fan_on_bar_g))
