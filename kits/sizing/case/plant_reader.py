"""Reads numbers of the kit and of its parts, and notes what is not there."""

from collections.abc import Iterable, Mapping
from typing import Any

from kits.bom.resolved import ResolvedKit
from kits.sizing.words.gap import Gap


class Reader:
    """Reads numbers out of the resolved kit and notes what is not there.

    place  behind what is missing, where that is one of two coils
    """

    def __init__(self, kit: ResolvedKit, place: str = "") -> None:
        self.kit, self.place = kit, place
        self.gaps: list[Gap] = []

    def setting(self, name: str) -> float:
        """A number of the kit itself."""
        value = self.kit.settings.get(name)
        if value is None:
            label = name.replace("_", " ")
            self.gaps.append(Gap(f"kit.{name}", "kit", f"The kit {self.kit.kit_name} has no {label}."))
            return float("nan")
        return float(value)

    def part(self, kind: str) -> tuple[str, Mapping[str, Any], tuple[Mapping[str, float], ...]]:
        """Technical data of the one part of a kind."""
        found = self.kit.plant.get(kind)
        if found is None:
            article = "an" if kind[0] in "aeiou" else "a"
            sentence = f"{self.kit.variant_name} gets no part that is {article} {kind} with technical data{self.place}."
            self.gaps.append(Gap(f"plant.{kind}", "kit", sentence))
            return "", {}, ()
        return found.part, found.data, found.points

    def datum(self, kind: str, name: str) -> float:
        """A number of a part's technical data."""
        number, data, _ = self.part(kind)
        value = data.get(name)
        if number and value is None:
            label = name.replace("_", " ")
            self.gaps.append(
                Gap(f"part.{number}.{name}", f"part:{number}", f"Part {number} ({kind}) has no {label}.")
            )
        return float("nan") if value is None else float(value)

    def only_one(self, kind: str) -> None:
        """Note it where the car gets more than one of a kind."""
        found = [number for number, _ in all_of(self.kit, kind)]
        if len(found) > 1:
            sentence = (
                f"{self.kit.variant_name} gets {len(found)} parts with data of the kind {kind}{self.place} "
                f"({', '.join(dict.fromkeys(found))}): it is sized with one. Make an assembly of them, with the data "
                "they have together."
            )
            self.gaps.append(Gap(f"plant.{kind}", "kit", sentence))

    def total(self, kind: str, name: str) -> float:
        """A number of a kind's technical data, added over all parts of the kind."""
        self.datum(kind, name)
        values = []
        for number, data in all_of(self.kit, kind):
            if data.get(name) is None and number != self.kit.plant[kind].part:
                label = name.replace("_", " ")
                sentence = f"Part {number} ({kind}) has no {label}."
                self.gaps.append(Gap(f"part.{number}.{name}", f"part:{number}", sentence))
            values.append(float(data.get(name) or "nan"))
        return sum(values) if values else float("nan")

    def points(self, kind: str) -> tuple[Mapping[str, float], ...]:
        """Rated points of a part."""
        number, _, points = self.part(kind)
        if number and not points:
            sentence = f"Part {number} ({kind}) has no rated points."
            self.gaps.append(Gap(f"part.{number}.points", f"part:{number}", sentence))
        return points


def all_of(kit: ResolvedKit, kind: str) -> list[tuple[str, Mapping[str, Any]]]:
    """Number and data of each part of a kind, as often as the car gets it."""
    found = []
    for key, held in kit.plant.items():
        if key == kind or key.startswith(f"{kind}/"):
            found.extend([(held.part, held.data)] * int(held.quantity))
    return found


def once(gaps: Iterable[Gap]) -> tuple[Gap, ...]:
    """Each gap once, in their order."""
    return tuple(dict.fromkeys(gaps))
